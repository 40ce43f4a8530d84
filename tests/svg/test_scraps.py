"""Scraps as they are drawn, and what is left of a cut sheet."""

import pytest
import shapely
from lxml import etree

from applique.cutting.nested import Stock
from applique.errors import InputError
from applique.export.cutfile import cut_file
from applique.svg.scraps import read_scraps
from tests.cutting.pieces import cut_piece, sheet
from tests.shapes import drawing

SQUARE_40 = shapely.box(0, 0, 40, 40)
RING = "M0 0 H80 V80 H0 Z M10 10 H70 V70 H10 Z"


def test_each_closed_shape_is_a_scrap_of_its_fabric_with_its_corner_at_0_0() -> None:
    root = drawing(
        '<rect ap:fabric="sea blue" x="5" y="7" width="40" height="30"/>'
        '<path style="fill:none" d="M60 60 h20 v10 z"/>'
    )
    (blue, first), (none, second) = read_scraps(root)
    assert (blue, none) == ("sea blue", "")
    assert first.equals(shapely.box(0, 0, 40, 30))
    assert second.equals(shapely.Polygon([(0, 0), (20, 0), (20, 10)]))


@pytest.mark.parametrize("inner", ["M10 10 h20 v20 h-20 z", "M10 10 v20 h20 v-20 z"])
def test_inner_rings_are_used_places_whichever_way_they_run(inner: str) -> None:
    ((_, scrap),) = read_scraps(drawing(f'<path d="M0 0 h40 v40 h-40 z {inner}"/>'))
    assert scrap.equals(SQUARE_40.difference(shapely.box(10, 10, 30, 30)))


def test_parts_of_one_path_that_lie_apart_are_scraps_of_their_own() -> None:
    root = drawing('<path ap:fabric="sand" d="M0 0 h9 v9 h-9 z M50 0 h9 v9 h-9 z"/>')
    assert [(name, part.area) for name, part in read_scraps(root)] == [("sand", 81), ("sand", 81)]


def test_units_and_transforms_give_true_size() -> None:
    size = 'width="10in" height="10in" viewBox="0 0 960 960"'
    root = drawing('<g transform="scale(2)"><rect width="48" height="96"/></g>', size)
    ((_, scrap),) = read_scraps(root)
    assert scrap.bounds == pytest.approx((0, 0, 25.4, 50.8), abs=0.001)


def test_hidden_shapes_words_and_pictures_are_no_scraps() -> None:
    root = drawing(
        '<rect width="40" height="40"/><rect style="display:none" width="90" height="90"/>'
        '<text>blue</text><image width="90" height="90"/>'
    )
    assert len(read_scraps(root)) == 1


@pytest.mark.parametrize(
    ("content", "name", "fault", "remedy"),
    [
        ('<path id="p" d="M0 0 h9 v9"/>', "p", "the path is open", "join them"),
        ('<path id="p" d="M0 0h9v9z M20 0h9v9"/>', "p", "sub-paths is open", "join its ends"),
        ('<path id="p" d="M0 0 L9 9 V0 L0 9z"/>', "p", "crosses or touches itself", "Union"),
        ('<rect id="p" width="0" height="9"/>', "p", "encloses no area", "remove it"),
        ('<path id="p" d="M0 0 L"/>', "p", "in the middle of a command", "mend its data"),
        (
            '<rect id="a" width="40" height="40"/><circle id="p" cx="20" cy="20" r="5"/>',
            "p",
            "lies over a",
            "combine the two",
        ),
    ],
)
def test_a_fault_names_the_element_and_the_remedy(
    content: str, name: str, fault: str, remedy: str
) -> None:
    with pytest.raises(InputError, match="some of the scraps can't be used") as refused:
        read_scraps(drawing(content))
    (finding,) = refused.value.findings
    assert finding.object == name
    assert fault in finding.message
    assert remedy in finding.message


def test_scraps_side_by_side_may_touch() -> None:
    root = drawing('<rect width="40" height="40"/><rect x="40" width="40" height="40"/>')
    assert len(read_scraps(root)) == 2


def test_without_a_closed_shape_there_is_no_scrap() -> None:
    with pytest.raises(InputError, match="no closed shape was found; draw the outline"):
        read_scraps(drawing("<text>nothing</text>"))


