"""What is renewed and what is kept when layers are made again.

A step belongs to the piece made from its source element, whatever that piece is called now. Steps
that no longer fit their piece are made anew. What a hand has edited, or added, is kept unless the
user asks for it to be replaced; nothing of hers falls away unsaid.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from applique.layering.details import lay_all
from applique.model import Block, Detail, Laid, LaidDetail, Piece, Step, StepKind
from applique.report import Finding, note, warning
from applique.sequence.keep import RANK, without_travel
from applique.sequence.pauses import own_words
from applique.stitches.detail import sew_detail
from applique.stitches.piece import planned_kinds, sew
from applique.svg.digest import digest_of


@dataclass(frozen=True, eq=False)
class Standing:
    """A piece or detail as it lies now, its fingerprint, and the steps that the document holds of
    it."""

    laid: Laid
    digest: str
    steps: tuple[Step, ...]

    @property
    def label(self) -> str:
        """The piece's label."""
        return self.laid.part.label

    @property
    def stale(self) -> bool:
        """Whether its steps were made for another outline, edge or setting."""
        return any(not _is_the_users(step) and step.digest != self.digest for step in self.steps)

    @property
    def edited(self) -> tuple[StepKind, ...]:
        """The kinds of its steps that were made by us and edited by hand."""
        kinds = {step.kind for step in self.steps if step.edited and not _is_the_users(step)}
        return tuple(sorted(kinds))

    def missing(self, edges_last: bool) -> tuple[StepKind, ...]:
        """The kinds of steps that it should have and that are not in the document."""
        absent = _planned(self.laid) - {step.kind for step in self.steps}
        if absent and self.steps:
            # Some that are planned come to nothing, in a piece too narrow for them.
            absent &= {step.kind for step in sewn(self.laid, edges_last)[0]}
        return tuple(sorted(absent, key=RANK.__getitem__)) if self.steps else ()


def _planned(laid: Laid) -> set[StepKind]:
    """The kinds of steps that a piece or detail should have."""
    if isinstance(laid, LaidDetail):
        return set() if laid.hidden else {"detail"}
    return planned_kinds(laid)


Sewing = Callable[[Laid, bool], tuple[tuple[Step, ...], tuple[Finding, ...]]]
"""What gives the steps of a piece or detail, from how it lies and whether edges are sewn last."""


def sewn(laid: Laid, edges_last: bool) -> tuple[tuple[Step, ...], tuple[Finding, ...]]:
    """The steps of a piece or detail as they are sewn now."""
    return sew_detail(laid) if isinstance(laid, LaidDetail) else sew(laid, edges_last)


def held_steps(steps: Iterable[Step], parts: Sequence[Piece | Detail]) -> list[Step]:
    """The steps of a document without its covered runs, under the labels and sources that their
    pieces and details have now."""
    return relabelled(without_travel(list(steps)), parts)


def relabelled(steps: Iterable[Step], parts: Sequence[Piece | Detail]) -> list[Step]:
    """Steps under the labels and sources that their pieces and details have now."""
    by_source: dict[str, list[str]] = {}
    for part in parts:
        by_source.setdefault(part.source, []).append(part.label)
    sources = {part.label: part.source for part in parts}
    named = []
    for step in steps:
        labels = by_source.get(step.source, [])
        label = labels[0] if len(labels) == 1 else step.piece
        named.append(replace(step, piece=label, source=sources.get(label, step.source)))
    return named


def standings(laid: Iterable[Laid], steps: Iterable[Step]) -> list[Standing]:
    """The pieces and details of a block with what the document holds of each."""
    held: dict[str, list[Step]] = {}
    for step in steps:
        held.setdefault(step.piece, []).append(step)
    return [Standing(item, digest_of(item), tuple(held.get(item.part.label, ()))) for item in laid]


@dataclass(frozen=True)
class Agreement:
    """How the stitches of a document stand to its drawing: the pieces that have steps, the labels
    of those that are `gone` from the drawing, and of those that are `unmade` yet. `stacking` is
    what was noticed when those with steps were laid."""

    standings: tuple[Standing, ...]
    gone: tuple[str, ...]
    unmade: tuple[str, ...]
    stacking: tuple[Finding, ...] = ()

    def misfits(self) -> tuple[str, ...]:
        """The labels of all pieces whose stitches and cut lines are not those of the drawing."""
        stale = [standing.label for standing in self.standings if standing.stale]
        return (*stale, *self.gone, *self.unmade)


def misfits_told(agreement: Agreement) -> tuple[Finding, ...]:
    """A warning where stitches and cut lines are no longer, or not yet, those of the drawing."""
    misfits = agreement.misfits()
    if not misfits:
        return ()
    text = (
        f"the layers are not those of the drawing any more at {', '.join(misfits)}; "
        "use Refresh Layers or Make Layers first"
    )
    return (warning("stale", "", text),)


