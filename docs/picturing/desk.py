"""A virtual screen with the real editor on it, and a browser, to be photographed for the documents.

Needs `inkscape`, `Xvfb`, `xdotool` and `chromium`. Nobody sits at this screen and no window manager
runs on it: a window stays where it is put. What would differ from one run to the next is held
still: the cursor doesn't blink, nothing is animated, the theme is the plain light one.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageChops, ImageGrab
from playwright.sync_api import Page, sync_playwright

SECONDS = 60
SCREEN = "1280x1024x24"
LOOK_AGAIN_S = 0.7
PRESSES = 5
UNPAINTED = 0.05
"""A window that is blacker is not painted yet: nothing in the light theme is black but letters."""

BAR_PX = 150
OUT_OF_THE_WAY = (1270, 1010)
STILL = (
    "[Settings]\ngtk-cursor-blink=0\ngtk-enable-animations=0\ngtk-theme-name=Adwaita\n"
    "gtk-application-prefer-dark-theme=0\n"
)
MAIN_WINDOW = " - Inkscape$"

Box = tuple[int, int, int, int]
"""Left, top, right and bottom, in pixels of the screen."""


@dataclass(frozen=True)
class Desk:
    """A screen, and an editor with the extensions installed in a home of its own."""

    display: str
    home: Path

    @property
    def profile(self) -> Path:
        """The editor's own folder."""
        return self.home / "profile"

    def environment(self) -> dict[str, str]:
        """What the editor is started with."""
        return {
            **os.environ,
            "DISPLAY": self.display,
            "HOME": str(self.home),
            "XDG_CONFIG_HOME": str(self.home / "config"),
            "INKSCAPE_PROFILE_DIR": str(self.profile),
            "NO_AT_BRIDGE": "1",
            "UNDERLAP_NO_BROWSER": "1",
        }

    def prefer(self, effect: str = "", **values: object) -> None:
        """Fill an effect's dialog in before it is opened; words are as in its .inx."""
        filled = " ".join(f'org.underlap.{effect}.{k}="{value}"' for k, value in values.items())
        (self.profile / "preferences.xml").write_text(
            f'<inkscape version="1"><group id="extensions" {filled}/>'
            '<group id="theme" preferDarkTheme="0" darkTheme="0"/><group id="dialogs">'
            '<group id="save_copy" default="org.underlap.save-pes" use_current_dir="1"/>'
            "</group></inkscape>",
            encoding="utf-8",
        )

    @contextmanager
    def editor(self, drawing: Path, *actions: str) -> Iterator[None]:
        """The editor with a drawing open, after some actions of its own (`select-by-id:sun`)."""
        command = ["inkscape", "--with-gui", f"--app-id-tag=p{time.monotonic_ns()}"]
        command += [f"--actions={';'.join(actions)}"] if actions else []
        running = subprocess.Popen(
            [*command, str(drawing)],
            env=self.environment(),
            cwd=self.home,  # it is shown where files are chosen
            stderr=subprocess.DEVNULL,
        )
        try:
            self.window(MAIN_WINDOW)
            yield
        finally:
            running.terminate()
            running.wait(SECONDS)

    def do(self, *words: object) -> str:
        """Move the mouse, press keys, move windows: what xdotool is told; returns its answer."""
        command = ["xdotool", *map(str, words)]
        answer = subprocess.run(
            command, env=self.environment(), timeout=SECONDS, capture_output=True, text=True
        )
        return answer.stdout

    def press(self, keys: str) -> None:
        """Press keys in the editor's window until they are seen to do something: a busy editor
        drops what comes before it is ready."""
        before = self.still()
        for _ in range(PRESSES):
            self.do("windowfocus", self.window(MAIN_WINDOW), "key", keys)
            if ImageChops.difference(self.still(), before).getbbox() is not None:
                return
        raise TimeoutError(f"nothing came of the keys {keys}")

    def window(self, title: str) -> str:
        """The number of the window whose title matches, as soon as it is to be seen."""
        end = time.monotonic() + SECONDS
        while time.monotonic() < end:
            found = self.do("search", "--onlyvisible", "--name", title).split()
            if found:
                return found[-1]
            time.sleep(LOOK_AGAIN_S)
        raise TimeoutError(f"no window {title!r} on the screen")

    def place(self, title: str, box: Box) -> None:
        """Put a window into a box of the screen."""
        left, top, right, bottom = box
        number = self.window(title)
        self.do("windowsize", number, right - left, bottom - top, "windowmove", number, left, top)

    def box(self, title: str) -> Box:
        """Where a window lies."""
        return self._box_of(self.window(title))

    def message(self) -> Box:
        """Where the dialog lies in which the editor shows what an extension has to say."""
        end = time.monotonic() + SECONDS
        while time.monotonic() < end:
            for number in self.do("search", "--onlyvisible", "--class", "inkscape").split():
                box = self._box_of(number)
                # It has no title; nor has the bar that is shown while the extension is at work.
                if not self.do("getwindowname", number).strip() and box[3] - box[1] > BAR_PX:
                    return box
            time.sleep(LOOK_AGAIN_S)
        raise TimeoutError("the extension has said nothing")

    def _box_of(self, number: str) -> Box:
        shell = self.do("getwindowgeometry", "--shell", number)
        told = {key: int(value) for key, value in re.findall(r"^(\w+)=(-?\d+)$", shell, re.M)}
        left, top = told["X"], told["Y"]
        return (left, top, left + told["WIDTH"], top + told["HEIGHT"])

    def still(self, park: bool = True) -> Image.Image:
        """The screen, as soon as the editor's window is painted and two looks show the same; the
        mouse is parked first, because what it points at would explain itself."""
        if park:
            self.do("mousemove", *OUT_OF_THE_WAY)
        end = time.monotonic() + SECONDS
        seen = ImageGrab.grab(xdisplay=self.display)
        while time.monotonic() < end:
            time.sleep(LOOK_AGAIN_S)
            seen, last = ImageGrab.grab(xdisplay=self.display), seen
            same = ImageChops.difference(seen, last).getbbox() is None
            if same and black_share(seen.crop(self.box(MAIN_WINDOW))) < UNPAINTED:
                return seen
        raise TimeoutError("the screen does not stand still")


