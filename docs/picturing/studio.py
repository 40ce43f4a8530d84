"""Where pictures are taken: a drawing by the editor, its windows and dialogs, pages of a PDF."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image, ImageDraw

from applique.editor.dialogs import EFFECTS
from picturing.story import Story

if TYPE_CHECKING:
    from picturing.desk import Box, Desk

WINDOW, SMALL_WINDOW = (0, 0, 880, 560), (0, 0, 760, 400)
MAIN_WINDOW, OPENED_MENU = " - Inkscape$", "^org.inkscape.Inkscape$"
"""Windows by their titles."""

FIT_PAGE, FIT_DRAWING = "5", "4"
"""Keys of the editor."""


@dataclass(frozen=True)
class Picture:
    """How a picture is made, and from what."""

    make: Callable[[Studio], Image.Image]
    sources: tuple[str, ...]


MAKERS: dict[str, Picture] = {}
"""By the picture's name."""


def picture_of(*sources: str) -> Callable[[Callable[[Studio], Image.Image]], object]:
    """Marks the function that makes the picture of its own name."""

    def marked(make: Callable[[Studio], Image.Image]) -> object:
        MAKERS[make.__name__.replace("_", "-")] = Picture(make, sources)
        return make

    return marked


@dataclass(frozen=True)
class Studio:
    """Where pictures are taken: the story in a folder of the editor's home, and a desk."""

    story: Story
    desk: Desk

    def drawn_by_editor(self, drawing: Path, width: int, *words: str) -> Image.Image:
        """A drawing, or a part of it, as the editor draws it."""
        path = self.story.folder / "drawn.png"
        command = ["inkscape", str(drawing), f"--export-filename={path}", f"--export-width={width}"]
        subprocess.run(
            [*command, *words], env=self.desk.environment(), check=True, capture_output=True
        )
        return Image.open(path)

    def dialog(self, effect: str, drawing: Path, selected: str = "") -> Image.Image:
        """An effect's dialog over the drawing that it is about to be applied to."""
        actions = [f"select-by-id:{selected}"] if selected else []
        title = EFFECTS[effect].title
        with self.desk.editor(drawing, *actions, f"org.underlap.{effect}"):
            self.desk.place(MAIN_WINDOW, WINDOW)
            left, _, right, _ = self.desk.box(title)
            place = (WINDOW[2] - (right - left) - 20, 90)
            self.desk.do("windowmove", self.desk.window(title), *place)
            return framed(self.desk.still(), self.desk.box(title)).crop(WINDOW)

    def dialog_top(self, effect: str, drawing: Path, high: int) -> Image.Image:
        """The upper part of an effect's dialog, so many pixels high."""
        with self.desk.editor(drawing, f"org.underlap.{effect}"):
            left, top, right, _ = box = self.desk.box(EFFECTS[effect].title)
            return framed(self.desk.still(), box).crop((left, top, right, top + high))

    def window(self, drawing: Path) -> Image.Image:
        """The editor's window with the whole page in sight."""
        with self.desk.editor(drawing):
            self.desk.place(MAIN_WINDOW, WINDOW)
            self.desk.press(FIT_PAGE)
            return self.desk.still().crop(WINDOW)


def framed(screen: Image.Image, box: Box) -> Image.Image:
    """The screen with a thin line around a window: without a window manager it has no border."""
    left, top, right, bottom = box
    ImageDraw.Draw(screen).rectangle((left, top, right - 1, bottom - 1), outline="#8a8a8a")
    return screen


def scaled(picture: Image.Image, width: int) -> Image.Image:
    """A picture made smaller, so many pixels wide."""
    return picture.convert("RGB").resize((width, round(picture.height * width / picture.width)))


def pdf_page(file: Path, number: int, width: int) -> Image.Image:
    """A page of a PDF, counted from 1, so many pixels wide."""
    import pypdfium2  # Of no use to the other pictures.

    with pypdfium2.PdfDocument(file) as document:
        page = document[number - 1]
        shot = page.render(scale=2 * width / page.get_width()).to_pil()
    return scaled(shot, width)
