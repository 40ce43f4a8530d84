"""An independent decoder of three-byte tape records (.dst).

Written from the published record table and nothing else: bit weights from achatina.de/sewing
(DST.HTM), the end record from a public wiki page on the ternary tape code (2012). It shares no line
with the library that writes the files. y points up on the tape.
"""

from __future__ import annotations

from dataclasses import dataclass

HEADER_BYTES = 512

# Byte by byte, from bit 7 down to bit 0: what the bit adds to x and y.
_WEIGHTS = (
    ((0, 1), (0, -1), (0, 9), (0, -9), (-9, 0), (9, 0), (-1, 0), (1, 0)),
    ((0, 3), (0, -3), (0, 27), (0, -27), (-27, 0), (27, 0), (-3, 0), (3, 0)),
    ((0, 0), (0, 0), (0, 81), (0, -81), (-81, 0), (81, 0), (0, 0), (0, 0)),
)
_JUMP_BIT, _COLOUR_BIT, _ALWAYS_SET = 0x80, 0x40, 0x03
END = bytes((0x00, 0x00, 0xF3))


@dataclass(frozen=True)
class Record:
    """One record: how far the frame moves, and whether the needle sews, jumps or stops."""

    dx: int
    dy: int
    kind: str


def decode_record(record: bytes) -> Record:
    """Read three bytes."""
    assert record[2] & _ALWAYS_SET == _ALWAYS_SET, "bits 0 and 1 of the third byte are always set"
    dx = dy = 0
    for byte, weights in zip(record, _WEIGHTS, strict=True):
        for bit, (x, y) in zip(range(7, -1, -1), weights, strict=True):
            if byte & (1 << bit):
                dx, dy = dx + x, dy + y
    if record[2] & _COLOUR_BIT:
        return Record(dx, dy, "stop")
    return Record(dx, dy, "jump" if record[2] & _JUMP_BIT else "stitch")


@dataclass(frozen=True)
class Tape:
    """A whole tape: penetrations in units from the origin, y down as in a drawing, and how many of
    them come before each stop and before each run of three or more jumps (a trim)."""

    stitches: list[tuple[int, int]]
    stops: list[int]
    trims: list[int]


def decode(data: bytes) -> Tape:
    """Read a file: header, records, end."""
    body = data[HEADER_BYTES:]
    x = y = jumps = 0
    stitches: list[tuple[int, int]] = []
    stops: list[int] = []
    trims: list[int] = []
    for start in range(0, len(body) - 2, 3):
        record = body[start : start + 3]
        if record == END:
            return Tape(stitches, stops, trims)
        step = decode_record(record)
        x, y = x + step.dx, y + step.dy
        jumps = jumps + 1 if step.kind == "jump" else 0
        if jumps == 3:
            trims.append(len(stitches))
        if step.kind == "stitch":
            stitches.append((x, -y))
        elif step.kind == "stop":
            stops.append(len(stitches))
    raise AssertionError("the tape has no end record")
