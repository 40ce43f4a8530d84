"""How a run sheet words figures, totals and cautions, on paper and on the page alike."""

from __future__ import annotations

from applique.paper.run_content import NeedleTable, RunSheet, Sitting
from applique.paper.sizes import SizeMm
from applique.paper.words import inches, length_words, size_words
from applique.quilt.words import time_words
from applique.report import counted
from applique.units import compact

CAUTIONS = (
    "Follow your machine's own safety instructions, those of your iron and cutters, and the rules "
    "where you live: they come before everything that stands here. Sew a test on scraps first.",
    "Needle: keep fingers, hair and sleeves away; stop the machine before you reach in, switch it "
    "off to change the needle, and never sew over pins.",
    "Blades: take the hoop off the machine to trim, lay it flat, cut away from your fingers, lift "
    "the fabric and not the base, and cover the blades at once.",
    "Iron: never on the hoop and never in the machine. It may take 90 minutes to cool: put it "
    "where nobody touches it.",
)
"""Common practice. That an iron may take up to 90 minutes to cool is said by the Sydney Children's
Hospitals Network; covered blades and cutting away from oneself by a safety guide of 4-H clothing
contests."""

MINUTES_TOLD = (
    "The machine's minutes are reckoned from its speed; those of your hands from what you say that "
    "laying, trimming, threading and hooping take."
)
HAND_STOPS_TOLD = (
    "A machine with several needles changes colour without a pause. Set a stop on its screen after "
    "these colour blocks, before you begin:"
)


def facts(sheet: RunSheet) -> list[str]:
    """What block it is."""
    told = []
    frame = sheet.card.frame
    if frame is not None:
        told.append(f"finished {size_words((frame.width, frame.height))}")
        told.append(f"seam allowance {length_words(frame.seam_allowance)}")
    pieces = counted(len(sheet.card.pieces), "piece", "pieces")
    fabrics = counted(len(sheet.card.by_fabric), "fabric", "fabrics")
    return [*told, f"{pieces} of {fabrics}"]


def totals(sheet: RunSheet) -> list[str]:
    """What it comes to."""
    return [
        counted(len(sheet.sittings), "hooping", "hoopings"),
        f"{thousands(sheet.stitches)} stitches",
        counted(sheet.machine_stops, "stop", "stops"),
        f"machine {time_words(sheet.machine_minutes)} at {sheet.stitches_per_minute:.0f} a minute",
        f"hands {time_words(sheet.hand_minutes)}",
    ]


def sitting_facts(sitting: Sitting) -> list[str]:
    """What a sitting comes to."""
    return [
        sitting.field,
        f"{thousands(sitting.stitches)} stitches",
        counted(sitting.machine_stops, "stop", "stops"),
        f"machine {time_words(sitting.machine_minutes)}",
        f"hands {time_words(sitting.hand_minutes)}",
    ]


STOP_BY_HAND = "Set a stop here by hand: the machine would go on."


def hand_stops(needles: NeedleTable, sittings: int) -> list[str]:
    """After which colour blocks a stop is set, one line for each of the sittings."""
    lines = []
    for number, stops in needles.hand_stops:
        where = f"Hooping {number}: " if sittings > 1 else ""
        blocks = ", ".join(str(stop) for stop in stops) or "none"
        lines.append(f"{where}{blocks}")
    return lines


def guidance_lines(sheet: RunSheet) -> list[tuple[str, str]]:
    """The user's own words, each with what it is about."""
    guidance = sheet.guidance
    named = [("Needle", guidance.needle), ("Stabiliser", guidance.stabiliser)]
    return [(what, words) for what, words in named if words] + [
        ("Note", words) for words in guidance.notes
    ]


def cut_words(size_mm: SizeMm) -> str:
    """A size to be cut, in whole mm and sixteenths of an inch."""
    width, height = size_mm
    return f"{compact(width, 0)} × {compact(height, 0)} mm, {inches(width)} × {inches(height)} in"


def thousands(number: int) -> str:
    """`18,923`."""
    return f"{number:,}"


def minutes(number: float) -> str:
    """A few minutes with a decimal, many without."""
    return f"{number:.1f}" if number < 9.95 else f"{number:.0f}"


def title_of(sheet: RunSheet) -> str:
    """What the sheet is called."""
    return f"{sheet.card.name or 'Block'}: run sheet"
