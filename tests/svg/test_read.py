"""Which shapes become pieces, with which settings, and what is said about the rest."""

import pytest

from applique.errors import InputError
from applique.svg.read import Request, read_block
from applique.svg.tagging import tag_document
from applique.svg.vocabulary import ap
from tests.shapes import drawing

SEA = '<rect id="sea" fill="#2f6f8f" x="10" y="10" width="30" height="20"/>'
ROCK = '<circle id="rock" fill="#808080" cx="60" cy="60" r="12"/>'
TAGGED = (
    '<rect id="t" ap:piece="7" ap:fabric="sand" fill="#ddd" x="5" y="5" width="20" height="20"/>'
)


ALL = Request()


def refusal(content: str, request: Request = ALL) -> list[str]:
    with pytest.raises(InputError) as refused:
        read_block(drawing(content), request)
    return [finding.sentence() for finding in refused.value.findings if finding.severity == "error"]


def test_with_nothing_tagged_every_filled_shape_is_a_piece() -> None:
    reading = read_block(drawing(f'{SEA}{ROCK}<path id="line" fill="none" d="M0 0h9v9z"/>'))
    assert [(p.label, p.source, p.fabric) for p in reading.block.pieces] == [
        ("1", "sea", "#2f6f8f"),
        ("2", "rock", "#808080"),
    ]
    assert "nothing is tagged; took whatever is filled: 2 shapes" in [
        f.message for f in reading.findings
    ]


def test_with_something_tagged_only_that_is_taken() -> None:
    reading = read_block(drawing(f"{SEA}{TAGGED}"))
    assert [(p.label, p.fabric) for p in reading.block.pieces] == [("7", "sand")]
    assert reading.concerned == {"7"}


def test_a_selection_is_taken_beside_what_is_tagged() -> None:
    reading = read_block(drawing(f"{SEA}{ROCK}{TAGGED}"), Request(select=("sea",)))
    assert [p.label for p in reading.block.pieces] == ["1", "7"]
    assert reading.concerned == {"1"}


def test_a_selected_group_brings_its_shapes() -> None:
    reading = read_block(drawing(f'<g id="g">{SEA}{ROCK}</g>'), Request(select=("g",)))
    assert len(reading.concerned) == 2


def test_hidden_pieces_count_if_they_are_tagged() -> None:
    reading = read_block(drawing(f'<g style="display:none">{TAGGED}</g>'))
    assert [p.label for p in reading.block.pieces] == ["7"]


def test_the_background_is_never_a_piece() -> None:
    background = '<rect id="bg" width="100" height="100" fill="#eee"/>'
    reading = read_block(drawing(f"{background}{SEA}"))
    assert [p.source for p in reading.block.pieces] == ["sea"]
    assert any(f.code == "background" for f in reading.findings)


def test_a_shape_on_top_of_everything_is_no_background() -> None:
    cover = '<rect id="mist" width="100" height="100" fill="#eee"/>'
    assert len(read_block(drawing(f"{SEA}{cover}")).block.pieces) == 2


def test_a_symbol_with_two_outlines_is_one_piece() -> None:
    symbol = '<symbol id="s"><path d="M0 0h19v19z"/><path d="M30 0h19v19z"/></symbol>'
    reading = read_block(drawing(f'<defs>{symbol}</defs><use id="u" href="#s" x="10" y="10"/>'))
    (piece,) = reading.block.pieces
    assert len(piece.outline.shape.geoms) == 2


def test_parts_and_pieces_never_share_a_label() -> None:
    group = f'<defs><g id="g">{SEA}{ROCK}</g></defs><use id="u" href="#g" ap:piece="5"/>'
    single = '<rect id="s" ap:piece="5.1" x="70" width="9" height="9"/>'
    labels = [p.label for p in read_block(drawing(group + single)).block.pieces]
    assert labels == ["5b.1", "5b.2", "5.1"]


