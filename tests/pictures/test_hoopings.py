"""The overview of a hooping plan, checked at single pixels and by where its numbers stand."""

import io
from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from applique.hoops.fields import Field
from applique.hoops.frame import FrameSetting
from applique.hoops.plan import Cross, Hooping, HoopingPlan
from applique.hoops.problem import Certificate
from applique.model import Frame
from applique.pictures.canvas import LONG_SIDE_PX
from applique.pictures.colours import HOOPING_COLOURS, INK, WHITE, hooping_colour, mixed, rgb
from applique.pictures.hooping_legend import hoopings_legend
from applique.pictures.hooping_tags import place_names, place_tags
from applique.pictures.hoopings import hoopings_picture
from applique.pictures.scene import FabricShape
from tests.shapes import square

SKY, SEA = "#cfe3ea", "#2f6f8f"
GRIP_MM = 25.4
FIELD = Field(130.0, 180.0)

# The hues that Masataka Okabe and Kei Ito propose, as they are usually written in hexadecimals.
OKABE_ITO = ["#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#56b4e9", "#f0e442"]


def hooping(
    number: int, x: float, y: float, turned: bool = False, labels: tuple[str, ...] = ()
) -> Hooping:
    return Hooping(number, FIELD, turned, (x, y), labels, (), (), (), (), 0.0)


def plan_of(*hoopings: Hooping, crosses: tuple[Cross, ...] = ()) -> HoopingPlan:
    return HoopingPlan(
        name="Harbour",
        frame=Frame(0.0, 0.0, 254.0, 254.0, 6.35),
        block_centre=(127.0, 127.0),
        hoopings=hoopings,
        crosses=crosses,
        parts=(),
        windows=(),
        certificate=Certificate((), 1),
        bound=1,
        finished=True,
    )


TWO = plan_of(
    hooping(1, 65.0, 90.0, labels=("sail",)),
    hooping(2, 164.0, 189.0, turned=True, labels=("hull", "rope")),
    crosses=(Cross("A", (90.0, 150.0), "thread", 1, (2,)),),
)
FABRICS = (
    FabricShape("sail", SEA, square(30.0, 20.0, 20.0)),
    FabricShape("hull", SEA, square(40.0, 170.0, 170.0)),
)


@cache
def picture_of_two() -> bytes:
    return hoopings_picture(TWO, FABRICS, SKY, FrameSetting(grip_mm=GRIP_MM))


def opened(data: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(data)))


def at(pixels: np.ndarray, x: float, y: float) -> tuple[int, ...]:
    """The pixel at a place of the page. The picture shows the fields, the grip and 5 mm more: from
    x = -30.4 mm and y = -30.4 mm to x = 284.4 mm; its longer side is down to y = 309.4 mm at
    2400 px."""
    per_mm = LONG_SIDE_PX / (284.4 + 30.4)
    return tuple(pixels[round((y + 30.4) * per_mm), round((x + 30.4) * per_mm)].tolist())


def test_fields_and_pieces_have_the_colours_of_their_hoopings() -> None:
    pixels = opened(picture_of_two())
    blue, orange = hooping_colour(1), hooping_colour(2)
    assert at(pixels, 0.0, 60.0) == blue
    assert at(pixels, 130.0, 60.0) == blue
    # The second lies turned: 180 mm wide and 130 mm high.
    assert at(pixels, 74.0, 200.0) == orange
    assert at(pixels, 200.0, 254.0) == orange
    assert at(pixels, 35.0, 20.0) == blue
    assert at(pixels, 200.0, 170.0) == orange
    pale = mixed(rgb(SEA), WHITE, 0.72)
    assert at(pixels, 35.0, 40.0) == mixed(pale, blue, 0.35)
    assert at(pixels, 200.0, 185.0) == mixed(pale, orange, 0.35)
    assert at(pixels, 220.0, 60.0) == mixed(rgb(SKY), WHITE, 0.72)


def test_the_colours_are_those_told_apart_by_colour_blind_readers() -> None:
    assert list(HOOPING_COLOURS) == [rgb(colour) for colour in OKABE_ITO]
    assert hooping_colour(8) == hooping_colour(1)


def test_the_legend_stands_below_and_the_picture_is_the_same_each_time() -> None:
    one = picture_of_two()
    assert one == hoopings_picture(TWO, FABRICS, SKY, FrameSetting(grip_mm=GRIP_MM))
    image = Image.open(io.BytesIO(one))
    assert image.info == {}
    assert image.width == LONG_SIDE_PX
    legend = np.asarray(image)[LONG_SIDE_PX:]
    for number in (1, 2):
        swatch = (legend == hooping_colour(number)).all(axis=2)
        assert 1_000 < swatch.sum() < 62 * 62
    assert len(legend) > 150


