"""Templates in a real Inkscape: Place from Library, the Symbols dialog, and links that are cut.

The Symbols dialog is driven by mouse and keys as by hand, and by what is seen on the screen: the
page is what is white, the dialog's list is pale, the symbols in it are dark.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import pytest
from lxml import etree
from PIL import ImageGrab
from shapely import Point, Polygon, affinity

from applique.checks import check_document
from applique.editor import install
from applique.files import read_svg, svg_bytes
from applique.library.adding import add_templates
from applique.library.pieces import templates_in
from applique.library.shelf import new_library
from applique.model import Piece
from applique.pipeline import make_layers
from applique.svg import vocabulary as v
from applique.svg.read import survey_block
from tests.editor.real import Editor
from tests.shapes import drawing

SECONDS = 30
Box = tuple[int, int, int, int]
HULL = Polygon([(0, 0), (30, 0), (30, 20), (18, 28), (0, 18)])
PORTHOLE = Polygon([(0, 0), (30, 0), (30, 30), (0, 30)], [[(10, 10), (20, 10), (20, 20), (10, 20)]])
PAGES = {
    "mm": 'width="100mm" height="80mm" viewBox="0 0 100 80"',
    "px": f'width="{100 / 25.4 * 96}" height="{80 / 25.4 * 96}"',
}


@pytest.fixture(scope="module")
def profile(inkscape: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A profile with the extensions, and with a library among the symbols."""
    folder = tmp_path_factory.mktemp("profile")
    library = new_library("AA Harbour")  # the first in the alphabet, so the menu's third entry
    content = (
        '<path ap:piece="7" d="M10 10h30v20l-12 8-18-10z"/>'
        '<path ap:piece="8" fill-rule="evenodd" d="M50 10h30v30h-30z M60 20h10v10h-10z"/>'
    )
    add_templates(library, templates_in(drawing(content), "harbour")[0], "HB")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("INKSCAPE_PROFILE_DIR", str(folder))
        patch.setenv("UNDERLAP_EDITOR", inkscape)
        install.install()
        install.install_symbols("harbour.svg", svg_bytes(library.root.getroottree()))
    return folder


@pytest.fixture
def editor(inkscape: str, profile: Path, tmp_path: Path) -> Editor:
    (profile / "preferences.xml").unlink(missing_ok=True)
    return Editor(inkscape, profile, tmp_path / "messages.txt")


def page(tmp_path: Path, size: str, content: str = "") -> Path:
    path = tmp_path / "block.svg"
    path.write_bytes(etree.tostring(drawing(content, size)))
    return path


def pieces(root: etree._Element) -> dict[str, Piece]:
    return {piece.label: piece for piece in survey_block(root).block.pieces}


def is_at(piece: Piece, template: Polygon, middle: tuple[float, float]) -> bool:
    """Whether a piece is a template (turned, mirrored and scaled already) around a place."""
    x, y = template.envelope.centroid.coords[0]
    expected = affinity.translate(template, middle[0] - x, middle[1] - y)
    return piece.outline.shape.hausdorff_distance(expected) < 0.002


def placed(editor: Editor, block: Path, **values: object) -> etree._Element:
    """What Place from Library makes of a block."""
    editor.prefer("place", library=editor.profile / "symbols" / "harbour.svg", **values)
    return editor.run_effect("place", block, block.with_name("out.svg"))


@pytest.mark.parametrize("unit", PAGES)
def test_templates_are_placed_side_by_side(editor: Editor, tmp_path: Path, unit: str) -> None:
    found = pieces(placed(editor, page(tmp_path, PAGES[unit]), templates="7, HB8"))
    assert is_at(found["7"], HULL, (50 - 17.5, 40))
    assert is_at(found["8"], PORTHOLE, (50 + 17.5, 40))
    assert editor.told() == ""


def test_a_turned_mirrored_template_in_a_transformed_layer(editor: Editor, tmp_path: Path) -> None:
    content = (
        '<namedview xmlns="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd" '
        'inkscape:current-layer="sails"/><g id="sails" inkscape:groupmode="layer" '
        'transform="translate(40 10) rotate(25) scale(2.5)"/>'
    )
    root = placed(editor, page(tmp_path, PAGES["mm"], content), templates="7", turn=90, mirror=1)
    assert root.find(f".//*[@id='sails']/{v.svg('use')}") is not None
    laid = affinity.rotate(affinity.scale(HULL, xfact=-1), 90)
    assert is_at(pieces(root)["7"], laid, (50, 40))


