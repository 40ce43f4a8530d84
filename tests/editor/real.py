"""Running the real editor on a virtual screen.

What was learnt the hard way: without a display, or without `.noprefs`, nothing runs and the exit
code is 0 all the same, so every test asserts on what was written. Anything on standard error opens
a dialog and a headless run hangs, so messages go to a file. An editor that is already open swallows
the call unless it has a tag of its own.
"""

from __future__ import annotations

import os
import subprocess
from dataclasses import dataclass
from pathlib import Path

from lxml import etree

SECONDS = 90
SCREEN = "-screen 0 1280x1024x24"


@dataclass(frozen=True)
class Editor:
    """An editor with a profile of its own, into which the extensions are installed."""

    program: str
    profile: Path
    messages: Path

    def environment(self) -> dict[str, str]:
        return {
            **os.environ,
            "INKSCAPE_PROFILE_DIR": str(self.profile),
            "UNDERLAP_MESSAGES": str(self.messages),
            "UNDERLAP_EDITOR": self.program,
            "UNDERLAP_NO_BROWSER": "1",
        }

    def told(self) -> str:
        """What the extensions had to say so far."""
        return self.messages.read_text(encoding="utf-8") if self.messages.exists() else ""

    def prefer(self, effect: str, **values: object) -> None:
        """Set what an effect's dialog would be set to."""
        attributes = " ".join(f'org.underlap.{effect}.{k}="{value}"' for k, value in values.items())
        (self.profile / "preferences.xml").write_text(
            f'<inkscape version="1"><group id="extensions" {attributes}/></inkscape>',
            encoding="utf-8",
        )

    def run_effect(self, effect: str, drawing: Path, out: Path, select: str = "") -> etree._Element:
        """Select ids, run an effect, export; returns the written document."""
        actions = [f"select-by-id:{select}"] if select else []
        actions += [f"org.underlap.{effect}.noprefs", f"export-filename:{out}", "export-do"]
        return self.run_actions(actions, drawing, out)

    def run_actions(self, actions: list[str], drawing: Path, out: Path) -> etree._Element:
        command = ["xvfb-run", "-a", "-s", SCREEN, self.program, "--batch-process"]
        command += [f"--app-id-tag=t{os.getpid()}", f"--actions={';'.join(actions)}", str(drawing)]
        for attempt in (1, 2):  # one run in many hangs before it starts
            out.unlink(missing_ok=True)
            try:
                subprocess.run(
                    command,
                    env=self.environment(),
                    timeout=SECONDS,
                    capture_output=True,
                    check=False,
                )
            except subprocess.TimeoutExpired:
                if attempt == 2:
                    raise
                continue
            if out.exists():
                break
        return etree.parse(str(out)).getroot()

    def save_as(self, drawing: Path, out: Path) -> bytes:
        """Save As: the type comes from the suffix. Empty if nothing was written."""
        out.unlink(missing_ok=True)
        subprocess.run(
            [self.program, str(drawing), f"--export-filename={out}"],
            env=self.environment(),
            timeout=SECONDS,
            capture_output=True,
            check=False,
        )
        return out.read_bytes() if out.exists() else b""