def test_fields_on_the_same_place_are_drawn_side_by_side() -> None:
    """Along the left side, from outside in, the colours of all three follow each other."""
    plan = plan_of(*(hooping(number, 65.0, 90.0) for number in (1, 2, 3)))
    pixels = opened(hoopings_picture(plan, (), SKY, FrameSetting(grip_mm=GRIP_MM)))
    row = [tuple(pixel.tolist()) for pixel in pixels[pixels.shape[0] // 3]]
    fields = [pixel for pixel in row[: len(row) // 2] if pixel in HOOPING_COLOURS]
    order = [a for a, b in pairwise([*fields, None]) if a != b]
    assert order == [hooping_colour(number) for number in (1, 2, 3)]


def test_from_the_eighth_on_the_line_has_a_light_middle() -> None:
    eight = [hooping(k + 1, 65.0 + 20.0 * k, 90.0) for k in range(8)]
    unframed = HoopingPlan(**{**vars(plan_of(*eight)), "frame": None})
    pixels = opened(hoopings_picture(unframed, (), SKY, FrameSetting(grip_mm=GRIP_MM)))
    row = [tuple(pixel.tolist()) for pixel in pixels[pixels.shape[0] // 3]]
    right = [k for k, pixel in enumerate(row) if pixel == hooping_colour(1)][-1]
    assert WHITE in row[right - 8 : right]


fields = st.lists(
    st.tuples(st.integers(60, 200), st.integers(60, 200), st.booleans()), min_size=1, max_size=9
)


@settings(max_examples=40)
@given(fields)
def test_numbers_stand_in_their_fields_and_never_on_each_other(
    places: list[tuple[int, int, bool]],
) -> None:
    hoopings = [hooping(k + 1, x, y, turned) for k, (x, y, turned) in enumerate(places)]
    tags = place_tags(hoopings, (), 12.0, 3.0)
    assert [tag.number for tag in tags] == [one.number for one in hoopings]
    for tag, one in zip(tags, hoopings, strict=True):
        field = shapely.box(*one.field_box_mm).buffer(1e-6)
        assert field.contains(shapely.box(*tag.box))
    boxes = [shapely.box(*tag.box) for tag in tags]
    assert all(a.intersection(b).area < 1e-6 for a, b in combinations(boxes, 2))


def test_a_number_stands_where_its_field_is_alone() -> None:
    first, second = place_tags([hooping(1, 65.0, 90.0), hooping(2, 100.0, 130.0)], (), 12.0, 3.0)
    assert first.box == (0.0, 0.0, 12.0, 12.0)
    assert second.middle[0] > 130.0 or second.middle[1] > 180.0


def test_numbers_and_names_keep_off_crosses_and_each_other() -> None:
    corners = [(4.0, 4.0), (126.0, 4.0), (126.0, 176.0)]
    crosses = [Cross(chr(65 + k), place, "pen", 0, (1,)) for k, place in enumerate(corners)]
    (tag,) = place_tags([hooping(1, 65.0, 90.0)], crosses, 12.0, 4.0)
    assert tag.box == (0.0, 168.0, 12.0, 180.0)
    close = [Cross("A", (60.0, 60.0), "pen", 0, (1,)), Cross("B", (68.0, 52.0), "pen", 0, (1,))]
    first, second = place_names(close, (), 5.0, 4.0)
    assert first.middle[1] > 60.0
    assert (second.name, second.middle[1] < 52.0) == ("B", True)


def test_a_long_legend_has_columns_and_a_long_title_fits() -> None:
    """Thirty lines of some 550 px stand in three columns beside each other."""
    many = plan_of(*(hooping(k + 1, 65.0, 90.0) for k in range(30)))
    named = HoopingPlan(**{**vars(many), "name": "A long name " * 9})
    legend = hoopings_legend(named, frozenset(), (0.0, 0.0, 300.0, 300.0), LONG_SIDE_PX)
    assert legend.size == (LONG_SIDE_PX, 110 + 84 * 10 + 20)
    inked = np.argwhere((np.asarray(legend)[:100] == INK).all(axis=2))
    assert 2000 < inked[:, 1].max() < LONG_SIDE_PX - 30


def test_a_plan_without_hoopings_is_refused() -> None:
    with pytest.raises(ValueError, match="without hoopings"):
        hoopings_picture(plan_of(), FABRICS, SKY, FrameSetting(grip_mm=GRIP_MM))