def test_another_size_is_told_and_stays_marked(editor: Editor, tmp_path: Path) -> None:
    root = placed(editor, page(tmp_path, PAGES["px"]), templates="8", size=80)
    assert editor.told() == "placed at 80%: 8; not true to their templates\n"
    assert is_at(pieces(root)["8"], affinity.scale(PORTHOLE, 0.8, 0.8), (50, 40))
    (marked,) = [found for found in check_document(root) if found.code == "not-true"]
    assert "is 80% of template HB8" in marked.message


def test_an_unknown_number_is_one_sentence(editor: Editor, tmp_path: Path) -> None:
    root = placed(editor, page(tmp_path, PAGES["mm"], "<rect/>"), templates="7, 99")
    tags = [etree.QName(element).localname for element in root.iter(v.svg("*"))]
    assert tags == ["svg", "defs", "rect"]
    assert (
        editor.told() == "99: the library has no such template; 'applique library list' shows all\n"
    )


@dataclass(frozen=True)
class Desk:
    """A screen with nothing but the editor's window on it."""

    display: str
    photograph: Path

    def do(self, *words: object) -> None:
        """Move the mouse, press keys: what xdotool is told."""
        command = ["env", f"DISPLAY={self.display}", "xdotool", *map(str, words)]
        subprocess.run(command, timeout=SECONDS, check=True)

    def boxes(self, low: int, high: int, least: int, within: Box = (0, 0, 1280, 1024)) -> list[Box]:
        """Areas of so many pixels of a shade of grey, from left to right."""
        left, top, right, bottom = within
        grey = np.array(ImageGrab.grab(xdisplay=self.display).convert("L"))[top:bottom, left:right]
        mask = ((grey >= low) & (grey <= high)).astype(np.uint8)
        _, _, areas, _ = cv2.connectedComponentsWithStats(mask, connectivity=4)
        found = [area.tolist() for area in areas[1:] if area[4] >= least]
        return sorted((left + x, top + y, left + x + w, top + y + h) for x, y, w, h, _ in found)

    def until(self, what: str, look: Callable[[], list], count: int = 1) -> list:
        """Wait until so many things are seen and stand still."""
        end, seen = time.monotonic() + SECONDS, []
        while time.monotonic() < end:
            seen, last = look(), seen
            if len(seen) == count and seen == last:
                return seen
            time.sleep(0.25)
        ImageGrab.grab(xdisplay=self.display).save(self.photograph)
        raise TimeoutError(f"no {what} to be seen; the screen is in {self.photograph}")


@contextmanager
def desk(editor: Editor, block: Path) -> Iterator[Desk]:
    """The editor, started with a block on a screen of its own."""
    reading, writing = os.pipe()
    # Else the screen starts anew whenever nobody looks at it, and drops who is just coming.
    command = ["Xvfb", "-noreset", "-displayfd", str(writing), "-screen", "0", "1280x1024x24"]
    running = [subprocess.Popen(command, pass_fds=[writing], stderr=subprocess.DEVNULL)]
    os.close(writing)
    try:
        with os.fdopen(reading) as answer:
            display = f":{answer.readline().strip()}"
        command = [editor.program, f"--app-id-tag=d{running[0].pid}", str(block)]
        environment = {**editor.environment(), "DISPLAY": display, "NO_AT_BRIDGE": "1"}
        running.append(subprocess.Popen(command, env=environment))
        yield Desk(display, block.with_suffix(".png"))
    finally:
        for process in reversed(running):
            process.terminate()
            process.wait(SECONDS)


