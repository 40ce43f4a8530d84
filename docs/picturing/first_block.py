"""The pictures of docs/first-block.md."""

from __future__ import annotations

import io

from PIL import Image

from applique.editor.dialogs import EFFECTS
from picturing.story import FABRICS, FINISHED, run
from picturing.studio import (
    FIT_DRAWING,
    MAIN_WINDOW,
    OPENED_MENU,
    SMALL_WINDOW,
    WINDOW,
    Studio,
    framed,
    picture_of,
    scaled,
)

SHEETS = "150x100"
PROOF_WIDE = 1100


@picture_of("drawing")
def drawing(studio: Studio) -> Image.Image:
    """The drawing in the editor's window."""
    return studio.window(studio.story.drawn)


@picture_of("menu")
def menu(studio: Studio) -> Image.Image:
    """Extensions > Appliqué, opened."""
    desk = studio.desk
    with desk.editor(studio.story.drawn):
        desk.place(MAIN_WINDOW, WINDOW)
        desk.still()
        desk.do("mousemove", 424, 12, "click", 1)
        left, top, right, _ = desk.box(OPENED_MENU)
        desk.do("mousemove", left + 60, top + 62, "sleep", 0.5, "click", 1)
        return desk.still(park=False).crop((left - 60, 0, min(right + 200, WINDOW[2]), 350))


@picture_of("dialog tag", "drawing")
def fabric_and_edge(studio: Studio) -> Image.Image:
    """The sail is given its fabric."""
    studio.desk.prefer("tag", fabric=FABRICS["sail"])
    return studio.dialog("tag", studio.story.drawn, "sail")


@picture_of("dialog layers")
def make_layers(studio: Studio) -> Image.Image:
    """The last page of the dialog, with the block's size."""
    width, height = FINISHED.split("x")
    last = f"page{len(EFFECTS['layers'].pages)}"
    studio.desk.prefer("layers", tab=last, finished_width=width, finished_height=height)
    return studio.dialog_top("layers", studio.story.named, 170)


@picture_of("layers")
def layers(studio: Studio) -> Image.Image:
    """The block with its stitches on it."""
    return studio.drawn_by_editor(studio.story.layered, 560)


@picture_of("layers")
def stitches(studio: Studio) -> Image.Image:
    """Where sun and sail meet, so near that single stitches are seen."""
    return studio.drawn_by_editor(studio.story.layered, 560, "--export-area=250:150:400:250")


@picture_of("dialog check", "layers")
def check_block(studio: Studio) -> Image.Image:
    """What Check Block has to say."""
    with studio.desk.editor(studio.story.layered, "org.underlap.check.noprefs"):
        left, top, right, _ = box = studio.desk.message()
        return framed(studio.desk.still(), box).crop((left, top, right, top + 130))


@picture_of("layers")
def proof(studio: Studio) -> Image.Image:
    """The look and the needle map."""
    path = studio.story.folder / "proof.png"
    run("proof", studio.story.layered, "--picture", path)
    return scaled(Image.open(path), PROOF_WIDE)


@picture_of("formats")
def save_a_copy(studio: Studio) -> Image.Image:
    """Save a Copy, with a stitch format chosen."""
    desk = studio.desk
    desk.prefer()
    with desk.editor(studio.story.layered):
        desk.place(MAIN_WINDOW, WINDOW)
        desk.press("ctrl+shift+alt+s")
        title = "Select file to save a copy to"
        desk.place(title, SMALL_WINDOW)
        return desk.still().crop(desk.box(title))


@picture_of("dialog cut", "layers")
def cut_sheets(studio: Studio) -> Image.Image:
    """The dialog of Cut Sheets."""
    studio.desk.prefer("cut", sheets=SHEETS)
    return studio.dialog("cut", studio.story.layered)


@picture_of("dialog cut", "layers")
def sheets(studio: Studio) -> Image.Image:
    """The sheets as Cut Sheets draws them beside the block."""
    desk = studio.desk
    desk.prefer("cut", sheets=SHEETS)
    with desk.editor(studio.story.layered, "org.underlap.cut.noprefs"):
        left, _, right, bottom = desk.message()
        desk.do("mousemove", (left + right) // 2, bottom - 20, "click", 1)
        desk.place(MAIN_WINDOW, WINDOW)
        desk.press(FIT_DRAWING)
        return desk.still().crop(WINDOW)


@picture_of("run sheet")
def run_sheet(studio: Studio) -> Image.Image:
    """The run sheet on a phone."""
    from picturing.desk import browser_page

    with browser_page(studio.story.made("run-sheet", "html"), 390, 640) as page:
        page.evaluate("document.querySelector('#sittings .stops').scrollIntoView()")
        page.evaluate("scrollBy(0, -60)")  # from beneath the bar that stays in sight
        return Image.open(io.BytesIO(page.screenshot()))


@picture_of("stitch-out page")
def stitch_out(studio: Studio) -> Image.Image:
    """The stitch-out page, halfway."""
    from picturing.desk import browser_page

    with browser_page(studio.story.made("stitch-out", "html"), 1160, 800) as page:
        for _ in range(5):
            page.click("#stop-after")
        page.focus("#play")
        page.evaluate("scrollTo(0, 0)")
        return Image.open(io.BytesIO(page.screenshot()))
