"""What tells inputs apart."""

from __future__ import annotations

import pytest
from shapely import Polygon

from applique.building.digest import digest_of, digest_of_program
from applique.cutting.request import CutRequest
from applique.model import Fabric

SAME = CutRequest()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (Fabric("sea"), Fabric("sea", "#000000")),
        (("ab", "c"), ("a", "bc")),
        ({"a": 1.0}, {"a": 2.0}),
        ({"a": {}}, {"a": []}),
        (b"1", b"2"),
        (Polygon([(0, 0), (1, 0), (0, 1)]), Polygon([(0, 0), (1, 0), (0, 1.001)])),
        (frozenset({"a"}), frozenset({"b"})),
        (CutRequest(margin_mm=5.0), CutRequest(margin_mm=6.0)),
        (None, ""),
        (1, True),
    ],
)
def test_what_differs_has_another_digest(one: object, other: object) -> None:
    assert digest_of(one) != digest_of(other)


def test_what_is_alike_has_the_same() -> None:
    assert digest_of(CutRequest(), {"b": 1, "a": 2}) == digest_of(SAME, {"b": 1, "a": 2})
    assert digest_of(frozenset("abc")) == digest_of(frozenset("cab"))


def test_what_nobody_thought_of_is_no_input() -> None:
    with pytest.raises(TypeError, match="object has no digest"):
        digest_of(object())


def test_the_program_has_a_digest() -> None:
    assert len(digest_of_program()) == 64