def test_a_tag_on_what_can_be_no_piece_is_an_error() -> None:
    assert refusal(f'<g ap:piece="4">{SEA}</g><use id="u" ap:piece="5" href="#gone"/>{TAGGED}') == [
        "4: a group can't be one piece; tag the shapes in it, or combine them (Path > Combine)",
        "5: this clone shows nothing, because what it copies is gone; delete it",
    ]


def test_a_clone_of_nothing_is_left_with_a_warning() -> None:
    reading = read_block(drawing(f'{SEA}<use id="u" href="#gone"/>'))
    assert [f.object for f in reading.findings if f.severity == "warning"] == ["u"]


def test_a_clone_of_a_group_gives_a_piece_for_each_shape() -> None:
    group = f'<defs><g id="g">{SEA}{ROCK}</g></defs><use id="u" href="#g" ap:piece="5"/>'
    labels = [p.label for p in read_block(drawing(group)).block.pieces]
    assert labels == ["5.1", "5.2"]


def test_copies_of_a_label_get_letters() -> None:
    copies = "".join(
        f'<rect id="r{k}" ap:piece="17" x="{k * 12}" width="9" height="9"/>' for k in range(4)
    )
    labels = [p.label for p in read_block(drawing(copies)).block.pieces]
    assert labels == ["17", "17b", "17c", "17d"]


def test_a_label_stays_with_the_element_that_was_sewn_under_it() -> None:
    copy = '<rect id="copy" ap:piece="17" width="9" height="9"/>'
    original = '<rect id="old" ap:piece="17" x="20" width="9" height="9"/>'
    sewn = (
        '<g ap:role="stitching"><g ap:step="edge" ap:piece="17" ap:source="old">'
        '<path d="M0,0 L1,1"/></g></g>'
    )
    pieces = read_block(drawing(f"{copy}{original}{sewn}")).block.pieces
    assert {p.source: p.label for p in pieces} == {"copy": "17b", "old": "17"}


# Settings: the document, then the piece, then the command line; the nearest wins.


def test_the_nearest_setting_wins() -> None:
    defaults = '<metadata><ap:defaults edge-width="3" edge="satin"/></metadata>'
    own = '<rect id="a" ap:piece="1" ap:edge-width="4" width="30" height="30"/>'
    plain = '<rect id="b" ap:piece="2" x="40" width="30" height="30"/>'
    root = drawing(f"{defaults}{own}{plain}")
    widths = [p.settings.edge_width_mm for p in read_block(root).block.pieces]
    assert widths == [4, 3]
    commanded = read_block(root, Request(select=("b",), settings={"edge-width": 5.0}))
    assert [p.settings.edge_width_mm for p in commanded.block.pieces] == [4, 5]


def test_fabrics_carry_their_colour_and_turn() -> None:
    meta = '<metadata><ap:fabric name="sand" colour="#dcc08b" turn="half" grain="90"/></metadata>'
    reading = read_block(drawing(f"{meta}{TAGGED}"))
    (fabric,) = reading.block.fabrics
    assert (fabric.colour, fabric.turn, fabric.grain_degrees) == ("#dcc08b", "half", 90)
    assert reading.block.pieces[0].thread.colour == "#dcc08b"


def test_the_frame_is_centred_on_the_page() -> None:
    root = drawing(TAGGED, 'width="100mm" height="100mm" viewBox="0 0 100 100" ap:finished="80x60"')
    frame = read_block(root).block.frame
    assert frame is not None
    assert (frame.left, frame.top, frame.right, frame.bottom) == (10, 20, 90, 80)
    assert frame.seam_allowance == pytest.approx(6.35)


