"""Which elements become details, of which style, in which thread, and what is refused."""

import numpy as np
import pytest

from applique.errors import InputError
from applique.model import Detail
from applique.pipeline import make_layers
from applique.svg.read import Reading, Request, read_block
from applique.svg.tagging import tag_document, tag_elements
from applique.svg.vocabulary import ap
from tests.shapes import drawing

SEA = '<rect id="sea" fill="#2f6f8f" x="10" y="10" width="60" height="60"/>'
SMILE = '<path id="smile" ap:detail="auto" fill="none" stroke="#c23b34" d="M20 30 q10 9 20 0"/>'
EYE = '<circle id="eye" ap:detail="" fill="#222222" stroke="#ffffff" cx="20" cy="20" r="2"/>'
NAME = '<path id="name" fill="#ffffff" d="M20 50h12v2h-5v10h-2v-10h-5z"/>'


def read(content: str, **request) -> Reading:
    return read_block(drawing(content), Request(**request))


def only_detail(content: str, **request) -> Detail:
    (found,) = read(content, **request).block.details
    return found


def refusal(content: str, **request) -> list[str]:
    with pytest.raises(InputError) as refused:
        read(content, **request)
    return [f.sentence() for f in refused.value.findings if f.severity == "error"]


def test_an_open_path_is_a_line_in_the_colour_of_its_stroke() -> None:
    found = only_detail(SEA + SMILE)
    assert (found.style, found.thread.colour) == ("there-and-back", "#c23b34")
    (line,) = found.lines
    assert not line.closed
    assert line.points[[0, -1]].tolist() == [[20, 30], [40, 30]]
    # The middle of a quadratic curve lies half way to its control point.
    assert line.points[:, 1].max() == pytest.approx(34.5, abs=0.01)


def test_a_line_to_one_place_and_back_is_open() -> None:
    content = '<path ap:detail="line" fill="none" stroke="#c23b34" d="M20 30 h10 z"/>'
    (line,) = only_detail(SEA + content).lines
    assert not line.closed
    assert line.points.tolist() == [[20, 30], [30, 30]]


def test_a_closed_filled_shape_is_a_spot_in_the_colour_of_its_fill() -> None:
    found = only_detail(SEA + EYE)
    assert (found.style, found.thread.colour) == ("spot", "#222222")
    assert found.shape.area == pytest.approx(np.pi * 4, rel=0.01)


def test_a_closed_shape_without_a_fill_is_a_line() -> None:
    found = only_detail(SEA + EYE.replace('fill="#222222"', 'fill="none"'))
    assert (found.style, found.thread.colour) == ("there-and-back", "#ffffff")
    assert found.lines[0].closed


@pytest.mark.parametrize("style", ["run", "there-and-back", "line"])
def test_a_style_that_is_named_is_taken(style: str) -> None:
    found = only_detail(SEA + EYE.replace('detail=""', f'detail="{style}"'))
    assert found.style == style
    assert found.thread.colour == "#ffffff"


def test_the_tagged_thread_wins() -> None:
    smile = SMILE.replace("ap:detail", 'ap:thread="#00f" ap:thread-name="deep" ap:detail')
    thread = only_detail(SEA + smile).thread
    assert (thread.colour, thread.name) == ("#0000ff", "deep")


def test_an_unknown_style_is_told_and_taken_for_auto() -> None:
    reading = read(SEA + SMILE.replace('"auto"', '"wavy"'))
    assert reading.block.details[0].style == "there-and-back"
    assert [f.code for f in reading.findings if f.severity == "warning"] == ["detail"]


def test_a_detail_has_no_fabric_and_is_no_piece() -> None:
    reading = read(SEA + SMILE + EYE)
    assert [piece.source for piece in reading.block.pieces] == ["sea"]
    assert [detail.label for detail in reading.block.details] == ["2", "3"]
    assert [fabric.name for fabric in reading.block.fabrics] == ["#2f6f8f"]


def test_details_know_the_pieces_drawn_after_them() -> None:
    top = SEA.replace("sea", "top")
    details = read(SMILE + SEA + EYE + top).block.details
    assert [sorted(detail.under) for detail in details] == [["2", "4"], ["4"]]


def test_transforms_clones_and_sub_paths_give_lines_in_place() -> None:
    feather = '<path id="f" ap:detail="run" stroke="#000" d="M0 0h4 M0 2h4"/>'
    clone = '<use id="u" href="#f" transform="translate(20,10) scale(2)"/>'
    found = only_detail(f"<defs>{feather}</defs>{SEA}{clone}")
    assert found.source == "u"
    ends = [line.points[[0, -1]].tolist() for line in found.lines]
    assert ends == [[[20, 10], [28, 10]], [[20, 14], [28, 14]]]


def test_a_symbol_may_hold_a_piece_and_its_details() -> None:
    symbol = f'<symbol id="s">{SEA}{SMILE}{EYE}</symbol>'
    reading = read(f'<defs>{symbol}</defs><use id="u" ap:piece="5" href="#s"/>')
    assert [piece.label for piece in reading.block.pieces] == ["5.1"]
    assert [d.style for d in reading.block.details] == ["there-and-back", "spot"]