@pytest.mark.parametrize("size", ['viewBox="0 0 9 9"', 'width="100%" height="9mm"', 'width="9mm"'])
def test_a_drawing_without_a_size_is_refused(size: str) -> None:
    with pytest.raises(InputError, match="has no true size, because its page has no"):
        read_scraps(drawing('<rect width="9" height="9"/>', size))


def cut_sheet(*drawn: str, **given):
    """A cut sheet of ours of 305 x 305 mm with pieces every 100 mm, as it is read from its file."""
    pieces = [cut_piece(data, str(k)) for k, data in enumerate(drawn)]
    places: list[tuple[float, ...]] = [(10.0 + 100 * k, 10.0) for k in range(len(pieces))]
    return etree.fromstring(cut_file(sheet(pieces, places, **given)))


def test_what_is_left_of_a_cut_sheet_is_the_sheet_less_its_pieces() -> None:
    ((name, left),) = read_scraps(cut_sheet("M0 0 h50 v20 z", "M0 0 h30 v30 h-30 z"))
    used = shapely.MultiPolygon(
        [shapely.Polygon([(10, 10), (60, 10), (60, 30)]), shapely.box(110, 10, 140, 40)]
    )
    assert name == "sea blue"
    assert left.equals(shapely.box(0, 0, 305, 305).difference(used))


def test_what_a_piece_encloses_is_a_scrap_of_its_own() -> None:
    (_, large), (name, small) = read_scraps(cut_sheet(RING, face="right"))
    assert name == "sea blue"
    assert small.equals(shapely.box(0, 0, 60, 60))
    assert large.area == pytest.approx(305**2 - 80**2)


def test_bits_of_less_than_100_mm2_are_dropped() -> None:
    ring = "M0 0 H80 V80 H0 Z M10 10 H19 V19 H10 Z"
    assert len(read_scraps(cut_sheet(ring))) == 1


def test_a_scrap_once_cut_from_can_be_cut_from_again() -> None:
    ell = shapely.Polygon([(0, 0), (200, 0), (200, 60), (60, 60), (60, 200), (0, 200)])
    with_hole = ell.difference(shapely.box(150, 20, 180, 50))
    ((_, left),) = read_scraps(cut_sheet("M0 0 h30 v30 h-30 z", stock=Stock("scrap", with_hole)))
    assert left.equals(with_hole.difference(shapely.box(10, 10, 40, 40)))


def test_templates_are_taken_off_the_card() -> None:
    piece = cut_piece("M0 0 h30 v30 h-30 z", kind="template")
    root = etree.fromstring(cut_file(sheet([piece], [(10.0, 10.0)], name="card")))
    ((name, left),) = read_scraps(root)
    assert (name, left.area) == ("card", pytest.approx(305**2 - 900))


def test_pieces_moved_in_an_editor_are_taken_off_where_they_lie() -> None:
    root = cut_sheet("M0 0 h30 v30 h-30 z")
    (group,) = [child for child in root if child.get("id") == "cut"]
    group.set("transform", "translate(50 0)")
    ((_, left),) = read_scraps(root)
    assert left.equals(shapely.box(0, 0, 305, 305).difference(shapely.box(60, 10, 90, 40)))


def test_a_sheet_that_several_fabrics_share_or_that_is_used_up_is_refused() -> None:
    with pytest.raises(InputError, match="several fabrics share this sheet"):
        read_scraps(cut_sheet("M0 0 h30 v30 h-30 z", name="mixed"))
    whole = Stock("scrap", shapely.box(0, 0, 50, 50).difference(shapely.Point(50, 50).buffer(9)))
    with pytest.raises(InputError, match="nothing of use is left of this sheet of sea blue"):
        read_scraps(cut_sheet("M-10 -10 h50 v50 h-50 z", stock=whole))


def test_a_piece_that_was_broken_by_hand_is_named() -> None:
    root = cut_sheet("M0 0 h30 v30 h-30 z")
    (group,) = [child for child in root if child.get("id") == "cut"]
    group[0].set("d", "M0 0 h30 v30")
    with pytest.raises(InputError, match="some of the pieces can't be used") as refused:
        read_scraps(root)
    assert refused.value.findings[0].object == "0"