# Bad input: one sentence each, all of a run together.


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (
            '<path id="x" d="M10 10 h20 v20" fill="red"/>',
            "x: the path is open, its ends lie 28.28 mm apart; join them with the node tool "
            "(near 20.0, 20.0 mm)",
        ),
        (
            '<text id="x" y="20">Harbour</text>',
            "x: text can't be sewn; turn it into paths first (Path > Object to Path)",
        ),
        (
            '<image id="x" href="page.png"/>',
            "x: an image can't be sewn; trace it into closed paths first",
        ),
        (
            '<path id="x" d="M0 0 H20 Z"/>',
            "x: encloses no area; draw it anew or remove it",
        ),
        (
            '<path id="x" d="M0 0 L NaN 9 L 9 9 Z"/>',
            "x: its path data can't be read from 'NaN 9 L 9 9 Z' on; draw the shape again or mend "
            "its data",
        ),
        (
            '<rect id="x" width="9" height="9" transform="scale(1e308) scale(1e308)"/>',
            "x: its transform 'scale(1e308) scale(1e308)' can't be read: "
            "'1e308' is too large a number; mend or remove it",
        ),
        (
            '<rect id="x" width="9" height="9" transform="scale(0)"/>',
            "x: encloses no area; draw it anew or remove it",
        ),
        (
            '<rect id="x" ap:piece="3" ap:edge-width="99" width="9" height="9"/>',
            "3: edge-width must lie between 0.8 and 12 mm, not 99; change ap:edge-width",
        ),
        (
            '<rect id="x" ap:piece="3" ap:thread="bluish" width="9" height="9"/>',
            "3: ap:thread 'bluish' is no colour; write it as #rrggbb",
        ),
    ],
)
def test_refusals_of_what_was_selected(content: str, sentence: str) -> None:
    assert refusal(content, Request(select=("x",))) == [sentence]


def test_all_refusals_of_a_run_come_together() -> None:
    content = f'<path id="a" d="M0 0h9"/><text id="b">x</text>{SEA}'
    assert len(refusal(content, Request(select=("a", "b", "sea", "nosuch")))) == 3


def test_unknown_ids_and_empty_selections() -> None:
    assert refusal(SEA, Request(select=("gone",))) == [
        "gone: no element has this id; look it up in Object Properties"
    ]
    empty = refusal(f'{SEA}<g id="g"/>', Request(select=("g",)))
    assert empty == ["nothing in the selection can be sewn; select closed paths"]


def test_found_shapes_that_can_not_be_sewn_stay_artwork_with_a_warning() -> None:
    content = f'{SEA}<path id="x" d="M10 10 h20 v20" fill="red"/><text id="t">x</text>'
    reading = read_block(drawing(content))
    assert [p.source for p in reading.block.pieces] == ["sea"]
    assert {f.code for f in reading.findings if f.severity == "warning"} == {"open-path", "text"}


def test_open_sub_paths_of_a_compound_path_are_closed_as_the_fill_shows_them() -> None:
    # SVG 2, section 13.4.1: a fill closes every open sub-path with a straight line.
    content = '<path id="x" d="M0 0 h40 v40 h-40 z M10 10 v20 h20 v-20" fill="red"/>'
    reading = read_block(drawing(content))
    (piece,) = reading.block.pieces
    assert piece.outline.shape.area == pytest.approx(40 * 40 - 20 * 20)
    assert [f.sentence() for f in reading.findings if f.severity == "warning"] == [
        "x: 1 open sub-path was closed straight across, as the fill shows it, over 20.00 mm at "
        "most; join the ends if that is not the shape (near 20.0, 10.0 mm)"
    ]


def test_no_piece_at_all_is_an_error() -> None:
    assert refusal('<path id="x" fill="none" d="M0 0h9v9z"/>') == [
        "no filled closed shape was found; draw the pieces as closed paths with a fill"
    ]


def test_a_crossing_is_resolved_with_a_warning() -> None:
    reading = read_block(drawing('<path id="x" d="M10 10l20 20h-20l20-20z"/>'))
    (crossing,) = [f for f in reading.findings if f.code == "self-crossing"]
    assert crossing.severity == "warning"
    assert crossing.place == pytest.approx((20, 20))


