"""Every input that ever crashed a reader, the seeds, and a short run that is the same every time.

The long run is `python -m tests.fuzz`; see docs/fuzzing.md.
"""

import random
import time
import warnings
from pathlib import Path

import pytest

from applique.errors import InputError
from tests.fuzz import running
from tests.fuzz.hunting import hunt, tally_in
from tests.fuzz.make_corpus import corpus
from tests.fuzz.running import CORPUS, CRASHES, Pool, run_one, seeds
from tests.fuzz.targets import TARGETS

FILES = sorted([*CORPUS.glob("*-*"), *CRASHES.glob("*-*")])
EXECUTIONS = 1_000
LARGEST_CORPUS_BYTES = 300_000


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_no_file_of_the_corpus_crashes_its_reader(path: Path) -> None:
    outcome = run_one(path.name.partition("-")[0], path.read_bytes())
    assert not outcome.crash, outcome.trace


@pytest.mark.parametrize("reader", TARGETS)
def test_no_changed_input_crashes_a_reader(reader: str) -> None:
    begin = [path.read_bytes() for path in seeds(reader)]
    pool = Pool(reader, begin, random.Random(f"ci-{reader}"))
    kinds = set()
    for _ in range(EXECUTIONS):
        data = pool.next_input()
        outcome = run_one(reader, data)
        assert not outcome.crash, f"{data!r}\n{outcome.trace}"
        pool.learn(data, outcome)
        kinds.add(outcome.kind)
    assert kinds >= {"accepted", "InputError"}  # Else the inputs reach one side only.


def test_the_seeds_are_those_that_the_script_makes() -> None:
    """`python -m tests.fuzz.make_corpus` rewrites them."""
    made = corpus()
    assert {path.name for path in CORPUS.glob("*-*")} == set(made)
    texts = [name for name in made if not name.startswith("layered")]  # Stitches differ by system.
    assert all((CORPUS / name).read_bytes() == made[name] for name in texts)


def test_the_corpus_stays_small() -> None:
    assert sum(path.stat().st_size for path in FILES) < LARGEST_CORPUS_BYTES


def working_on(data: bytes) -> None:
    end = time.process_time() + 2
    while time.process_time() < end:
        pass


def raising(problem: BaseException):
    def target(data: bytes) -> None:
        raise problem

    return target


@pytest.mark.parametrize("problem", [ValueError("x"), RecursionError(), MemoryError()])
def test_any_other_exception_is_a_crash(
    monkeypatch: pytest.MonkeyPatch, problem: Exception
) -> None:
    monkeypatch.setitem(TARGETS, "text", raising(problem))
    outcome = run_one("text", b"")
    assert outcome.kind == type(problem).__name__
    assert outcome.crash.startswith(outcome.kind)


def test_a_refusal_is_none_if_it_says_something(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(TARGETS, "text", raising(InputError("line 7 holds 'x'; remove it")))
    outcome = run_one("text", b"")
    assert (outcome.kind, outcome.crash) == ("InputError", "")
    assert outcome.told == "line  holds ; remove it"
    monkeypatch.setitem(TARGETS, "text", raising(InputError(" ")))
    assert run_one("text", b"").kind == "SilentFaultError"
    monkeypatch.setitem(TARGETS, "text", raising(InputError("it is nan mm wide")))
    assert run_one("text", b"width = 3").kind == "SilentFaultError"
    assert run_one("text", b"width = nan").kind == "InputError"


def test_a_warning_and_too_long_a_time_are_crashes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(TARGETS, "text", lambda data: warnings.warn("overflow", stacklevel=1))
    assert run_one("text", b"").crash.startswith("UserWarning")
    monkeypatch.setattr(running, "MOST_SECONDS", 0.05)
    monkeypatch.setitem(TARGETS, "text", working_on)
    assert run_one("text", b"").kind == "TooLongError"


def test_the_same_seed_gives_the_same_inputs() -> None:
    begin = [path.read_bytes() for path in seeds("drawing")]
    one, other = (Pool("drawing", begin, random.Random(7)) for _ in range(2))
    assert [one.next_input() for _ in range(50)] == [other.next_input() for _ in range(50)]


def test_a_share_of_the_long_run_tells_what_it_found(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("tests.fuzz.hunting.limit_memory", lambda: None)
    monkeypatch.setitem(TARGETS, "text", raising(ValueError("x")))
    hunt("text", 20, "1", tmp_path)
    tally = tally_in(tmp_path)
    assert tally is not None
    assert (tally.executions, tally.kinds) == (20, {"ValueError": 20})
    (kept,) = tally.crashes.values()
    assert Path(kept).is_file()
