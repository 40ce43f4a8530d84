"""A build of a quilt on a terminal: a bar for the whole, and a line for each thing being made."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from applique.building.running import Outcome, Watcher
from applique.building.task import Task


class _Quiet:
    """Where nobody looks on: nothing is shown."""

    def expect(self, count: int) -> None:
        """Nothing to show."""

    def begin(self, task: Task) -> None:
        """Nothing to show."""

    def end(self, outcome: Outcome) -> None:
        """Nothing to show."""


@contextmanager
def watched_build() -> Iterator[Watcher]:
    """What shows a build as it goes on, on a terminal alone."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield _Quiet()
        return
    from rich.console import Console  # Slow to load, and of no use in a pipe.
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    # It is drawn anew when something happens, and not by a thread: the build's processes part from
    # this one, which nothing else may run in.
    with Progress(
        *columns,
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
        auto_refresh=False,
    ) as bars:
        whole = bars.add_task("the quilt", total=0)
        shown: dict[str, object] = {}

        class Shown:
            """The bars as a watcher."""

            known = 0

            def expect(self, count: int) -> None:
                """Lengthen the whole."""
                self.known += count
                bars.update(whole, total=self.known)

            def begin(self, task: Task) -> None:
                """Show a line of its own."""
                shown[task.name] = bars.add_task(f"  {task.doing}", total=None)
                bars.refresh()

            def end(self, outcome: Outcome) -> None:
                """Take the line away, and get on."""
                line = shown.pop(outcome.task.name, None)
                if line is not None:
                    bars.remove_task(line)  # type: ignore[arg-type]
                bars.advance(whole)
                bars.refresh()

        yield Shown()
