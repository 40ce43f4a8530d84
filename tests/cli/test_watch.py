"""A long search on a terminal: how far it is, and how it ends."""

from __future__ import annotations

import io
import signal
import sys

import pytest

from applique.cli import watch
from applique.cli.cut_say import far
from applique.cli.watch import watched
from applique.nesting.sheets import Progress


class Terminal(io.StringIO):
    """Takes what is written, and says that it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """How far a search is, is shown each time, on a wide terminal."""
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setattr(watch, "_SHOWN_AFTER_S", 0.0)
    monkeypatch.setattr(watch, "_SHOWN_EVERY_S", 0.0)


@pytest.mark.usefixtures("at_once")
def test_what_was_found_so_far_is_shown_on_one_line_and_taken_away(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with watched(100.0, far) as told:
        assert told(Progress(3, 2, "sea blue: filling sheets"))
        assert told(Progress(0, 0, "sand: how much to buy"))
    first, second, *cleared = terminal.getvalue().split("\r")[1:]
    line = "sea blue: filling sheets, 3 sheets found, at least 2 needed, 0 s (Ctrl-C takes the best"
    assert first == f"{line} so far)"
    assert second == "sand: how much to buy, 0 s (Ctrl-C takes the best so far)".ljust(len(first))
    assert [text.strip() for text in cleared] == ["", ""]
    assert len(cleared[0]) == len(second.rstrip())


@pytest.mark.usefixtures("at_once")
def test_the_line_is_never_wider_than_the_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """A longer one would wrap, and could not be taken away. The last column stays free, since some
    terminals go to the next line when it is filled."""
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("COLUMNS", "40")
    with watched(100.0, far) as told:
        told(Progress(3, 2, "sea blue: filling sheets"))
        told(Progress(0, 0, "sand"))
    shown = terminal.getvalue().split("\r")[1:]
    assert shown[0] == "sea blue: filling sheets, 3 sheets found"[:39]
    assert all(len(text) <= 39 for text in shown)


@pytest.mark.usefixtures("at_once")
def test_once_interrupted_it_says_that_it_is_ending(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with watched(100.0, far) as told:
        assert told(Progress(0, 0, "sand: filling"))
        signal.raise_signal(signal.SIGINT)
        assert not told(Progress(0, 0, "sand: filling"))
    first, second, *_ = terminal.getvalue().split("\r")[1:]
    assert first == "sand: filling, 0 s (Ctrl-C takes the best so far)"
    assert second.rstrip() == "sand: filling, 0 s (ending)"


def test_it_ends_when_the_time_is_over() -> None:
    with watched(0.0, far) as told:
        assert not told(Progress(3, 2, "filling"))


@pytest.mark.usefixtures("at_once")
def test_nothing_is_shown_where_nobody_watches(capsys: pytest.CaptureFixture[str]) -> None:
    with watched(100.0, far) as told:
        told(Progress(3, 2, "sea blue: filling sheets"))
    assert capsys.readouterr() == ("", "")


def test_one_sheet_is_one() -> None:
    assert far(Progress(1, 1, "sand: filling")) == "sand: filling, 1 sheet found, at least 1 needed"


def test_a_second_interruption_ends_the_command() -> None:
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(KeyboardInterrupt), watched(100.0, far) as told:
        signal.raise_signal(signal.SIGINT)
        assert not told(Progress(3, 2, "filling"))
        signal.raise_signal(signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is before
