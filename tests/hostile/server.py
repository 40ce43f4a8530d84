"""A process that has loaded the whole program, and parts from itself to run one command at a time.

A command run in a process of its own has its own memory and its own time, and what it does besides
is seen: every file that Python opens and every connection. Loading the program takes half a second;
parting from a process that has it, a hundredth.

It reads a line of JSON for each command, `{"words": [...], "folder": "..."}`, and answers with one.
The command's standard output and error go to `stdout` and `stderr` in the folder.
"""

from __future__ import annotations

import importlib
import json
import os
import pkgutil
import resource
import signal
import sys
import time
from pathlib import Path
from typing import Any

import applique

LONGEST_S = 60.0
"""Wall clock after which a command is ended: what waits for ever uses no processor time."""

_LONGEST_WORK_S = 12
"""Of the processor, after which it is ended too."""

_ADDRESSES = 4_000_000_000
"""Bytes of addresses that a command may take besides those of the program, so that a bomb goes off
in its own process."""

_LARGEST_FILE = 300_000_000

_READABLE = tuple(
    str(Path(place).resolve())
    for place in (
        sys.prefix,
        sys.base_prefix,
        Path(__file__).parents[2],
        "/proc",
        "/sys",
        "/dev/null",
    )
)
"""Where the interpreter and the program read what is theirs."""

_OWN_PROCESS = "applique.trace.pdf_worker"
"""What the program may start: the pages of a PDF are drawn in a process of their own. Its limits
are those of the command, and its time and memory count with it."""

_CHANGES = {
    "os.remove": 1,
    "os.rename": 2,
    "os.mkdir": 1,
    "os.rmdir": 1,
    "os.symlink": 2,
    "os.link": 2,
    "os.truncate": 1,
}
"""What changes files, and how many of its words are paths."""

_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND


def serve() -> None:
    """Answer until the input ends."""
    _load_everything()
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    for line in sys.stdin:
        asked = json.loads(line)
        answer = _run(asked["words"], Path(asked["folder"]))
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()


def _load_everything() -> None:
    for found in pkgutil.walk_packages(applique.__path__, "applique."):
        if not found.name.startswith("applique.editor"):
            importlib.import_module(found.name)
    for name in ("tinycss2.color4", "cssselect", "pypdfium2", "ezdxf", "reportlab.pdfgen.canvas"):
        importlib.import_module(name)


def _run(words: list[str], folder: Path) -> dict[str, Any]:
    """Run a command in a child, and tell how it ended and what it took."""
    started = time.monotonic()
    child = os.fork()
    if child == 0:
        os._exit(_in_the_child(words, folder))
    ended_by_us = False
    while True:
        found, status, used = os.wait4(child, os.WNOHANG)
        if found:
            break
        if time.monotonic() - started > LONGEST_S:
            ended_by_us = True
            os.killpg(child, signal.SIGKILL)
        time.sleep(0.003)
    return {
        "code": os.waitstatus_to_exitcode(status),
        "hung": ended_by_us,
        "seconds": used.ru_utime + used.ru_stime,
        "peak_mb": used.ru_maxrss * 1024 / 1e6,
    }


def _in_the_child(words: list[str], folder: Path) -> int:
    os.setpgid(0, 0)
    for number, name in ((1, "stdout"), (2, "stderr")):
        os.dup2(os.open(folder / name, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), number)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    _limit()
    os.chdir(folder)
    _watch(folder.resolve(), os.open(folder / "strange", os.O_WRONLY | os.O_CREAT))
    try:
        from applique.cli.main import main

        return main(words)
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 70
    except BaseException:
        import traceback

        traceback.print_exc()
        return 70
    finally:
        sys.stdout.flush()
        sys.stderr.flush()


def _limit() -> None:
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    most = pages * resource.getpagesize() + _ADDRESSES
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    resource.setrlimit(resource.RLIMIT_FSIZE, (_LARGEST_FILE, _LARGEST_FILE))
    resource.setrlimit(resource.RLIMIT_CPU, (_LONGEST_WORK_S, _LONGEST_WORK_S))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _watch(folder: Path, report: int) -> None:
    """Note connections, and files opened or changed elsewhere than they may be."""

    def note(event: str, what: object) -> None:
        os.write(report, f"{event} {what}\n".encode(errors="backslashreplace"))

    def within(path: object, places: tuple[str, ...]) -> bool:
        if isinstance(path, int):
            return True
        full = os.path.realpath(os.fsdecode(path))  # type: ignore[arg-type]  # noqa: PTH
        return any(full == place or full.startswith(place + os.sep) for place in places)

    def seen(event: str, words: tuple[Any, ...]) -> None:
        if event == "subprocess.Popen" and _OWN_PROCESS in words[1]:
            return
        if event.startswith(("socket.", "subprocess.", "os.exec", "os.system", "urllib.")):
            note(event, words[:2])
        elif event == "open" and words[0] is not None:
            writes = isinstance(words[2], int) and words[2] & _WRITING
            inside = (str(folder),) if writes else (str(folder), *_READABLE)
            if not within(words[0], inside) and words[0] != os.devnull:
                note("write" if writes else "read", words[0])
        elif event in _CHANGES:
            for path in words[: _CHANGES[event]]:
                if not within(path, (str(folder),)):
                    note(event, path)

    sys.addaudithook(seen)


if __name__ == "__main__":
    serve()
