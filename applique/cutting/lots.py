"""Everything that is cut from one fabric, over all blocks and copies."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from applique.cutting.nested import NestingTask, Stock, Turn
from applique.cutting.pieces import CutPiece, lying
from applique.cutting.request import CutRequest
from applique.errors import InputError
from applique.model import CutLine, Fabric
from applique.report import in_letters

CARD = "card"
"""What the templates of turned pieces are cut from."""


@dataclass(frozen=True, eq=False)
class CutBlock:
    """A block's name, its cut lines, the fabrics it describes, and how often it is made."""

    name: str
    lines: tuple[CutLine, ...]
    fabrics: tuple[Fabric, ...] = ()
    copies: int = 1


@dataclass(frozen=True, eq=False)
class Lot:
    """What is cut from one fabric, or from card."""

    name: str
    turn: Turn
    pieces: tuple[CutPiece, ...]
    is_card: bool = False

    def task(self, stocks: tuple[Stock, ...], gap_mm: float, margin_mm: float) -> NestingTask:
        """Its pieces to be laid on sheets."""
        return NestingTask(
            names=_told_apart([piece.mark for piece in self.pieces]),
            shapes=tuple(piece.shape for piece in self.pieces),
            turn=self.turn,
            stocks=stocks,
            gap_mm=gap_mm,
            margin_mm=margin_mm,
        )


def letters_of(blocks: Sequence[CutBlock]) -> dict[str, str]:
    """The letter that stands before the labels of each block's pieces; none for a single block."""
    if len(blocks) < 2:
        return {}
    return {in_letters(number): block.name for number, block in enumerate(blocks)}


def lots_of(blocks: Sequence[CutBlock], request: CutRequest) -> tuple[Lot, ...]:
    """The pieces of all blocks by fabric, in order of first use, and the templates, from card.

    Raises InputError if there are none, or none of those asked for alone, or a fabric's pieces
    are to be turned by different rules.
    """
    found = [piece for piece in _pieces(blocks, request) if _wanted(piece, request.only)]
    _check_found(found, request.only)
    if not found:
        raise InputError("there are no cut lines; use Make Layers first")
    by_fabric: dict[str, list[CutPiece]] = {}
    templates: list[CutPiece] = []
    for piece in found:
        if piece.kind == "template":
            templates.append(piece)
        else:
            by_fabric.setdefault(piece.fabric, []).append(piece)
    lots = [_lot(name, pieces * request.copies) for name, pieces in by_fabric.items()]
    if templates:
        name = f"{CARD} for templates" if CARD in by_fabric else CARD
        lots.append(Lot(name, "any", tuple(templates * request.copies), is_card=True))
    return tuple(lots)


def _pieces(blocks: Sequence[CutBlock], request: CutRequest) -> Iterator[CutPiece]:
    for number, block in enumerate(blocks):
        before = f"{in_letters(number)}-" if len(blocks) > 1 else ""
        pieces = []
        for line in block.lines:
            turn = request.turns.get(line.fabric, line.turn)
            mark = before + line.piece
            pieces.append(lying(replace(line, turn=turn), block.name, mark, request.face))
        yield from pieces * block.copies


def _wanted(piece: CutPiece, only: frozenset[str]) -> bool:
    return not only or piece.label in only or piece.mark in only


def _check_found(found: Sequence[CutPiece], only: frozenset[str]) -> None:
    there = {piece.label for piece in found} | {piece.mark for piece in found}
    missing = sorted(only - there)
    if missing:
        raise InputError(
            f"there is no piece {', '.join(missing)} among the cut lines; check its number"
        )


def _lot(name: str, pieces: list[CutPiece]) -> Lot:
    turns = sorted({piece.turn for piece in pieces})
    if len(turns) > 1:
        raise InputError(
            f"{name}: its pieces are to be turned by different rules ({', '.join(turns)}) in "
            "different blocks; say which holds with --turn"
        )
    return Lot(name, turns[0], tuple(pieces))


def _told_apart(marks: Sequence[str]) -> tuple[str, ...]:
    """A name for each piece: its mark, with its number among equal ones from the second on."""
    count: Counter[str] = Counter()
    names = []
    for mark in marks:
        count[mark] += 1
        names.append(mark if count[mark] == 1 else f"{mark} ({count[mark]})")
    return tuple(names)
