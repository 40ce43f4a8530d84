"""Every effect and every Save As, run by a real Inkscape on a virtual screen."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml import etree

from applique.editor import install
from applique.export.formats import FORMATS
from applique.export.machine import machine_file
from applique.files import put_in_place, read_svg, svg_bytes
from applique.pipeline import make_layers, read_plan
from applique.svg import vocabulary as v
from tests.editor.real import Editor

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@pytest.fixture(scope="module")
def profile(inkscape: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("profile")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("INKSCAPE_PROFILE_DIR", str(folder))
        patch.setenv("UNDERLAP_EDITOR", inkscape)
        installed = install.install()
        assert install.status().missing == ()
    assert installed.is_relative_to(folder)
    return folder


@pytest.fixture
def editor(inkscape: str, profile: Path, tmp_path: Path) -> Editor:
    (profile / "preferences.xml").unlink(missing_ok=True)
    return Editor(inkscape, profile, tmp_path / "messages.txt")


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    path = tmp_path / "block.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" '
        'viewBox="0 0 100 100"><rect id="sea" fill="#2f6f8f" x="10" y="50" width="60" height="30"/>'
        '<circle id="sun" fill="#f2b632" cx="60" cy="40" r="20"/>'
        '<path id="line" fill="none" stroke="#000" d="M5 5h20v20"/></svg>'
    )
    return path


def steps(root: etree._Element) -> list[str]:
    groups = [group for group in root.iter(v.svg("g")) if group.get(v.PIECE)]
    return [f"{group.get(v.PIECE)} {group.get(v.STEP)}" for group in groups]


def test_make_layers_of_a_selection_with_settings(
    editor: Editor, drawing: Path, tmp_path: Path
) -> None:
    editor.prefer("layers", edge="blanket", edge_width="3", order="fewest")
    root = editor.run_effect("layers", drawing, tmp_path / "out.svg", select="sun")
    assert steps(root) == ["1 placement", "1 edge"]
    sun = root.find(".//*[@id='sun']")
    assert (sun.get(v.PIECE), sun.get(v.ap("edge")), sun.get(v.ap("edge-width"))) == (
        "1",
        "blanket",
        "3",
    )
    assert root.find(f".//{v.META_DEFAULTS}").get("order") == "fewest"
    lines = [path.get(v.CUT) for path in root.iter(v.svg("path")) if path.get(v.CUT)]
    assert lines == ["outline"]
    assert editor.told() == ""


def test_make_layers_without_a_selection_takes_every_filled_shape(
    editor: Editor, drawing: Path, tmp_path: Path
) -> None:
    root = editor.run_effect("layers", drawing, tmp_path / "out.svg")
    assert {step.split()[0] for step in steps(root)} == {"1", "2"}


def test_a_selected_line_becomes_a_detail(editor: Editor, drawing: Path, tmp_path: Path) -> None:
    editor.prefer("layers", detail="line")
    root = editor.run_effect("layers", drawing, tmp_path / "out.svg", select="line")
    assert steps(root) == ["1 detail"]
    assert root.find(".//*[@id='line']").get(v.DETAIL) == "line"
    assert editor.told() == ""


def test_the_editor_gives_what_the_command_gives(
    editor: Editor, drawing: Path, tmp_path: Path
) -> None:
    root = editor.run_effect("layers", drawing, tmp_path / "out.svg")
    tree = read_svg(drawing)
    make_layers(tree.getroot())
    ours = [path.get("d") for path in tree.getroot().iter(v.svg("path")) if path.get(v.AFTER)]
    theirs = [path.get("d") for path in root.iter(v.svg("path")) if path.get(v.AFTER)]
    assert theirs == ours


def test_one_undo_takes_the_effect_back(editor: Editor, drawing: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    actions = ["org.underlap.layers.noprefs", "undo", f"export-filename:{out}", "export-do"]
    root = editor.run_actions(actions, drawing, out)
    assert steps(root) == []
    assert root.find(".//*[@id='sun']").get(v.PIECE) is None
    again = ["org.underlap.layers.noprefs", "undo", "redo"]
    root = editor.run_actions([*again, f"export-filename:{out}", "export-do"], drawing, out)
    assert len(steps(root)) == 6


def test_refresh_layers_after_a_change(editor: Editor, drawing: Path, tmp_path: Path) -> None:
    layered = editor.run_effect("layers", drawing, tmp_path / "layered.svg")
    before = _stitches(layered, "2")
    changed = tmp_path / "changed.svg"
    text = (tmp_path / "layered.svg").read_text(encoding="utf-8")
    changed.write_text(re.sub(r'x="10"', 'x="12"', text), encoding="utf-8")
    root = editor.run_effect("refresh", changed, tmp_path / "fresh.svg")
    assert _stitches(root, "2") == before
    assert _stitches(root, "1") != _stitches(layered, "1")
    assert editor.told() == ""


def test_an_editor_that_opens_and_saves_a_block_makes_nothing_stale(
    editor: Editor, tmp_path: Path
) -> None:
    sample = SAMPLES / "sailboat.svg"
    tree = read_svg(sample)
    make_layers(tree.getroot())
    layered = tmp_path / "layered.svg"
    put_in_place(layered, svg_bytes(tree))
    out = tmp_path / "saved.svg"
    editor.run_actions([f"export-filename:{out}", "export-do"], layered, out)
    root = editor.run_effect("check", out, tmp_path / "checked.svg")
    assert len(steps(root)) > 30
    assert "no longer fit" not in editor.told()
    assert "edited by hand" not in editor.told()


def _stitches(root: etree._Element, piece: str) -> list[str]:
    groups = [group for group in root.iter(v.svg("g")) if group.get(v.PIECE) == piece]
    return [path.get("d", "") for group in groups for path in group]


def test_fabric_and_edge_tags_the_selection(editor: Editor, drawing: Path, tmp_path: Path) -> None:
    editor.prefer("tag", fabric="sun yellow", thread="#c8860d", edge="zigzag")
    root = editor.run_effect("tag", drawing, tmp_path / "out.svg", select="sun")
    sun = root.find(".//*[@id='sun']")
    tags = {name: sun.get(v.ap(name)) for name in ("piece", "fabric", "thread", "edge")}
    assert tags == {"piece": "1", "fabric": "sun yellow", "thread": "#c8860d", "edge": "zigzag"}
    assert root.find(".//*[@id='sea']").get(v.PIECE) is None


def test_check_block_says_what_it_found(editor: Editor, drawing: Path, tmp_path: Path) -> None:
    drawing.write_text(drawing.read_text().replace('r="20"', 'r="2"'))
    editor.run_effect("check", drawing, tmp_path / "out.svg")
    assert "too narrow for fabric to show inside their edges" in editor.told()


def test_refusals_are_sentences_and_leave_the_drawing_alone(
    editor: Editor, drawing: Path, tmp_path: Path
) -> None:
    root = editor.run_effect("layers", drawing, tmp_path / "out.svg", select="line,sun")
    assert steps(root) == []
    assert "line: the path is open, its ends lie 28.28 mm apart" in editor.told()
    assert "Traceback" not in editor.told()


def test_settings_that_contradict_each_other_are_a_sentence(
    editor: Editor, drawing: Path, tmp_path: Path
) -> None:
    editor.prefer("layers", edge_width="3", edge_outside="3.5")
    root = editor.run_effect("layers", drawing, tmp_path / "out.svg", select="sun")
    assert steps(root) == []
    assert "edge-outside (3.5 mm) must be less than edge-width (3 mm)" in editor.told()


@pytest.mark.parametrize("suffix", FORMATS)
def test_save_as(editor: Editor, tmp_path: Path, suffix: str) -> None:
    tree = read_svg(SAMPLES / "gull.svg")
    make_layers(tree.getroot())
    layered = tmp_path / "gull.svg"
    put_in_place(layered, svg_bytes(tree))
    saved = editor.save_as(layered, tmp_path / f"gull.{suffix}")
    plan, _ = read_plan(tree.getroot())
    assert saved == machine_file(plan, suffix).data


def test_save_as_without_layers_is_a_sentence(
    editor: Editor, drawing: Path, tmp_path: Path
) -> None:
    assert editor.save_as(drawing, tmp_path / "x.dst") == b""
    assert "there are no stitches; use Make Layers first" in editor.told()


def test_a_missing_python_is_one_sentence(
    editor: Editor, profile: Path, drawing: Path, tmp_path: Path
) -> None:
    path_file = profile / "extensions" / "underlap" / "underlap_python.txt"
    kept = path_file.read_text()
    path_file.write_text("/nowhere/python\n")
    try:
        assert editor.save_as(drawing, tmp_path / "x.dst") == b""
    finally:
        path_file.write_text(kept)


def test_hooping_plan_draws_a_locked_layer_of_fields_and_crosses(
    editor: Editor, tmp_path: Path
) -> None:
    tree = read_svg(SAMPLES / "lighthouse.svg")
    make_layers(tree.getroot())
    layered = tmp_path / "layered.svg"
    put_in_place(layered, svg_bytes(tree))
    editor.prefer("hoop", fields="160x260")
    root = editor.run_effect("hoop", layered, tmp_path / "out.svg")
    [layer] = [child for child in root if child.get(v.ROLE) == v.ROLE_HOOPING]
    assert layer.get(v.sodipodi("insensitive")) == "true"
    numbers = [group.get(v.HOOPING) for group in layer if group.get(v.HOOPING)]
    assert numbers == [str(k + 1) for k in range(len(numbers))]
    crosses = [group.get(v.CROSS) for group in layer if group.get(v.CROSS)]
    assert len(crosses) >= 2
    assert f"{len(numbers)} hoopings; no plan" in editor.told()
    # The layer is nobody's piece: what was made before stands as it was.
    assert steps(root) == steps(tree.getroot())
    assert read_plan(root)[0].stitch_count == read_plan(tree.getroot())[0].stitch_count