def test_unknown_tags_are_kept_and_told() -> None:
    root = drawing('<rect id="x" ap:piece="3" ap:colour-of-button="red" width="9" height="9"/>')
    reading = read_block(root)
    assert any("ap:colour-of-button is not known" in f.message for f in reading.findings)
    assert root[0].get("{https://underlap.example/svg/1}colour-of-button") == "red"


@pytest.mark.parametrize(
    ("metadata", "sentence"),
    [
        ('<ap:fabric name="sand" turn="upside"/>', "sand: turn must be one of any, half, none"),
        ('<ap:fabric name="sand" grain="nan"/>', "sand: 'nan' is no angle"),
        ('<ap:fabric name="sand" colour="sky"/>', "sand: 'sky' is no colour"),
        ('<ap:fabric colour="#123456"/>', "ap:fabric: the fabric has no name"),
        ('<ap:defaults edge="fringe"/>', "ap:defaults: edge must be one of satin"),
        (
            '<ap:fabric name="sand"/><ap:fabric name="sand" grain="90"/>',
            "sand: it is described twice, not in the same way",
        ),
    ],
)
def test_faults_in_the_metadata_are_named(metadata: str, sentence: str) -> None:
    (found,) = refusal(f"<metadata>{metadata}</metadata>{TAGGED}")
    assert found.startswith(sentence)
    assert found.endswith("in the document's metadata")


@pytest.mark.parametrize(
    ("attributes", "complaint"),
    [
        ({"seam-allowance": "-3"}, "it must lie between 0 and 100 mm, not -3"),
        ({"seam-allowance": "nan"}, "'nan' is not a length"),
        ({"seam-allowance": "1e999"}, "too large"),
        ({"finished": "1e6x1e6"}, "no block is larger than 10 m"),
        ({"finished": "0x80"}, "both sides must be larger than 0"),
    ],
)
def test_faults_of_the_frame_are_told(attributes: dict[str, str], complaint: str) -> None:
    root = drawing(TAGGED)
    for name, value in {"finished": "80x80", **attributes}.items():
        root.set(ap(name), value)
    with pytest.raises(InputError) as refused:
        read_block(root)
    (sentence,) = [f.sentence() for f in refused.value.findings if f.severity == "error"]
    assert complaint in sentence


def test_what_does_not_count_is_told() -> None:
    root = drawing(f'<metadata><ap:defaults beads="3"/></metadata>{TAGGED}')
    root.set(ap("version"), "2")
    root.set(ap("finished"), "800x80")
    root[1].set(ap("order"), "fewest")
    reading = read_block(root)
    told = [finding.sentence() for finding in reading.findings]
    assert any(text.startswith("the document has ap:version 2") for text in told)
    assert "ap:defaults: 'beads' is no setting and was left alone" in told
    assert any(text.startswith("7: order holds for the whole block") for text in told)
    assert any("larger than the page" in text for text in told)


def test_a_newer_version_is_not_written_over() -> None:
    root = drawing(TAGGED)
    root.set(ap("version"), "2")
    tag_document(root, read_block(root), ALL)
    assert root.get(ap("version")) == "2"


def test_an_empty_fabric_counts_as_none() -> None:
    root = drawing(SEA.replace("<rect", '<rect ap:piece="3" ap:fabric=""'))
    reading = read_block(root)
    assert reading.block.pieces[0].fabric == "#2f6f8f"
    tag_document(root, reading, ALL)
    assert root.find(".//*[@id='sea']").get(ap("fabric")) == "#2f6f8f"


def test_defaults_stand_in_one_place() -> None:
    metadata = '<metadata><ap:defaults edge="satin"/><ap:defaults edge="blanket"/></metadata>'
    assert refusal(metadata + TAGGED) == [
        "ap:defaults: the metadata hold more than one; put them together"
    ]