def missing_told(standing: Standing, edges_last: bool) -> tuple[Finding, ...]:
    """A warning where steps that a piece should have are not in the document. Of a stale piece
    nothing is said: it is made anew anyway."""
    missing = () if standing.stale else standing.missing(edges_last)
    if not missing:
        return ()
    text = f"its {' and '.join(missing)} step is missing; use Refresh Layers"
    return (warning("missing", standing.label, text),)


def agreement_of(block: Block, steps: Iterable[Step]) -> Agreement:
    """Compare a block with the steps that its document holds. What has no steps covers nothing;
    where no piece has any, none is waited for."""
    held = held_steps(steps, block.parts)
    sewn = {step.piece for step in held}
    made = only(block, sewn)
    laid, stacking = lay_all(made)
    gone = sewn - {part.label for part in made.parts} - {""}
    unsewn = [part.label for part in block.parts if part.label not in sewn] if made.parts else []
    hidden = hidden_among(block, unsewn)
    unmade = [label for label in unsewn if label not in hidden]
    return Agreement(tuple(standings(laid, held)), tuple(sorted(gone)), tuple(unmade), stacking)


def hidden_among(block: Block, labels: Collection[str]) -> frozenset[str]:
    """Those of some labels whose pieces lie wholly under others, with nothing to sew of them."""
    if not labels:
        return frozenset()
    laid, _ = lay_all(block)
    return frozenset(i.part.label for i in laid if i.hidden and i.part.label in labels)


def only(block: Block, labels: Collection[str]) -> Block:
    """A block with those of its pieces and details that bear one of some labels."""
    return replace(
        block,
        pieces=tuple(piece for piece in block.pieces if piece.label in labels),
        details=tuple(detail for detail in block.details if detail.label in labels),
    )


def renewed(
    standing: Standing, edges_last: bool, replace_edited: bool, sewing: Sewing = sewn
) -> tuple[list[Step], list[Finding]]:
    """The new steps of a piece, as `sewing` gives them. Those edited by hand stand in for their
    kind, unless `replace_edited`; what the user added, or wrote on a group, is taken over."""
    steps, findings = sewing(standing.laid, edges_last)
    fresh = [_dressed(replace(step, digest=standing.digest), standing.steps) for step in steps]
    made = {step.kind for step in fresh}
    kept = [step for step in standing.steps if _is_kept(step, standing, made, replace_edited)]
    kinds = {step.kind for step in kept}
    result = [step for step in fresh if step.kind not in kinds]
    found = [*findings, *_losses(standing), *_restored(standing, edges_last)]
    if not standing.laid.hidden:
        result = sorted([*result, *kept], key=lambda step: RANK[step.kind])
    return result, found


def edits_kept(standing: Standing) -> list[Finding]:
    """That steps edited by hand were kept, if there are any."""
    if not standing.edited or standing.laid.hidden:
        return []
    text = (
        f"the {' and '.join(standing.edited)} step was edited by hand and is kept; "
        "use --replace-edited to have it made anew"
    )
    return [warning("edited", standing.label, text)]


def losses_of(label: str, steps: Iterable[Step]) -> Finding:
    """That a piece is gone from the drawing, and its steps with it."""
    by_hand = sorted({step.kind for step in steps if step.edited})
    text = "is no longer in the drawing; its steps were removed"
    if not by_hand:
        return note("gone", label, text)
    return warning("gone", label, f"{text}, the {' and '.join(by_hand)} edited by hand with them")


def _losses(standing: Standing) -> list[Finding]:
    """A piece that is hidden now is not sewn, whatever was edited in it."""
    if not (standing.laid.hidden and standing.edited):
        return []
    text = f"is hidden now; its {' and '.join(standing.edited)} edited by hand went with the rest"
    return [warning("edited", standing.label, text)]


def _restored(standing: Standing, edges_last: bool) -> list[Finding]:
    """That a step somebody deleted was made again: without it the others would not hold."""
    missing = () if standing.stale else standing.missing(edges_last)
    if not missing:
        return []
    text = f"its {' and '.join(missing)} step was missing and was made again"
    return [note("missing", standing.label, text)]


def _is_kept(step: Step, standing: Standing, made: set[StepKind], replace_edited: bool) -> bool:
    """Whether a step held in the document stays: edited ones with all others of their kind, and
    the user's own, of kinds that we don't make even where edited ones are to be replaced."""
    if _is_the_users(step) and step.kind not in made:
        return True
    by_hand = {held.kind for held in standing.steps if held.edited}
    return step.kind in by_hand and not replace_edited


def _is_the_users(step: Step) -> bool:
    """Whether the user drew the whole step: it bears no fingerprints."""
    return not step.digest and not step.made


def _dressed(step: Step, held: Sequence[Step]) -> Step:
    """A new step with what the user wrote on the old one of its kind."""
    before = next((old for old in held if old.kind == step.kind), None)
    if before is None:
        return step
    return replace(step, foreign=before.foreign, pause=own_words(before.pause))
