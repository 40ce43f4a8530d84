"""Asking the editor: where it is on this machine, where its files belong, what version it is."""

from __future__ import annotations

import locale
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from applique.editor.finding import EDITOR_VARIABLE, Program, Surroundings, find_program
from applique.errors import EditorError

_ANSWER_SECONDS = 30


def this_machine() -> Surroundings:
    """What there is here."""
    return Surroundings(
        sys.platform,
        os.environ,
        str(Path.home()),
        shutil.which,
        lambda path: Path(path).is_file(),
        os.path.realpath,
    )


def editor_program() -> Program:
    """The editor's program; raises EditorError if it can't be found."""
    found = find_program(this_machine())
    if found is None:
        raise EditorError(
            "Inkscape was not found; install it, or name its program in the variable "
            f"{EDITOR_VARIABLE}"
        )
    return found


def user_data() -> Path:
    """The user's folder, as the editor itself tells it; raises EditorError."""
    return _folder("--user-data-directory", "where its own files belong")


def system_data() -> Path:
    """The folder of what comes with the editor; raises EditorError."""
    return _folder("--system-data-directory", "where its own files are")


def editor_version() -> tuple[int, ...]:
    """The editor's version, as numbers; raises EditorError."""
    answer = "\n".join(_answer("--version", "what version it is"))
    numbers = re.search(r"^Inkscape (\d+(?:\.\d+)*)", answer, re.M)
    if numbers is None:
        raise EditorError(f"{editor_program().path} did not say its version; is it Inkscape?")
    return tuple(int(number) for number in numbers[1].split("."))


def _folder(flag: str, what: str) -> Path:
    """The folder that the editor names to a flag. What is no whole path is none of its folders:
    files put there would lie in the folder that the command happens to run in."""
    told = _answer(flag, what)[-1]
    if not told.isprintable() or not Path(told).is_absolute():
        raise EditorError(f"{editor_program().path} did not say {what}; is it Inkscape?")
    return Path(told)


def _answer(flag: str, what: str) -> list[str]:
    """The lines that the editor says to a flag, at least one; `what` it was asked."""
    program = editor_program().path
    try:
        answer = subprocess.run(
            [program, flag], capture_output=True, timeout=_ANSWER_SECONDS, check=True
        )
    except (OSError, subprocess.SubprocessError):
        raise EditorError(
            f"{program} did not say {what}; name Inkscape's program in the variable "
            f"{EDITOR_VARIABLE}"
        ) from None
    lines = [line.strip() for line in _text(answer.stdout).splitlines() if line.strip()]
    if not lines:
        raise EditorError(f"{program} did not say {what}; is it Inkscape?")
    return lines


def _text(answer: bytes) -> str:
    """The editor speaks UTF-8; a console of Windows may have turned that into its own code page."""
    try:
        return answer.decode("utf-8")
    except UnicodeDecodeError:
        return answer.decode(locale.getpreferredencoding(False), errors="replace")
