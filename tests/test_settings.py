"""One table: ranges, automatic defaults, nearest wins."""

import dataclasses

import pytest

from applique.settings import SPECS, Settings, parse_values, resolve


def test_every_setting_has_a_help_a_range_and_a_default_inside_it() -> None:
    for spec in SPECS.values():
        assert spec.help.endswith(".")
        assert spec.choices or spec.low < spec.high
        assert spec.parse(getattr(resolve({}), spec.field)) is not None


# The sewing model's defaults (sources: docs/sources.md).
@pytest.mark.parametrize(
    ("given", "width", "outside", "spacing"),
    [
        ({}, 3.5, 1.0, 0.4),
        ({"method": "cut-in-hoop"}, 4.0, 1.5, 0.4),
        ({"thread-weight": "30"}, 3.5, 1.0, 0.5),
        ({"thread-weight": "50"}, 3.5, 1.0, 0.35),
        ({"edge": "blanket"}, 2.5, 0.2, 2.5),
        ({"edge": "zigzag"}, 2.5, 0.7, 1.2),
        ({"method": "turned"}, 1.5, 0.2, 1.2),
        ({"edge": "zigzag", "method": "cut-in-hoop"}, 3.0, 1.0, 1.2),
    ],
)
def test_defaults_by_method_and_edge(
    given: dict[str, str], width: float, outside: float, spacing: float
) -> None:
    settings = resolve(given)
    found = (settings.edge_width_mm, settings.edge_outside_mm, settings.edge_spacing_mm)
    assert found == pytest.approx((width, outside, spacing))


def test_trimmed_edges_vanish_under_every_default_that_covers() -> None:
    # m - t <= o: what the scissors leave, less the inset of the trim line, must be covered.
    for edge in ("satin", "zigzag"):
        settings = resolve({"method": "cut-in-hoop", "edge": edge})
        assert settings.trim_margin_mm - settings.trim_inset_mm <= settings.edge_outside_mm


def test_small_pieces_get_the_smaller_blanket_stitch() -> None:
    assert resolve({"edge": "blanket"}, narrow_side_mm=12).edge_width_mm == 2.0
    assert resolve({"edge": "blanket", "edge-width": 3}, narrow_side_mm=12).edge_width_mm == 3.0


def test_a_given_width_takes_its_outside_along() -> None:
    assert resolve({"edge-width": 7}).edge_outside_mm == pytest.approx(2.0)
    assert resolve({"edge-width": 1}).edge_outside_mm == pytest.approx(1 / 3.5)


def test_the_nearest_layer_wins() -> None:
    settings = resolve({"edge-width": 3, "tack": "run"}, {"edge-width": 4}, {"edge-width": 5})
    assert (settings.edge_width_mm, settings.tack) == (5, "run")


def test_a_turned_piece_has_a_narrow_zigzag_unless_told() -> None:
    assert resolve({"method": "turned"}).edge == "zigzag"
    assert resolve({"method": "turned", "edge": "blanket"}).edge == "blanket"
    assert resolve({"edge": "satin"}, {"method": "turned"}).edge == "satin"


@pytest.mark.parametrize(
    ("given", "complaint"),
    [
        ({"edge-width": 99}, "edge-width must lie between 0.8 and 12 mm, not 99"),
        ({"edge-width": "wide"}, "edge-width must be a number, not 'wide'"),
        ({"edge-width": "nan"}, "edge-width must lie between"),
        ({"edge": "fringe"}, "edge must be one of satin, blanket, zigzag, straight"),
        ({"fringe": 1}, "there is no setting 'fringe'"),
        ({"edge-width": 3, "edge-outside": 3}, "must be less than edge-width"),
        ({"corner-point": 10}, "corner-point must lie between 15 and 75 degrees, not 10"),
        (
            {"corner-point": 60, "corner-cap": 50},
            r"corner-point \(60 degrees\) must not be more than corner-cap \(50 degrees\)",
        ),
    ],
)
def test_wrong_values_say_what_is_allowed(given: dict, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        resolve(given)


def test_settings_are_checked_on_construction() -> None:
    with pytest.raises(ValueError, match="edge-width"):
        dataclasses.replace(resolve({}), edge_width_mm=0.1)


def test_strings_read_back() -> None:
    settings = resolve({"edge": "blanket", "edge-width": 3.25})
    assert resolve(parse_values(settings.as_strings())) == settings
    assert isinstance(settings, Settings)
