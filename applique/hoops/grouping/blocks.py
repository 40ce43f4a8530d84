"""The colour blocks of one hooping: exactly for few parts, by a quick rule for many.

The exact search (`sequence/colours`) takes milliseconds for a dozen parts and up to a second for
fifty. Where thousands of hoopings are compared, the quick rule does for the larger ones: always sew
the colour of which most parts can be sewn now, at most LOOSE_AT_ONCE of them.
"""

from __future__ import annotations

from collections.abc import Sequence

from applique.sequence.colours.fewest import fewest_blocks
from applique.sequence.colours.tasks import Tasks

LOOSE_AT_ONCE = 4
"""The most loose pieces that one stop lays; the default of the table of settings. No more than a
preference hangs on it here."""

MOST_EXACT = 12
"""Parts up to which the exact search is fast enough: some 5 ms, measured."""


def fewest_of(colours: Sequence[str], below: Sequence[Sequence[int]]) -> int:
    """The fewest colour blocks for parts in an order in which each comes after its `below`."""
    count = len(colours)
    tasks = Tasks(colours, below, [1] * count, [True] * count, LOOSE_AT_ONCE)
    # Block 0 stays empty: the pieces of the first one are laid at the stop before it.
    return len(set(fewest_blocks(tasks).block))


def quick_count(colours: Sequence[str], below: Sequence[Sequence[int]]) -> int:
    """As `fewest_of`, by the quick rule: as many or a few more."""
    block = [-1] * len(colours)
    number = 0
    while -1 in block:
        ready: dict[str, list[int]] = {}
        for part, lowers in enumerate(below):
            # Only a block before this one has what the part lies on finished.
            if block[part] < 0 and all(0 <= block[lower] < number for lower in lowers):
                ready.setdefault(colours[part], []).append(part)
        colour = min(ready, key=lambda name: (-min(len(ready[name]), LOOSE_AT_ONCE), name))
        for part in ready[colour][:LOOSE_AT_ONCE]:
            block[part] = number
        number += 1
    return number
