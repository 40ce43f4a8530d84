"""quilt.toml as the tests need it: the documented one, and one table of everything that is wrong.

The table is for the reader and for the schema alike: what a schema can know, it must refuse too.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

PAGE = Path(__file__).resolve().parents[2] / "docs" / "quilt.md"


def documented() -> list[str]:
    """The texts in docs/quilt.md: the smallest quilt, the whole one, a table of threads."""
    return re.findall(r"```toml\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.S)


SMALL, FULL, THREADS = documented()


@dataclass(frozen=True)
class Bad:
    """A fault: what of the full text is `old` becomes `new`. The finding is about `object` and
    holds `words`; `in_schema` tells whether a schema can know. The line told is the last of `new`,
    or so many lines `above`."""

    old: str
    new: str
    object: str
    words: str
    in_schema: bool = True
    above: int = 0

    @property
    def text(self) -> str:
        """The full text with the fault in it."""
        assert FULL.count(self.old) >= 1, self.old
        return FULL.replace(self.old, self.new, 1)

    @property
    def line(self) -> int:
        """The line of the fault."""
        first = FULL.count("\n", 0, FULL.index(self.old)) + 1
        return first + self.new.rstrip().count("\n") - self.above


_STRIP = 'sashing = { width = "1in", fabric = "lime wash" }'
_NOTES = FULL[FULL.index("notes = ") : FULL.index("\n\n[defaults]")]
_ROWS = FULL[FULL.index("rows = ") : FULL.index("\nsashing")]
_LIGHTHOUSE = FULL.count("\n", 0, FULL.index("[[block]]")) + 1
_FILE = 'file = "lighthouse.svg"'
_OUTSIDE = "must name a file in the folder of quilt.toml or in one below it"

BAD = {
    "unknown key at the top": Bad("[papers]", "[papres]", "quilt.toml", "did you mean papers?"),
    "unknown key of a table": Bad(
        "speed = 600", "sped = 600", "machine", "'sped' is not known here; did you mean speed?"
    ),
    "underscore for a hyphen": Bad(
        'web-width = "17in"', "web_width = 3", "cutting", "did you mean web-width?"
    ),
    "unknown key of a block": Bad(
        "week = 2", "weak = 2", "Gull", "'weak' is not known here; did you mean week?"
    ),
    "unknown key of a fabric": Bad("price = 12.5", "cost = 3", "sea blue", "'cost' is not known"),
    "unknown key of a spool": Bad(
        "metres = 200", "length = 200", "grandmother's red", "'length' is nothing that a thread has"
    ),
    "unknown key of a border": Bad(
        'fabric = "wave print"', 'fabrik = "wave print"', "borders 1", "did you mean fabric?"
    ),
    "unknown setting": Bad("edge-spacing = 2.5", "edge-space = 1", "settings", "is no setting"),
    "a setting out of range": Bad(
        "edge-spacing = 2.5", "edge-spacing = 99", "settings", "must lie between 0.2 and 7 mm"
    ),
    "a setting for single shapes": Bad(
        'thread-weight = "40"', 'detail = "run"', "defaults", "holds for single shapes only"
    ),
    "text for a number": Bad("speed = 600", 'speed = "fast"', "machine", "must be a number"),
    "true for a number": Bad("margin = 1\n", "margin = true\n", "machine", "must be a number"),
    "number for true": Bad("turn = true", "turn = 1", "machine", "must be true or false"),
    "a number too small": Bad("speed = 600", "speed = 1", "machine", "must lie between 50 and"),
    "no number": Bad("trimming = 3", "trimming = nan", "handwork", "not nan", in_schema=False),
    "a number too large": Bad(
        "trimming = 3", "trimming = 1" + "0" * 400, "handwork", "not so large a number"
    ),
    "no whole number": Bad("copies = 1", "copies = 1.5", "Lighthouse", "a whole number, not 1.5"),
    "no copies": Bad("copies = 1", "copies = 0", "Lighthouse", "must lie between 1 and 1000"),
    "a length without sense": Bad('grip = "1in"', 'grip = "1 ell"', "machine", "'ell' has no"),
    "a size without sense": Bad(
        'finished = "254x254"', 'finished = "254"', "Lighthouse", "is not a size"
    ),
    "a colour without sense": Bad(
        '"#fbf7ee"', '"#fbf7e"', "lime wash", "'#fbf7e' is no colour; write it as #rrggbb"
    ),
    "a colour left empty": Bad('"#fbf7ee"', '""', "lime wash", 'write colour = "#2f6f8f"'),
    "a colour nobody knows": Bad(
        '"#fbf7ee"', '"blueish"', "lime wash", "'blueish' is no colour", in_schema=False
    ),
    "a thread by a word": Bad(
        '"#b2392f"', '"red"', "grandmother's red", "must be written as #rrggbb"
    ),
    "a fabric that is a number": Bad('"#fbf7ee"', "3", "fabrics", "must be a colour, or a table"),
    "a rule of turning": Bad('"half"', '"twice"', "sea blue", "must be one of any, half, none"),
    "a swatch without its size": Bad(
        'swatch = "swatches/waves.png"\nswatch-size',
        'swatch = "swatches/waves.png" #',
        "wave print",
        "swatch means nothing without swatch-size",
    ),
    "a format": Bad('format = "dst"', 'format = "doc"', "machine", "must be one of dst, pes"),
    "a hoop by an unknown name": Bad(
        '"8x12in"', '"3x33in"', "machine", "no usual field goes by", in_schema=False
    ),
    "a hoop that no machine has": Bad(
        '"160x260"', '"5x5000"', "machine", "sides of a hoop's field", in_schema=False
    ),
    "hoops that are no list": Bad(
        'hoops = ["160x260", "8x12in"]', 'hoops = "160x260"', "machine", "must be a list of texts"
    ),
    "a margin without hoops": Bad(
        'hoops = ["160x260", "8x12in"]\nturn = true',
        "turn = true",
        "machine",
        "turn means nothing without hoops",
    ),
    "a margin that leaves nothing": Bad(
        "margin = 1\n", "margin = 99\n", "machine", "leaves nothing of the field", in_schema=False
    ),
    "needles": Bad('needles = "single"', 'needles = "many"', "machine", "must be a number"),
    "more needles than any": Bad(
        'needles = "single"', "needles = 400", "machine", "must lie between 1 and 20"
    ),
    "a sheet": Bad('"305x610=2"', '"305x610=many"', "cutting", "is no number of sheets"),
    "a tool": Bad('tool = "cutter"', 'tool = "teeth"', "cutting", "must be one of cutter"),
    "a paper": Bad('paper = "a4"', 'paper = "a4000"', "papers", "is no paper"),
    "notes that are no list": Bad(_NOTES, 'notes = "x"', "guidance", "must be a list of texts"),
    "rows that are no lists": Bad(_ROWS, 'rows = ["Gull"]', "quilt", "lists of names in a list"),
    "a row of an unknown block": Bad(
        '["Gull", ""]', '["Gul", ""]', "row 2", "did you mean Gull?", in_schema=False
    ),
    "sashing of an unknown fabric": Bad(
        _STRIP,
        _STRIP.replace("lime wash", "lime"),
        "sashing",
        "fabric 'lime' is none of [fabrics]; did you mean lime wash?",
        in_schema=False,
    ),
    "cornerstones of an unknown fabric": Bad(
        'cornerstone = "sea blue"',
        'cornerstone = "velvet"',
        "quilt",
        "cornerstone 'velvet' is none of [fabrics]; add it there",
        in_schema=False,
    ),
    "a border of an unknown fabric": Bad(
        'fabric = "wave print"', 'fabric = "x"', "borders 1", "none of [fabrics]", in_schema=False
    ),
    "sashing without a width": Bad(_STRIP, 'sashing = { fabric = "lime wash" }', "sashing", "no w"),
    "sashing that is a number": Bad(_STRIP, "sashing = 25", "quilt", "must be a table"),
    "a block without a name": Bad('name = "Lighthouse"', 'name = " "', "block 1", "has no name"),
    "a block without a file": Bad(
        _FILE, "", "Lighthouse", "has neither a file nor a layout; write file", above=2
    ),
    "a block with both": Bad(
        _FILE, _FILE + '\nlayout = "a.toml"', "Lighthouse", "has both a file and a layout", above=3
    ),
    "a block of a whole path": Bad(_FILE, 'file = "/etc/a.svg"', "Lighthouse", _OUTSIDE),
    "a block that climbs out": Bad(_FILE, 'file = "a/../../b.svg"', "Lighthouse", _OUTSIDE),
    "a block with backslashes": Bad(_FILE, r'file = "a\\b.svg"', "Lighthouse", _OUTSIDE),
    "a block on a drive": Bad(_FILE, 'file = "c:b.svg"', "Lighthouse", _OUTSIDE),
    "a block in a home": Bad(_FILE, 'file = "~/b.svg"', "Lighthouse", _OUTSIDE),
    "a picture for a block": Bad(_FILE, 'file = "b.png"', "Lighthouse", "must end with .svg"),
    "a file that is a number": Bad(_FILE, "file = true", "Lighthouse", "must be a text in quotes"),
    "a name given twice": Bad(
        'name = "Gull"',
        'name = "Lighthouse"',
        "Lighthouse",
        f"the block of line {_LIGHTHOUSE} has this name too",
        in_schema=False,
    ),
    "two names for one file": Bad(
        'name = "Gull"',
        'name = "lighthouse!"',
        "lighthouse!",
        f"the names of those of 'Lighthouse' (line {_LIGHTHOUSE}), lighthouse; give one",
        in_schema=False,
    ),
    "fewer copies than places": Bad(
        "week = 2", "week = 2\ncopies = 1", "Gull", "the rows place it 2 times", in_schema=False
    ),
    "a week that is a word": Bad("week = 2", 'week = "second"', "Gull", "must be a number"),
}
