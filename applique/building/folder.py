"""The folder a quilt is built into: our own files in it, and nobody else's.

What stands in the folder and was not put there by a build, or was changed since, is never written
over and never removed. Records of what was put there lie in a folder of their own within.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path, PurePosixPath
from stat import S_ISREG

from applique.building.digest import digest_of_bytes
from applique.building.record import Record, read_record, record_bytes
from applique.building.task import Made
from applique.errors import OutputError
from applique.files import put_all_in_place
from applique.folders import clear
from applique.report import Finding, error, warning

KEPT = ".underlap"
"""What builds keep for the next time, within the folder."""

_TASKS = f"{KEPT}/tasks"


class BuildFolder:
    """A folder with the files of a quilt. Raises OutputError if it can't be one."""

    def __init__(self, path: Path) -> None:
        check_folder(path)
        self.path = path
        self._real = path.resolve()
        self._digests: dict[str, str | None] = {}
        self._records = dict(self._read_records())
        self._owners = {
            name: task for task, record in self._records.items() for name in record.names()
        }

    @property
    def tasks(self) -> list[str]:
        """The tasks of which there are records."""
        return sorted(self._records)

    def record(self, task: str) -> Record | None:
        """What is known of a task; None if it was never done."""
        return self._records.get(task)

    def is_done(self, record: Record, key: str) -> bool:
        """Whether a task was done with just these inputs, and all it made is there as it was."""
        if record.key != key:
            return False
        return all(self._digest(name) == digest for name, digest in record.files.items())

    def read(self, name: str) -> bytes:
        """A file of the folder; raises OutputError if it is gone."""
        try:
            return self._at(name).read_bytes()
        except OSError as problem:
            raise OutputError(f"{name}: can't be read ({problem.strerror}); build again") from None

    def earlier(self, task: str, names: Sequence[str]) -> dict[str, bytes]:
        """Files that a task made in an earlier run, those that are there as they were made."""
        record = self._records.get(task)
        if record is None:
            return {}
        return {
            name: self.read(name) for name in names if self._digest(name) in record.digests(name)
        }

    def made_by(self, record: Record) -> list[str]:
        """The files of a task that are there as it made them."""
        return [name for name, digest in record.files.items() if self._digest(name) == digest]

    def put(self, task: str, key: str, made: Made) -> list[Finding]:
        """Put what a task made into the folder, and remove what it made before and makes no longer.

        Returns an error for each file that stands in the way because it is not ours; raises
        OutputError if anything can't be written.
        """
        old = self._records.get(task) or Record("", {})
        new = {name: digest_of_bytes(data) for name, data in made.files.items()}
        kept_out = [name for name in new if not self._may_replace(name, new[name], task)]
        # Should the run be killed while files are put in place, both are known to be ours.
        before = {name: tuple(sorted(old.digests(name))) for name in old.names()}
        during = Record("", new, made.facts, made.findings, before)
        self._write_record(task, during)
        changed = {
            self._at(name): made.files[name]
            for name in new
            if name not in kept_out and self._digest(name) != new[name]
        }
        self._forget(new)
        put_all_in_place(changed)
        told = [self._in_the_way(name) for name in kept_out]
        told += self._remove(task, sorted(old.names() - set(new)), during)
        self._write_record(task, replace(during, key=key, before={}))
        return told

    def drop(self, task: str) -> list[Finding]:
        """Remove all that a task made, because it is no longer part of the quilt."""
        record = self._records[task]
        told = self._remove(task, sorted(record.names()), record)
        with contextlib.suppress(OSError):
            self._record_path(task).unlink()
        self._clear(self._record_path(task).parent)
        del self._records[task]
        return told

    def clear_parts(self) -> None:
        """Remove what a run that was killed has left of half-written files."""
        names = {PurePosixPath(name).parent.as_posix() for name in self._owners}
        folders = [self._at(name) for name in names if self._is_inside(f"{name}/x")]
        kept = self._at(KEPT)
        looked_at = [self.path, *folders, kept, *kept.rglob("*")]
        clear(path for path in looked_at if path.is_dir())

    def _may_replace(self, name: str, digest: str, task: str) -> bool:
        """Whether a file is not there yet, or is what was to be written, or is one of ours; never
        through a link that leads out of the folder."""
        if not self._is_inside(name):
            return False
        there = self._digest(name)
        if there is None or there == digest:
            return not self._at(name).is_dir()
        owner = self._records.get(self._owners.get(name, task))
        return owner is not None and there in owner.digests(name)

    def _in_the_way(self, name: str) -> Finding:
        text = (
            "was not made by a build, or was changed since, and is left as it is; move it away to "
            "have it built"
        )
        return error("in-the-way", name, text)

    def _remove(self, task: str, names: list[str], record: Record) -> list[Finding]:
        """Remove files that a task made, as long as they are what it made and no other task's."""
        told = []
        for name in names:
            there = self._digest(name) if self._is_inside(name) else None
            if there is None or self._owners.get(name, task) != task:
                continue
            path = self._at(name)
            if there not in record.digests(name):
                text = "is no longer part of the quilt but was changed, and is left as it is"
                told.append(warning("leftover", name, text))
                continue
            with contextlib.suppress(OSError):
                path.unlink()
            self._owners.pop(name, None)
            self._forget([name])
            self._clear(path.parent)
        return told

    def _clear(self, folder: Path) -> None:
        """Remove folders that are empty now, up to the build's own."""
        while folder != self.path and self.path in folder.parents:
            try:
                folder.rmdir()
            except OSError:
                return
            folder = folder.parent

    def _write_record(self, task: str, record: Record) -> None:
        put_all_in_place({self._record_path(task): record_bytes(record)})
        self._records[task] = record
        for name in record.files:
            self._owners[name] = task

    def _record_path(self, task: str) -> Path:
        return self._at(f"{_TASKS}/{task}.json")

    def _read_records(self) -> Mapping[str, Record]:
        folder = self.path / _TASKS
        found = {}
        for path in sorted(path for path in folder.rglob("*.json") if path.is_file()):
            record = read_record(path.read_bytes())
            if record is not None and all(map(_is_within, record.names())):
                found[path.relative_to(folder).with_suffix("").as_posix()] = record
        return found

    def _digest(self, name: str) -> str | None:
        """The digest of a file; None if there is none. Nobody but us writes here meanwhile."""
        if name not in self._digests:
            try:
                is_plain = S_ISREG(self._at(name).stat().st_mode)  # A pipe would never end.
                data = self._at(name).read_bytes() if is_plain else None
                self._digests[name] = "" if data is None else digest_of_bytes(data)
            except FileNotFoundError:
                self._digests[name] = None
            except OSError:
                self._digests[name] = ""  # Something is there, and it is not ours.
        return self._digests[name]

    def _forget(self, names: Iterable[str]) -> None:
        """Look at some files anew when they are asked for."""
        for name in names:
            self._digests.pop(name, None)

    def _is_inside(self, name: str) -> bool:
        """Whether a file lies in the folder itself: no link on the way there leads out."""
        try:
            return self._real in self._at(name).resolve().parents
        except (OSError, RuntimeError):  # A link that leads to itself.
            return False

    def _at(self, name: str) -> Path:
        return self.path.joinpath(*PurePosixPath(name).parts)


def _is_within(name: str) -> bool:
    """Whether a record names a file of the folder: it may have been edited."""
    path = PurePosixPath(name)
    is_odd = path.is_absolute() or ".." in path.parts
    return not (is_odd or "\\" in name or "\0" in name)


def check_folder(path: Path) -> None:
    """Raise OutputError if a quilt can't be built into a folder of that name, or if what is kept
    there would be put elsewhere by a link."""
    try:
        is_file = path.exists() and not path.is_dir()
        outside = [
            name for name in (KEPT, _TASKS) if path.resolve() not in (path / name).resolve().parents
        ]
    except (OSError, RuntimeError) as problem:  # A link that leads to itself is one or the other.
        raise OutputError(f"{path}: can't be opened ({problem}); give another folder") from None
    if is_file:
        raise OutputError(f"{path}: is a file; give the name of a folder")
    if outside:
        text = "is a link that leads out of the folder; remove it"
        raise OutputError(f"{path / outside[0]}: {text}")
