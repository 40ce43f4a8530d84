"""Part of a block as a machine file: what `applique stitch` does and tells when only a part is sewn
again."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from applique.cli.say import say
from applique.errors import UsageError
from applique.report import counted

if TYPE_CHECKING:
    from lxml import etree

    from applique.model import Plan, Thread


def stop_number(text: str) -> int:
    """Read the number of a stop, from 1."""
    if not (text.isascii() and text.isdigit() and 0 < int(text) < 10_000):
        raise argparse.ArgumentTypeError(f"'{text}' is no stop; they are numbered from 1")
    return int(text)


def check_words(from_stop: int | None, only: tuple[str, ...] | None, centre: str) -> None:
    """Raise UsageError for words about a part that don't go together."""
    if from_stop is None and only is None:
        return
    if from_stop is not None and only is not None:
        raise UsageError("--from-stop: can't be given together with --only; leave one of them out")
    if centre != "note":
        raise UsageError(
            f"--centre {centre}: would sew across what lies on the block by now; leave it out, and "
            "use the offset that is told"
        )


def part_of_pieces(root: etree._Element, whole: Plan, labels: tuple[str, ...]) -> Plan:
    """What is sewn of some pieces of a layered block whose plan is `whole`."""
    from applique.sequence.plan import plan_of
    from applique.sequence.resume import only_pieces
    from applique.svg.tagged import read_steps

    return plan_of(only_pieces(read_steps(root).steps, labels), whole.name, whole.centre)


def say_from_stop(whole: Plan, part: Plan, number: int) -> None:
    """Tell what must lie on the block already, and with which thread it goes on."""
    from applique.sequence.resume import done_before

    say(f"begins with what is sewn after stop {number}; what was laid stays, lay nothing twice")
    for done in done_before(whole, number):
        say(f"  done at stop {done.stop}: {done.pause}")
    if len(part.blocks) > 1:
        say(f"stop 1 of this file is stop {number + 1} of the whole")
    _say_thread(part.blocks[0].thread)
    _say_shift(whole, part)


def say_only(whole: Plan, part: Plan, labels: tuple[str, ...]) -> None:
    """Tell what is to be done ahead, and with which thread it begins."""
    pieces = counted(len(labels), "piece", "pieces")
    say(
        f"sews only {pieces}: {', '.join(labels)}; first unpick what is spoiled of it, and mind "
        "that the needle goes through whatever lies on top"
    )
    for number, block in enumerate(part.blocks, start=1):
        if block.pause:
            say(f"  stop {number}: {block.pause}")
    _say_thread(part.blocks[0].thread)
    _say_shift(whole, part)


def _say_thread(thread: Thread) -> None:
    name = f" ({thread.name})" if thread.name else ""
    say(f"first thread: {thread.colour}{name}")


def _say_shift(whole: Plan, part: Plan) -> None:
    """Tell how far the part must be set off on a machine that centres every file: a part reaches
    elsewhere than the whole, and would be sewn beside its place."""
    from applique.sequence.centre import is_lopsided, offset_from_centre, way_told

    right, down = offset_from_centre(part)
    say(
        f"the middle of these stitches lies {way_told(right, down)} the origin of the whole file. "
        "A machine that keeps a file's origin sews them in their place; on one that centres a file "
        "on its stitches, move them by so much. Trace the outline or walk the needle to the first "
        "stitch before you sew, as the machine's instructions say"
    )
    if is_lopsided(whole):
        first_right, first_down = offset_from_centre(whole)
        say(
            "if such a machine has centred the whole file on its stitches, without marks or a box, "
            f"move them until their middle lies {way_told(right - first_right, down - first_down)} "
            "that of the whole instead"
        )
