"""The pages of a PDF, which a process of their own draws: one that gets stuck is ended."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from collections.abc import Iterator
from typing import IO, Any

import numpy as np

from applique.errors import InputError
from applique.trace.page import Picture
from applique.trace.sizes import check_together

PAGE_S = 8.0
"""A page takes no longer, or is never done; one of A3 with a scan at 600 dpi takes about one."""

_NO_WINDOW: int = getattr(subprocess, "CREATE_NO_WINDOW", 0)


def pdf_pages(data: bytes, name: str) -> tuple[Picture, ...]:
    """The pages of a PDF, each at the resolution of the scan in it. Raises InputError saying what
    is wrong."""
    process = subprocess.Popen(
        [sys.executable, "-I", "-X", "utf8", "-W", "ignore", "-m", "applique.trace.pdf_worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        creationflags=_NO_WINDOW,
    )
    assert process.stdin is not None
    assert process.stdout is not None
    job = json.dumps({"name": name}).encode() + b"\n" + data
    threading.Thread(target=_give, args=(process.stdin, job), daemon=True).start()
    pages: list[Picture] = []
    try:
        for page in _each_in_time(process, process.stdout, name):
            pages.append(page)
            check_together(pages, name)
    finally:
        process.kill()
        process.wait()
        process.stdout.close()
    if not pages:
        raise InputError(f"{name}: has no pages; scan the page again")
    return tuple(pages)


def _give(pipe: IO[bytes], job: bytes) -> None:
    """Hand the file over, while the other side may have begun to answer."""
    try:
        with pipe:
            pipe.write(job)
    except OSError:  # It has ended already; what it said is read elsewhere.
        return


def _each_in_time(
    process: subprocess.Popen[bytes], answers: IO[bytes], name: str
) -> Iterator[Picture]:
    """The pages as they come. A process that says nothing for too long is ended."""
    while True:
        ending = threading.Timer(PAGE_S, process.kill)
        ending.start()
        try:
            line = answers.readline()
            told: dict[str, Any] = json.loads(line) if line.endswith(b"\n") else {}
            grey = answers.read(told.get("height", 0) * told.get("width", 0))
        finally:
            ending.cancel()
        if "refused" in told:
            raise InputError(told["refused"])
        if not told:
            break
        shape = (told["height"], told["width"])
        if len(grey) < shape[0] * shape[1]:
            break
        yield Picture(told["name"], np.frombuffer(grey, np.uint8).reshape(shape), told["dpi"])
    if process.wait() != 0:
        text = f"{name}: one of its pages can't be drawn; print it as a picture, or scan it again"
        raise InputError(text)
