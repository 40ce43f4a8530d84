"""What a pattern of the format library tells the machine, on patterns made by hand."""

import pyembroidery as pe

from applique.export.commands import Commands, colours_of, commands_of, readers

SEW, MOVE, CUT, REST, NEXT = pe.STITCH, pe.JUMP, pe.TRIM, pe.STOP, pe.COLOR_CHANGE


def told(*commands: int) -> Commands:
    """The commands of a pattern that goes a step to the right with each."""
    pattern = pe.EmbPattern()
    pattern.stitches = [[x, -x, command] for x, command in enumerate(commands)]
    return commands_of(pattern)


def test_penetrations_are_told_with_their_places() -> None:
    found = told(MOVE, SEW, SEW, MOVE, SEW, pe.END)
    assert found.stitches.tolist() == [[1, -1], [2, -2], [4, -4]]


def test_stops_and_trims_are_counted_in_the_stitches_before_them() -> None:
    found = told(SEW, SEW, CUT, SEW, NEXT, SEW, SEW, REST, SEW)
    assert found.trims.tolist() == [2]
    assert found.stops.tolist() == [3, 5]
    assert found.new_thread.tolist() == [True, False]


def test_trims_before_the_first_stitch_or_after_the_last_are_not_told() -> None:
    assert told(CUT, SEW, SEW, CUT).trims.tolist() == []
    assert told(CUT, SEW, CUT, CUT, SEW, SEW, CUT, SEW, CUT).trims.tolist() == [1, 3]


def test_the_first_needle_is_no_stop_but_the_next_ones_are() -> None:
    found = told(pe.NEEDLE_SET, MOVE, SEW, pe.NEEDLE_SET, SEW)
    assert found.stops.tolist() == [1]
    assert found.new_thread.tolist() == [True]
    # A change of colour before anything is sewn is one.
    assert told(NEXT, SEW).stops.tolist() == [0]


def test_moves_in_a_row_are_one() -> None:
    assert told(MOVE, MOVE, SEW, SEW, MOVE, SEW, CUT, MOVE, MOVE, MOVE, SEW).jumps == 3
    assert told(SEW, SEW).jumps == 0


def test_the_number_of_a_needle_in_a_command_word_makes_no_difference() -> None:
    number = 3 << 16
    found = told(SEW, NEXT | number, SEW, pe.NEEDLE_SET | number, SEW)
    assert found.stops.tolist() == [1, 2]


def test_a_pattern_may_be_empty() -> None:
    found = told()
    assert found.stitches.shape == (0, 2)
    assert (found.stops.tolist(), found.trims.tolist(), found.jumps) == ([], [], 0)


def test_colours_are_red_green_and_blue() -> None:
    pattern = pe.EmbPattern()
    pattern.add_thread(0x2F6F8F)
    pattern.add_thread(0xFF0001)
    assert colours_of(pattern) == [(0x2F, 0x6F, 0x8F), (255, 0, 1)]


def test_readers_are_those_of_embroidery_in_alphabetical_order() -> None:
    suffixes = list(readers())
    assert suffixes == sorted(suffixes)
    assert {"dst", "exp", "hus", "jef", "pec", "pes", "u01", "vp3", "xxx"} <= set(suffixes)
    assert not {"gcode", "col", "edr", "inf", "json", "csv", "png", "svg", "txt"} & set(suffixes)
