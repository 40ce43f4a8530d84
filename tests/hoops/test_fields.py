"""Fields by size and by their usual names, against the sizes in docs/sources.md."""

import pytest

from applique.hoops.fields import Field, field_of, read_fields
from applique.resources import hoop_fields_text

USUAL = read_fields(hoop_fields_text())


def test_the_table_has_the_fields_of_home_machines() -> None:
    # Sizes seen on makers' and dealers' pages (docs/sources.md).
    seen = "100x100 130x180 150x240 160x260 180x300 200x200 200x300 230x300 240x240 200x360 260x400"
    assert [field.name for field in USUAL] == seen.split()


def test_names_in_inches_are_about_the_sizes() -> None:
    # 6x10 is said of 160x260 and of 150x240, which is 5.9 x 9.45 (docs/sources.md).
    for field in USUAL:
        inches = [float(side) for side in field.inches.split("x")]
        for side_mm, side_in in zip(field.size_mm, inches, strict=True):
            assert abs(side_mm / 25.4 - side_in) < 0.6


@pytest.mark.parametrize(
    "text", ["130x180", "130 x 180", "130mmx180mm", "5x7in", '5x7"', "5 x 7 in"]
)
def test_one_field_by_its_size_or_its_name(text: str) -> None:
    assert field_of(text, USUAL) == Field(130.0, 180.0)
    assert field_of(text, USUAL).told == "130x180 mm (5x7 in)"


def test_any_other_size_will_do() -> None:
    assert field_of("140.5x200", USUAL).told == "140.5x200 mm"


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("6x10in", "150x240 or 160x260"),
        ("3x5in", "no usual field"),
        ("130", "is not a size"),
        ("5x7", "between 20 and 1000"),
        ("2000x300", "between 20 and 1000"),
        ("nanx100", "is not a"),
    ],
)
def test_what_is_no_field_is_told(text: str, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        field_of(text, USUAL)
