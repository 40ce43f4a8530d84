"""Where a field is put: over its stitches, out of what is kept out."""

import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from applique.hoops.placing import placed

WINDOW = (128.0, 178.0)


def test_in_the_middle_of_its_stitches() -> None:
    assert placed((10, 20, 90, 60), WINDOW, []) == (50, 40)
    assert placed((10, 20, 90, 60), WINDOW, [(200, 0, 300, 100)]) == (50, 40)


def test_as_near_to_that_as_what_is_kept_out_allows() -> None:
    # Kept out on the right from x = 100 on: the field's right side touches it.
    assert placed((10, 20, 90, 60), WINDOW, [(100, 0, 300, 100)]) == (36, 40)


@given(
    st.tuples(st.floats(0, 100), st.floats(0, 100), st.floats(1, 128), st.floats(1, 178)),
    st.tuples(st.floats(-50, 250), st.floats(-50, 250), st.floats(1, 100), st.floats(1, 100)),
)
def test_the_stitches_stay_inside_and_the_place_outside(
    box: tuple[float, ...], out: tuple[float, ...]
) -> None:
    stitches = (box[0], box[1], box[0] + box[2], box[1] + box[3])
    kept = (out[0], out[1], out[0] + out[2], out[1] + out[3])
    x, y = placed(stitches, WINDOW, [kept])
    field = shapely.box(x - 64, y - 89, x + 64, y + 89)
    assert field.buffer(1e-6).covers(shapely.box(*stitches))
    room = any(
        stands
        for stands in (
            kept[0] - 128 <= stitches[0] and kept[0] >= stitches[2],
            kept[2] + 128 >= stitches[2] and kept[2] <= stitches[0],
            kept[1] - 178 <= stitches[1] and kept[1] >= stitches[3],
            kept[3] + 178 >= stitches[3] and kept[3] <= stitches[1],
        )
    )
    assume(room)
    assert field.intersection(shapely.box(*kept)).area < 1e-3
