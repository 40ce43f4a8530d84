"""What is sewn in a colour block, and what is done at its end, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from applique.hoops.lining.steps import TAKE_OUT, UNTHREADED
from applique.model import Step, StepKind, Thread
from applique.paper.content import Card, CardPiece, Pause
from applique.paper.run_content import RunThread, Task
from applique.report import counted
from applique.runsheets.colour_names import colour_name
from applique.units import compact

_EDGES = {"satin": "satin edge", "blanket": "blanket-stitch edge", "straight": "straight edge"}
_KINDS: Mapping[StepKind, str] = {
    "placement": "placement line",
    "tack": "tack-down",
    "trim-line": "trim line",
    "underlay": "underlay",
    "detail": "detail",
}
_OFF = "hoop off the machine"
_TRIM_SAFELY = f"holes too: {_OFF}, not unhooped, blades away from fingers"
PRESS = f"If it is fused, press: {_OFF}, pad beneath, mini iron, never on the hoop."


def joined(words: Sequence[str]) -> str:
    """`4`, `4 and 5`, `4, 5 and 6`; words that hold a comma in quotation marks."""
    marked = [f"“{word}”" if "," in word else word for word in words]
    if len(marked) < 2:
        return "".join(marked)
    return f"{', '.join(marked[:-1])} and {marked[-1]}"


def thread_of(thread: Thread, card: Card) -> RunThread:
    """A thread by its name, else by a plain word for its colour and the fabric it matches."""
    if thread.name:
        return RunThread(thread.colour, thread.name)
    matching = (
        name for name, pieces in card.by_fabric.items() if pieces[0].colour == thread.colour
    )
    return RunThread(thread.colour, colour_name(thread.colour), next(matching, ""))


# What is sewn


def sewn_words(steps: Sequence[Step], card: Card) -> str:
    """`tack-down and satin edge of 3; placement line of 4`, in sewing order."""
    edges = {piece.label: piece.edge for piece in card.pieces}
    kinds: dict[str, dict[str, None]] = {}
    for step in steps:
        if step.piece and step.kind != "travel":
            kinds.setdefault(step.piece, {})[_kind(step, edges)] = None
    parts = []
    for told, group in groupby(kinds.items(), key=lambda entry: tuple(entry[1])):
        labels = [label for label, _ in group]
        parts.append(_of(told, labels))
    return "; ".join([*_marks(steps, first=True), *parts, *_marks(steps, first=False)])


def _kind(step: Step, edges: Mapping[str, str]) -> str:
    if step.kind == "edge":
        style = edges.get(step.piece, "")
        return _EDGES.get(style, f"{style} edge".strip())
    return _KINDS.get(step.kind, step.kind)


def _of(kinds: Sequence[str], labels: Sequence[str]) -> str:
    if kinds == ("detail",):
        return f"{'detail' if len(labels) == 1 else 'details'} {joined(labels)}"
    words = list(kinds)
    if len(labels) > 1:
        words = [kind if kind == "underlay" else f"{kind}s" for kind in kinds]
    return f"{joined(words)} of {joined(labels)}"


def _marks(steps: Sequence[Step], first: bool) -> list[str]:
    """What is sewn of no piece before, or after, the first step of one."""
    places = [index for index, step in enumerate(steps) if step.piece]
    begin = places[0] if places else len(steps)
    held = [step for step in (steps[:begin] if first else steps[begin:]) if not step.piece]
    crosses = sum(step.kind == "align" for step in held)
    found = [counted(crosses, "cross", "crosses") + " for lining up"] if crosses else []
    if any(step.kind == "baste" for step in held):
        found.append("basting box")
    if any(step.kind not in ("align", "baste", "travel") for step in held):
        found.append("stitches that belong to no piece")
    return found


# What is done


def pause_tasks(pause: Pause, pieces: Mapping[str, CardPiece], following: Thread) -> list[Task]:
    """What is done at a pause, in order. `following` is the thread after it, of which the pause's
    own words need not speak."""
    tasks = []
    own = pause.words.removesuffix(TAKE_OUT).strip()
    own = own.removesuffix(f"Then thread {following.name or following.colour}.").strip()
    if own:
        tasks.append(Task("own", own))
    if pause.trimmed:
        lines = "its line" if len(pause.trimmed) == 1 else "their lines"
        words = f"Trim {joined(pause.trimmed)} close to {lines}, {_TRIM_SAFELY}."
        tasks.append(Task("trim", words))
    laid = [pieces[label] for label in pause.laid if label in pieces]
    for (method, fabric, extra), group in groupby(laid, key=_way_of_laying):
        labels = [piece.label for piece in group]
        tasks.append(Task("lay", _lay(method, fabric, extra, labels)))
    if any(piece.method == "cut-first" for piece in laid):
        tasks.append(Task("press", PRESS))
    return tasks


def _way_of_laying(piece: CardPiece) -> tuple[str, str, float]:
    return piece.method, piece.fabric, piece.extra_mm


def _lay(method: str, fabric: str, extra_mm: float, labels: Sequence[str]) -> str:
    name = fabric or "the fabric"
    lines = "line" if len(labels) == 1 else "lines"
    over = f"over the {lines} of {joined(labels)}"
    if method == "cut-in-hoop":
        patch = "a patch" if len(labels) == 1 else "patches"
        return f"Lay {patch} of {name}, {compact(extra_mm, 1)} mm larger all round, {over}."
    return f"Lay {name}, edge turned, {over}." if method == "turned" else f"Lay {name} {over}."


def first_thread_task(thread: RunThread) -> Task:
    """What a machine with one needle begins with."""
    if _is_none(thread):
        return Task("thread", "Begin without thread in the needle.")
    return Task("thread", f"Begin with this thread: {thread.words}.")


def thread_task(thread: RunThread) -> Task:
    """The needle gets another thread, or none."""
    if _is_none(thread):
        return Task("thread", TAKE_OUT)
    return Task("thread", f"Change the thread to {thread.words}.")


def keep_task(thread: RunThread, screen: str) -> Task:
    """The thread stays although the machine asks for another; `screen` is the #rrggbb that it
    shows, "" where files hold no colours and nobody knows what it shows."""
    kept = "leave the needle empty" if _is_none(thread) else f"keep thread {thread.name}"
    if not screen:
        return Task("keep", f"{kept[0].upper()}{kept[1:]}, whatever the screen says.")
    shown = colour_name(screen)
    if shown == thread.name:
        return Task("keep", f"Keep thread {shown}, as the screen says.")
    return Task("keep", f"The screen says {shown}: {kept}.")


def _is_none(thread: RunThread) -> bool:
    return thread.name == UNTHREADED.name
