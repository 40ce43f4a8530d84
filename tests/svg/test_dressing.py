"""A drawing dressed for its quilt, and sewn in the quilt's threads afterwards."""

import pytest
from lxml import etree

from applique.files import read_svg
from applique.model import Fabric, Thread
from applique.pipeline import make_layers, refresh_layers
from applique.svg import vocabulary as v
from applique.svg.dressing import dress
from applique.svg.read import read_block
from applique.svg.tagged import read_steps
from tests.conftest import SAMPLES
from tests.shapes import drawing

SEA = Fabric("sea", "#2f6f8f", "half", 0.0)
SAND = Fabric("sand", "#e6d0a8")
PIECE = (
    '<rect id="a" ap:piece="1" ap:fabric="sea" fill="#336688" x="10" y="10" width="40" '
    'height="40"/>'
)
OTHER = '<rect id="b" fill="#c23b34" x="10" y="60" width="30" height="30"/>'
SMILE = '<path id="smile" ap:detail="run" fill="none" stroke="#c23b34" d="M20 30 q10 9 20 0"/>'


def named(colour: str) -> Thread:
    """A thread that tells which colour it was chosen for."""
    return Thread("#010203", f"for {colour}")


def threads(root: etree._Element) -> dict[str, tuple[str, str]]:
    return {
        part.source: (part.thread.colour, part.thread.name) for part in read_block(root).block.parts
    }


def sentences(root: etree._Element, *fabrics: Fabric) -> list[str]:
    found = dress(root, {fabric.name: fabric for fabric in fabrics}, named)
    return [finding.sentence() for finding in found]


def test_a_piece_gets_the_thread_for_its_fabric_as_the_quilt_has_it() -> None:
    root = drawing(PIECE)
    assert sentences(root, SEA) == []
    assert threads(root) == {"a": ("#010203", "for #2f6f8f")}


def test_a_fabric_that_only_the_drawing_has_is_matched_by_its_fill() -> None:
    root = drawing(f'<metadata><ap:fabric name="sea" colour="#336688"/></metadata>{PIECE}')
    assert sentences(root, SAND) == []
    assert threads(root) == {"a": ("#010203", "for #336688")}


def test_a_thread_of_its_own_is_matched_too_and_a_named_one_kept() -> None:
    own = PIECE.replace("fill", 'ap:thread="#ffee00" fill')
    root = drawing(own)
    assert sentences(root, SEA) == []
    assert threads(root) == {"a": ("#010203", "for #ffee00")}
    root = drawing(own.replace("fill", 'ap:thread-name="buttercup" fill'))
    assert sentences(root, SEA) == []
    assert threads(root) == {"a": ("#ffee00", "buttercup")}


def test_details_are_matched_by_their_own_colour() -> None:
    root = drawing(PIECE + SMILE)
    dress(root, {"sea": SEA}, named)
    assert threads(root)["smile"] == ("#010203", "for #c23b34")


def test_what_is_not_tagged_is_matched_and_stays_untagged() -> None:
    root = drawing(OTHER)
    assert sentences(root, SEA) == []
    assert threads(root) == {"b": ("#010203", "for #c23b34")}
    assert root.find(v.svg("rect")).get(v.PIECE) is None


def test_without_a_table_of_threads_the_thread_has_the_colour_of_the_fabric() -> None:
    root = drawing(PIECE + SMILE)
    dress(root, {"sea": SEA}, None)
    assert threads(root) == {"a": ("#2f6f8f", ""), "smile": ("#c23b34", "")}


def test_the_quilt_has_the_last_word_on_a_fabric_that_the_drawing_describes() -> None:
    described = (
        '<metadata><ap:fabric name="sea" colour="#000000" turn="none" grain="45"/></metadata>'
    )
    root = drawing(described + PIECE)
    dress(root, {"sea": Fabric("sea", "#2f6f8f", "half")}, named)
    assert read_block(root).block.fabrics == (Fabric("sea", "#2f6f8f", "half", None),)


def test_fabrics_are_described_where_they_are_used_and_no_others() -> None:
    root = drawing(PIECE)
    root.set(v.ROOT_BACKGROUND, "lime wash")
    dress(root, {f.name: f for f in (SAND, SEA, Fabric("lime wash", "#fbf7ee"))}, named)
    described = [found.get("name") for found in root.iter(v.META_FABRIC)]
    assert described == ["lime wash", "sea"]


def test_a_fabric_that_nobody_defines_is_an_error_naming_its_pieces() -> None:
    second = PIECE.replace('"a"', '"c"').replace('"1"', '"2"').replace('y="10"', 'y="60"')
    root = drawing(PIECE + second)
    root.set(v.ROOT_BACKGROUND, "lime wash")
    told = dress(root, {"sand": SAND}, named)
    assert [(one.severity, one.sentence()) for one in told] == [
        ("error", 'background: fabric "lime wash" is defined by nobody; add it to [fabrics]'),
        ("error", '1, 2: fabric "sea" is defined by nobody; add it to [fabrics]'),
    ]


def test_a_quilt_without_fabrics_leaves_them_to_its_drawings() -> None:
    assert sentences(drawing(PIECE)) == []


CLONED = (
    '<defs><g id="boat"><rect id="hull" ap:fabric="sea" fill="#336688" width="30" height="20"/>'
    '<rect id="sail" fill="#ffffff" y="30" width="20" height="20"/></g></defs>'
    '<use id="one" ap:piece="5" href="#boat" x="10" y="10"/>'
)


def test_pieces_seen_through_one_clone_get_their_own_threads() -> None:
    root = drawing(CLONED)
    dress(root, {"sea": SEA}, named)
    found = {part.label: part.thread.name for part in read_block(root).block.parts}
    assert found == {"5.1": "for #2f6f8f", "5.2": "for #ffffff"}


def test_a_clone_of_another_fabric_gets_a_thread_of_its_own() -> None:
    clone = '<use id="two" ap:piece="2" ap:fabric="sand" href="#a" y="50"/>'
    root = drawing(PIECE + clone)
    dress(root, {"sea": SEA, "sand": SAND}, named)
    assert threads(root) == {
        "a": ("#010203", "for #2f6f8f"),
        "two": ("#010203", "for #e6d0a8"),
    }


@pytest.mark.parametrize("has_layers", [False, True])
def test_layers_are_sewn_in_the_threads_of_the_quilt(has_layers: bool) -> None:
    root = read_svg(SAMPLES / "lighthouse.svg").getroot()
    if has_layers:
        make_layers(root)
    colours = {part.thread.colour for part in read_block(root).block.parts}
    assert len(colours) > 3
    dress(root, {}, named)
    (refresh_layers if has_layers else make_layers)(root)
    sewn = {(step.thread.colour, step.thread.name) for step in read_steps(root).steps}
    # Each is the one thread there is, chosen for what the piece or detail was drawn with.
    assert {colour for colour, _ in sewn} == {"#010203"}
    assert {name.removeprefix("for ") for _, name in sewn} == colours


def test_dressing_twice_is_dressing_once() -> None:
    root = drawing(PIECE + OTHER + SMILE)
    dress(root, {"sea": SEA}, named)
    once = etree.tostring(root)
    dress(root, {"sea": SEA}, named)
    assert etree.tostring(root) == once
