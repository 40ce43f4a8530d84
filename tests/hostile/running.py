"""Commands run on hostile input, each in a process of its own, and what they may do at most."""

from __future__ import annotations

import json
import os
import re
import socket
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

MOST_SECONDS = 10.0
"""Of the processor: others may be at work on the machine. What waits is ended by the wall clock."""

MOST_MB = 1000.0
"""Greatest memory of a command, the program's own 200 MB among them."""

LONGEST_LINE = 1000
"""Signs in a sentence: what is hostile may be shown, not poured out."""

MOST_LINES = 200

Make = Callable[[], bytes]
"""Makes the bytes of an input. `@WEB@`, `@SECRET@` and `@PIPE@` in them become a server on this
machine, a file that is none of the input's, and a pipe that nobody writes to."""

COMMANDS: Mapping[str, tuple[str, ...]] = {
    "layers": ("layers", "IN", "-o", "out/layers.svg"),
    "refresh": ("refresh", "IN", "-o", "out/refreshed.svg"),
    "import": ("import", "IN", "-o", "out/block.svg", "--width", "100"),
    "check": ("check", "IN"),
    "proof": ("proof", "IN", "--picture", "out/proof.png"),
    "stitch": ("stitch", "IN", "-o", "out/block.dst"),
    "hoop": ("hoop", "IN", "-o", "out/hoopings", "--field", "100x100", "--seconds", "2"),
    "cut": ("cut", "IN", "-o", "out/cutting", "--seconds", "2"),
    "scrap": ("cut", "good.svg", "-o", "out/cutting", "--scrap", "IN", "--seconds", "2"),
    "card": ("card", "IN", "-o", "out/card.html"),
    "card-pdf": ("card", "IN", "-o", "out/card.pdf"),
    "run-sheet": ("run-sheet", "IN", "-o", "out/sheet.html"),
    "stitch-out": ("stitch-out", "IN", "-o", "out/stitch-out.html"),
    "add": ("library", "add", "IN", "--to", "out/set.svg"),
    "list": ("library", "list", "IN"),
    "library-check": ("library", "check", "IN"),
    "sheet": ("library", "sheet", "IN", "-o", "out/binder.pdf"),
    "merge": ("library", "merge", "IN", "--to", "out/set.svg"),
    "update": ("library", "update", "IN", "--library", "good.svg", "-o", "out/updated.svg"),
    "compose": ("compose", "IN", "-o", "out/composed.svg"),
    "quilt": ("quilt", "IN", "-o", "out/quilt", "--jobs", "1"),
    "trace": ("trace", "IN", "-o", "out/traced.svg"),
    "inspect": ("inspect", "IN", "--picture", "out/file.png"),
    "compare": ("compare", "IN", "IN"),
    "anew": ("stitch", "IN", "-o", "out/anew.dst"),
}
"""The commands' words by a name; IN is the input."""


@dataclass(frozen=True)
class Outcome:
    """How a command ended, what it said, what it took, and what it did that it must not do."""

    code: int
    hung: bool
    seconds: float
    peak_mb: float
    told: str
    said: str
    strange: tuple[str, ...]

    def faults(self) -> list[str]:
        """Everything that breaks a bound, as sentences; none if all is well."""
        lines = self.told.splitlines()
        ended = [line for line in lines if line.startswith("error: ")]
        checks = {
            f"hung, and was ended after {self.seconds:.1f} s of work": not self.hung,
            f"exit code {self.code}": self.code in (0, 1),
            f"took {self.seconds:.1f} s": self.seconds <= MOST_SECONDS,
            f"took {self.peak_mb:.0f} MB": self.peak_mb <= MOST_MB,
            "shows a traceback": "Traceback" not in self.told + self.said,
            "no sentence of why": self.code == 0 or bool(ended),
            "a line that is no finding": all(_LINE.match(line) for line in lines),
            f"{len(lines)} lines": len(lines) <= MOST_LINES,
            "a line without end": max(map(len, lines), default=0) <= LONGEST_LINE,
            "invisible signs": all(line.isprintable() for line in lines),
            f"touched {', '.join(self.strange[:3])}": not self.strange,
            "shows what it must not read": SECRET not in self.told + self.said,
        }
        return [fault for fault, is_well in checks.items() if not is_well]


_LINE = re.compile(r"(error|warning|note): \S")

SECRET = "a-word-from-a-file-that-is-not-the-input's"


class Runner:
    """Runs commands. To be used with `with`."""

    def __init__(self, folder: Path) -> None:
        self.figures: list[tuple[float, float, str]] = []
        self._folder = folder
        self._count = 0
        self._secret = folder / "secret.txt"
        self._secret.write_text(SECRET)
        self._pipe = folder / "pipe"
        os.mkfifo(self._pipe)
        self._web = socket.create_server(("127.0.0.1", 0))
        self._web.setblocking(False)
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.hostile.server"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        )
        assert self._process.stdout is not None
        assert self._process.stdout.readline() == "ready\n"

    def __enter__(self) -> Runner:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.wait(timeout=60)
        self._process.stdout.close()
        self._web.close()

    def folder(self) -> Path:
        """A new folder for one command, with one for its results."""
        self._count += 1
        folder = self._folder / str(self._count)
        (folder / "out").mkdir(parents=True)
        return folder

    def filled(self, data: bytes) -> bytes:
        """An input with this machine's places in it."""
        port = self._web.getsockname()[1]
        for mark, place in (
            (b"@WEB@", f"http://127.0.0.1:{port}"),
            (b"@SECRET@", str(self._secret)),
            (b"@PIPE@", str(self._pipe)),
        ):
            data = data.replace(mark, place.encode()) if mark in data else data
        return data

    def run(self, name: str, data: bytes, command: str, **beside: bytes) -> Outcome:
        """Run a command of the table on an input of a name; `beside` are good files it may need,
        by their names' first words."""
        folder = self.folder()
        (folder / name).write_bytes(self.filled(data))
        for stem, content in beside.items():
            (folder / f"{stem}.svg").write_bytes(content)
        return self.run_in(folder, [name if w == "IN" else w for w in COMMANDS[command]])

    def run_in(self, folder: Path, words: Sequence[str]) -> Outcome:
        """Run any command in a folder that holds what it needs."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps({"words": list(words), "folder": str(folder)}) + "\n")
        self._process.stdin.flush()
        answer = json.loads(self._process.stdout.readline())
        strange = (folder / "strange").read_text().splitlines() + self._calls()
        self.figures.append((answer["seconds"], answer["peak_mb"], " ".join(words[:2])))
        return Outcome(
            **answer,
            told=(folder / "stderr").read_text("utf-8", "replace"),
            said=(folder / "stdout").read_text("utf-8", "replace"),
            strange=tuple(strange),
        )

    def _calls(self) -> list[str]:
        """Whether somebody called the server that inputs name."""
        try:
            self._web.accept()[0].close()
        except BlockingIOError:
            return []
        return ["a call to the network"]