@pytest.mark.parametrize(
    ("content", "complaint"),
    [
        (
            '<circle id="c" ap:piece="9" ap:detail="spot" r="5" cx="20" cy="20"/>',
            "9: is 10.0 mm across, too large for a spot of satin (at most 7 mm); make it smaller, "
            "or a piece by removing ap:detail",
        ),
        (
            '<path id="p" ap:detail="spot" d="M20 20h3v3"/>',
            "p: a spot needs a closed path, and the ends of this one lie 4.24 mm apart; join them "
            "with the node tool, or sew it as a line (near 21.5, 21.5 mm)",
        ),
        (
            '<path id="p" ap:detail="run" d="M20 20"/>',
            "p: draws nothing that could be sewn; draw it anew or remove it",
        ),
        (
            '<g id="g" ap:detail="run"><path d="M20 20h3v3"/></g>',
            "g: a group can't be one piece; tag the shapes in it, or combine them (Path > Combine)",
        ),
        (
            '<path ap:piece="p" ap:detail="run" ap:thread="no" d="M20 20h9"/>',
            "p: ap:thread 'no' is no colour; write it as #rrggbb",
        ),
    ],
)
def test_refusals_name_the_detail_and_the_remedy(content: str, complaint: str) -> None:
    assert refusal(SEA.replace("fill", 'ap:piece="1" fill', 1) + content) == [complaint]


def test_a_smaller_size_of_spots_can_be_set() -> None:
    assert "too large for a spot" in refusal(SEA + EYE, settings={"spot-size": 3})[0]


# Letters and other slivers


def test_letters_nobody_tagged_become_details() -> None:
    root = drawing(SEA + NAME)
    reading = read_block(root)
    (name,) = reading.block.details
    assert (name.source, name.style, name.thread.colour) == ("name", "spot", "#ffffff")
    (told,) = [f for f in reading.findings if f.code == "detail"]
    assert told.severity == "note"
    assert ": 2; " in told.message
    tag_document(root, reading, Request())
    assert root[-1].get(ap("detail")) == "spot"
    assert root[-1].get(ap("fabric")) is None
    again = read_block(root)
    assert [d.label for d in again.block.details] == ["2"]
    assert not [f for f in again.findings if f.code == "detail"]


def test_a_tagged_sliver_stays_a_piece_with_a_warning() -> None:
    reading = read(SEA + NAME.replace("fill", 'ap:piece="N" ap:fabric="white" fill', 1))
    assert [piece.label for piece in reading.block.pieces] == ["N"]
    (told,) = [f for f in reading.findings if f.severity == "warning"]
    assert (told.code, told.object) == ("sliver", "N")


def test_a_narrower_edge_leaves_a_letter_its_fabric() -> None:
    narrow = {"edge": "zigzag", "edge-width": 0.8}
    wide = NAME.replace("v2h-5v10h-2v-10h-5", "v4h-4v10h-4v-10h-4")
    assert read(SEA + wide).block.details
    assert not read(SEA + wide, settings=narrow).block.details


def test_what_is_seen_through_one_clone_turns_as_a_whole_or_not() -> None:
    group = f'<defs><g id="g">{SEA}{NAME}</g></defs><use id="u" href="#g"/>'
    assert not read(group).block.details
    letters = (
        f'<defs><g id="g">{NAME}{NAME.replace("name", "n2")}</g></defs><use id="u" href="#g"/>'
    )
    assert len(read(SEA + letters).block.details) == 2


def test_a_sliver_may_be_made_fabric_all_the_same() -> None:
    root = drawing(SEA + NAME)
    make_layers(root)
    make_layers(root, Request(("name",), {"detail": "none"}))
    assert not read_block(root).block.details


# Tagging


def test_a_style_is_written_to_what_is_selected() -> None:
    root = drawing(SEA + SMILE.replace('ap:detail="auto" ', ""))
    make_layers(root, Request(("sea",)))
    layers = make_layers(root, Request(("smile",), {"detail": "line", "detail-width": 2.0}))
    assert layers.made == ("2",)
    smile = root.xpath("//*[@id='smile']")[0]
    assert (smile.get(ap("detail")), smile.get(ap("detail-width"))) == ("line", "2")
    assert smile.get(ap("piece")) == "2"


def test_a_style_needs_a_selection() -> None:
    assert refusal(SEA + EYE, settings={"detail": "run"}) == [
        "detail: holds for single elements; select the lines and small shapes that it is for"
    ]


def test_the_dialog_tags_without_making_layers() -> None:
    root = drawing(SEA + SMILE.replace('ap:detail="auto" ', ""))
    tag_elements(root, ["smile"], {"detail": "run"})
    assert root[-1].get(ap("detail")) == "run"


def test_a_document_has_no_style_of_detail_for_all() -> None:
    reading = read('<metadata><ap:defaults detail="run"/></metadata>' + SEA)
    assert [piece.source for piece in reading.block.pieces] == ["sea"]
    assert [f.code for f in reading.findings if f.code == "setting"] == ["setting"]