def black_share(picture: Image.Image) -> float:
    """How much of a picture is quite black, as what no program has painted yet."""
    return picture.convert("L").histogram()[0] / (picture.width * picture.height)


@contextmanager
def desk(home: Path) -> Iterator[Desk]:
    """A screen that is taken away again."""
    for program in ("inkscape", "Xvfb", "xdotool"):
        if shutil.which(program) is None:
            raise FileNotFoundError(f"{program} is needed for these pictures; install it")
    settings = home / "config" / "gtk-3.0" / "settings.ini"
    settings.parent.mkdir(parents=True)
    settings.write_text(STILL, encoding="utf-8")
    reading, writing = os.pipe()
    # Else the screen starts anew whenever nobody looks at it, and drops who is just coming.
    command = ["Xvfb", "-noreset", "-displayfd", str(writing), "-screen", "0", SCREEN]
    screen = subprocess.Popen(command, pass_fds=[writing], stderr=subprocess.DEVNULL)
    os.close(writing)
    try:
        with os.fdopen(reading) as answer:
            here = Desk(f":{answer.readline().strip()}", home)
        here.profile.mkdir()
        yield here
    finally:
        screen.terminate()
        screen.wait(SECONDS)


@contextmanager
def browser_page(file: Path, width: int, height: int) -> Iterator[Page]:
    """A page of ours, open in Chromium in a window of so many pixels, without a network."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        raise FileNotFoundError("chromium is needed for these pictures; install it")
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = running.new_page(viewport={"width": width, "height": height})
        page.goto(file.as_uri())
        yield page
        running.close()