def compose_by_hand(editor: Editor, block: Path) -> None:
    """Open a block, drag the set's first symbol into it, copy and paste the second, save."""
    with desk(editor, block) as screen:
        screen.until("page", lambda: screen.boxes(255, 255, 20_000))
        screen.do("search", "--name", " - Inkscape", "windowsize", 1280, 1000, "windowfocus")
        screen.do("key", "ctrl+shift+y")
        (shelf,) = screen.until("list of symbols", lambda: screen.boxes(237, 239, 100_000))
        screen.do("mousemove", at(shelf)[0], shelf[1] - 79, "click", 1)
        screen.until("menu of sets", lambda: screen.boxes(70, 78, 4000))
        screen.do("key", "Down", "Down", "Return")
        icons = screen.until("symbols", lambda: screen.boxes(0, 60, 400, shelf), 2)
        (sheet,) = screen.until(
            "page", lambda: screen.boxes(255, 255, 20_000, (0, 0, shelf[0], 1000))
        )
        (x, y), (to_x, to_y) = at(icons[0]), at(sheet, 0.25)
        screen.do("mousemove", x, y, "mousedown", 1, "sleep", 0.3, "mousemove", x - 20, y + 20)
        screen.do("sleep", 0.3, "mousemove", to_x - 5, to_y, "sleep", 0.3, "mousemove", to_x, to_y)
        screen.do("sleep", 0.5, "mouseup", 1)
        screen.until("symbol dropped", lambda: screen.boxes(0, 60, 2000, sheet), 1)
        screen.do("mousemove", *at(icons[1]), "click", 1, "sleep", 0.3)
        screen.do("mousemove", *at(sheet, 0.75), "sleep", 0.3, "key", "ctrl+v")
        screen.until("symbol pasted", lambda: screen.boxes(0, 60, 2000, sheet), 2)
        screen.do("key", "ctrl+s")
        screen.until("clones saved", lambda: block.read_bytes().split(b"<use")[1:], 2)


def at(box: Box, share: float = 0.5) -> tuple[int, int]:
    """The place at so large a share of a box's width, half way down."""
    return round(box[0] + share * (box[2] - box[0])), (box[1] + box[3]) // 2


@pytest.mark.skipif(shutil.which("xdotool") is None, reason="xdotool is not installed")
@pytest.mark.parametrize("unit", PAGES)
def test_composing_from_the_symbols_dialog(editor: Editor, tmp_path: Path, unit: str) -> None:
    block = page(tmp_path, PAGES[unit])
    try:
        compose_by_hand(editor, block)
    except TimeoutError:  # one run in many hangs before it starts
        compose_by_hand(editor, page(tmp_path, PAGES[unit]))
    root = read_svg(block).getroot()
    symbols = root.iterfind(f"{v.svg('defs')}/{v.svg('symbol')}")
    assert [symbol.get(v.TEMPLATE) for symbol in symbols] == ["HB7", "HB8"]
    found = pieces(root)
    for label, template, x in (("7", HULL, 25), ("8", PORTHOLE, 75)):
        assert found[label].origin.template == f"HB{label}"
        middle = found[label].outline.shape.envelope.centroid
        assert is_at(found[label], template, (middle.x, middle.y))
        assert middle.distance(Point(x, 40)) < 1
    assert "not-true" not in {finding.code for finding in check_document(root)}
    assert make_layers(root).made == ("7", "8")


def test_copies_whose_links_are_cut_are_the_same_pieces(editor: Editor, tmp_path: Path) -> None:
    block, out = page(tmp_path, PAGES["px"]), tmp_path / "cut.svg"
    linked = placed(editor, block, templates="7, 8", turn=20, mirror=1)
    actions = ["select-by-id:piece-7", "clone-unlink", "select-clear"]
    actions += ["select-by-id:piece-8", "object-unlink-clones", f"export-filename:{out}"]
    unlinked = editor.run_actions([*actions, "export-do"], tmp_path / "out.svg", out)
    assert list(unlinked.iter(v.svg("use"))) == []
    for label, piece in pieces(unlinked).items():
        assert (piece.origin.template, piece.origin.version) == (f"HB{label}", 1)
    before, after = make_layers(linked), make_layers(unlinked)
    assert after.made == before.made == ("7", "8")
    for step, other in zip(before.steps, after.steps, strict=True):
        assert (step.kind, step.piece) == (other.kind, other.piece)
        for path, again in zip(step.paths, other.paths, strict=True):
            assert np.abs(path - again).max() < 0.01
