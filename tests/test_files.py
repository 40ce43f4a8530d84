"""Writing whole or not at all."""

import os
from pathlib import Path

import pytest

from applique.errors import InputError, OutputError
from applique.files import put_all_in_place, put_in_place, read_svg


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_replaced_and_nothing_is_left_over(tmp_path: Path) -> None:
    target = tmp_path / "new" / "block.svg"
    put_in_place(target, b"one")
    put_in_place(target, b"two")
    assert target.read_bytes() == b"two"
    assert names(target.parent) == ["block.svg"]


def test_permissions_and_links_survive(tmp_path: Path) -> None:
    real = tmp_path / "real.svg"
    real.write_bytes(b"old")
    real.chmod(0o640)
    link = tmp_path / "link.svg"
    link.symlink_to(real)
    put_in_place(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"
    assert real.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("kind", ["folder", "pipe", "write-protected", "loop"])
def test_nothing_is_moved_unless_everything_can_be(tmp_path: Path, kind: str) -> None:
    good, bad = tmp_path / "a.svg", tmp_path / "b.svg"
    good.write_bytes(b"old")
    if kind == "folder":
        bad.mkdir()
    elif kind == "pipe":
        if not hasattr(os, "mkfifo"):
            pytest.skip("this system has no named pipes")
        os.mkfifo(bad)
    elif kind == "write-protected":
        bad.write_bytes(b"old")
        bad.chmod(0o444)
    else:
        bad.symlink_to(bad)
    with pytest.raises(OutputError, match=r"b\.svg: "):
        put_all_in_place({good: b"new", bad: b"new"})
    assert good.read_bytes() == b"old"
    assert names(tmp_path) == ["a.svg", "b.svg"]


def test_a_parent_that_is_a_file_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(OutputError, match="can't be written"):
        put_in_place(tmp_path / "file" / "x.svg", b"")


@pytest.mark.parametrize(
    ("content", "complaint"),
    [
        (b"", "is no readable SVG"),
        (b"<svg", "is no readable SVG"),
        (b"<svg>\xe9</svg>", "save it anew as UTF-8"),
        (b"<svg>" + 3000 * b"<g>" + 3000 * b"</g>" + b"</svg>", "nested too deeply"),
        (b"\x89PNG\r\n", "is no readable SVG"),
        (b"<html/>", "is no SVG drawing"),
        (b"<svg/>", "is no SVG drawing"),
    ],
)
def test_what_is_no_svg_is_one_sentence(tmp_path: Path, content: bytes, complaint: str) -> None:
    path = tmp_path / "x.svg"
    path.write_bytes(content)
    with pytest.raises(InputError, match=complaint):
        read_svg(path)


def test_missing_files_and_folders_are_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="can't be opened"):
        read_svg(tmp_path / "gone.svg")
    with pytest.raises(InputError, match="is a folder"):
        read_svg(tmp_path)


def test_entities_are_not_expanded(tmp_path: Path) -> None:
    path = tmp_path / "x.svg"
    path.write_text(
        '<!DOCTYPE svg [<!ENTITY secret SYSTEM "/etc/passwd">]>'
        '<svg xmlns="http://www.w3.org/2000/svg"><text>&secret;</text></svg>'
    )
    text = read_svg(path).getroot()[0].xpath("string()")
    assert "root:" not in str(text)
