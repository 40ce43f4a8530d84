"""What a package asks for and what is there, held against an independent reader of both."""

from __future__ import annotations

import importlib.metadata

import pytest
from packaging.requirements import Requirement

from applique.editor.dependencies import Dependency, read_dependencies


def one(requirement: str, version: str) -> Dependency:
    (found,) = read_dependencies([requirement], lambda name: version)
    return found


def test_what_our_own_metadata_asks_for_is_read() -> None:
    texts = importlib.metadata.requires("underlap") or []
    assert len(texts) > 10
    for text, found in zip(texts, read_dependencies(texts, lambda name: ""), strict=True):
        requirement = Requirement(text)
        assert (found.name, found.wanted) == (requirement.name, str(requirement.specifier))
        assert found.optional == (requirement.marker is not None)


@pytest.mark.parametrize(
    "version", ["1.2", "1.2.0", "1.2.1", "1.10", "1.9.9", "1", "2.0.post1", "0.12"]
)
@pytest.mark.parametrize("wanted", [">=1.2", "==1.2", ">=1.9.9", "==1.2.1", ">=1", ""])
def test_a_version_will_do_or_not(wanted: str, version: str) -> None:
    expected = version in Requirement(f"needle{wanted}").specifier
    assert one(f"needle{wanted}", version).is_met == expected


def test_what_is_not_there_is_not_met() -> None:
    assert not one("needle>=1", "").is_met


def test_what_some_systems_only_ask_for_is_optional() -> None:
    assert one("needle>=1; sys_platform == 'linux'", "").optional
    assert not one("needle>=1", "").optional
