"""What a user gets: the wheel and the source archive, and the wheel where nothing else is."""

from __future__ import annotations

import ast
import email
import importlib.metadata
import os
import subprocess
import sys
import tarfile
import venv
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from applique.editor.inx import LAUNCHER
from tests.editor.real import Editor
from tests.install.wheels import ROOT, Installed, build, install

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="0 0 50 50">'
    '<rect id="sea" fill="#2f6f8f" x="5" y="5" width="20" height="20"/></svg>'
)

needs_links = pytest.mark.skipif(os.name == "nt", reason="the environment is made of links")


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("dist")
    build(ROOT, folder, "sdist", "wheel")
    return folder


@pytest.fixture(scope="module")
def wheel(built: Path) -> Path:
    (path,) = built.glob("*.whl")
    return path


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Installed:
    return install(wheel, tmp_path_factory.mktemp("an environment") / "of Zoë's")


def contents(wheel: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(wheel) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def tree(*folders: str) -> set[str]:
    """The files of this tree that belong to the project."""
    files = [path for folder in folders for path in (ROOT / folder).rglob("*") if path.is_file()]
    return {path.relative_to(ROOT).as_posix() for path in files if "__pycache__" not in path.parts}


def test_the_wheel_has_the_package_the_samples_and_the_extensions(wheel: Path) -> None:
    names = {name for name in contents(wheel) if ".dist-info/" not in name}
    data = {f"applique/data/{name}" for name in tree("samples", "extensions")}
    assert names == tree("applique") | data


def test_the_wheel_names_no_place_of_the_machine_that_built_it(wheel: Path) -> None:
    places = [str(ROOT).encode(), str(Path(sys.prefix)).encode()]
    for name, data in contents(wheel).items():
        assert not any(place in data for place in places), name


def test_the_metadata_asks_for_no_inkex(wheel: Path) -> None:
    (name,) = [name for name in contents(wheel) if name.endswith("METADATA")]
    metadata = email.message_from_bytes(contents(wheel)[name])
    asked = {Requirement(text).name for text in metadata.get_all("Requires-Dist", [])}
    assert len(asked) > 10
    assert asked.isdisjoint({"inkex", "pygobject"})
    assert metadata["License-Expression"] == "GPL-3.0-or-later"


def test_the_source_archive_has_what_a_contributor_needs(built: Path) -> None:
    (path,) = built.glob("*.tar.gz")
    with tarfile.open(path) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    assert tree("applique", "docs", "extensions", "samples", ".ci") <= names
    assert {"pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE", "tests/conftest.py"} <= names
    assert "uv.lock" not in names
    assert not any(".venv" in name for name in names)


def test_the_source_archive_builds_the_same_wheel(built: Path, wheel: Path, tmp_path: Path) -> None:
    (path,) = built.glob("*.tar.gz")
    with tarfile.open(path) as archive:
        archive.extractall(tmp_path, filter="data")
    (source,) = tmp_path.iterdir()
    build(source, tmp_path / "dist", "wheel")
    (again,) = (tmp_path / "dist").glob("*.whl")
    assert contents(again) == contents(wheel)


def test_what_the_package_imports_is_asked_for() -> None:
    """An import within a function is easily forgotten."""
    asked = [Requirement(text).name for text in importlib.metadata.requires("underlap") or []]
    given = set().union(*map(modules_of, asked))
    for path in sorted((ROOT / "applique").rglob("*.py")):
        foreign = imported(path) - sys.stdlib_module_names - {"applique"}
        if path.parent.name == "editor":
            foreign -= {"inkex"}
        assert foreign <= given, path


def modules_of(package: str) -> set[str]:
    """The names under which a package can be imported."""
    files = importlib.metadata.distribution(package).files or ()
    return {path.parts[0].partition(".")[0] for path in files}


def imported(path: Path) -> set[str]:
    """The top names of all modules that a file imports."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and not node.level:
            names.add(node.module or "")
    return {name.partition(".")[0] for name in names}


@needs_links
def test_the_command_runs_and_finds_what_travels_with_it(installed: Installed) -> None:
    code = "from applique import resources as r; print(r.samples_folder(), r.extensions_folder())"
    told = installed.run("python", "-I", "-c", code).stdout
    data = installed.packages / "applique" / "data"
    assert told.strip() == f"{data / 'samples'} {data / 'extensions'}"
    gull = data / "samples" / "gull.svg"
    made = installed.run("applique", "layers", str(gull), "-o", "gull.svg")
    assert made.returncode == 0, made.stderr
    made = installed.run("applique", "stitch", "gull.svg", "-o", "gull.pes")
    assert made.returncode == 0, made.stderr


@needs_links
def test_the_launcher_offers_the_editors_inkex_last(installed: Installed, tmp_path: Path) -> None:
    """With modules beside it that must not get in the way of ours."""
    editors = tmp_path / "editor's extensions"
    editors.mkdir()
    inkex = importlib.metadata.distribution("inkex").locate_file("inkex")
    (editors / "inkex").symlink_to(str(inkex))
    for name in ("numpy", "lxml", "applique"):
        (editors / f"{name}.py").write_text("raise SystemExit('the editor got in the way')")
    drawing = tmp_path / "drawing.svg"
    drawing.write_text(DRAWING, encoding="utf-8")
    assert launched(installed.python, drawing, PYTHONPATH=str(editors)) == ("", True)
    message, changed = launched(installed.python, drawing, PYTHONPATH=str(tmp_path))
    assert message.startswith("Inkscape's own Python module inkex can't be used (No module named")
    assert (message.count("\n"), changed) == (1, False)


@needs_links
def test_the_launcher_whose_python_has_lost_the_package(tmp_path: Path) -> None:
    venv.create(tmp_path, symlinks=True)
    message, changed = launched(tmp_path / "bin" / "python", tmp_path / "drawing.svg")
    assert message.startswith("Underlap is no longer in the Python it was installed with; install")
    assert (message.count("\n"), changed) == (1, False)


def launched(python: Path, drawing: Path, **environment: str) -> tuple[str, bool]:
    """What the launcher, in a Python without inkex, says when it starts one; whether that made
    layers."""
    launcher = ROOT / "extensions" / LAUNCHER
    call = subprocess.run(
        [sys._base_executable, str(launcher), "--effect=layers", str(drawing)],  # type: ignore[attr-defined]
        env={**os.environ, "UNDERLAP_PYTHON": str(python), **environment},
        capture_output=True,
        check=False,
    )
    return call.stderr.decode(), b"ap:step" in call.stdout


@needs_links
def test_in_the_real_editor_with_its_own_inkex(
    inkscape: str, installed: Installed, tmp_path: Path
) -> None:
    editor = Editor(inkscape, tmp_path / "Zoë's profile", tmp_path / "messages.txt")
    assert installed.run("applique", "editor", "install", **editor.environment()).returncode == 0
    health = installed.run("applique", "doctor", **editor.environment())
    assert "Inkscape's own in " in health.stdout
    assert health.stdout.endswith("all is well\n")
    drawing = tmp_path / "drawing.svg"
    drawing.write_text(DRAWING, encoding="utf-8")
    root = editor.run_effect("layers", drawing, tmp_path / "out.svg")
    assert len(root.findall(".//*[@id='sea']")) == 1
    assert root.xpath("count(//@*[local-name() = 'step'])") > 2
    assert editor.told() == ""
