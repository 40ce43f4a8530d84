"""The stops of a run sheet in a page: a list for each sitting, to be ticked off at the machine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from lxml import etree

from applique.pages.document import Content, element
from applique.paper.run_content import RunStop, RunThread, Sitting, Task
from applique.paper.run_words import STOP_BY_HAND, minutes, sitting_facts, thousands


def sitting_part(sitting: Sitting, links: Mapping[str, str]) -> etree._Element:
    """A sitting with its heading, how it begins, and its stops."""
    name = f"sitting-{sitting.number}"
    facts = " · ".join(sitting_facts(sitting))
    begin = [_begin(task, f"{name}-begin-{k}") for k, task in enumerate(sitting.begin, start=1)]
    part = element(
        "section",
        element("h2", f"{sitting.title}: ", _file(sitting, links), id=name),
        element("p", facts),
        aria_labelledby=name,
    )
    if sitting.lining:
        part.append(element("ul", *(element("li", words) for words in sitting.lining)))
    stops = [_stop(stop, f"{name}-stop-{stop.number}") for stop in sitting.stops]
    part.append(element("ul", *begin, class_="stops"))
    part.append(element("ol", *stops, class_="stops"))
    return part


def swatch(colour: str) -> etree._Element:
    """A little square of a colour."""
    return element("span", class_="swatch", style=f"background:{colour}", aria_hidden="true")


def thread_part(thread: RunThread) -> list[Content]:
    """A thread as a page shows it."""
    return [swatch(thread.colour), thread.words]


def _file(sitting: Sitting, links: Mapping[str, str]) -> Content:
    if sitting.file_name not in links:
        return sitting.file_name
    return element("a", sitting.file_name, href=links[sitting.file_name])


def _begin(task: Task, name: str) -> etree._Element:
    return element("li", _tick(name, [element("strong", task.words, class_="sewn")]), class_="stop")


def _tick(name: str, words: Iterable[Content]) -> etree._Element:
    """A box to tick with its label."""
    box = element("input", type="checkbox", id=name)
    return element("label", box, element("span", *words), class_="tick")


def _stop(stop: RunStop, name: str) -> etree._Element:
    number = element("strong", str(stop.number), class_="at")
    needle = f"needle {stop.needle}: " if stop.needle else ""
    figures = [f"{thousands(stop.stitches)} stitches", f"machine {minutes(stop.machine_minutes)}"]
    if stop.hand_minutes:
        figures.append(f"hands {minutes(stop.hand_minutes)}")
    made = element(
        "li",
        _tick(name, [number, " ", element("span", stop.sewn, class_="sewn")]),
        element("p", needle, *thread_part(stop.thread), class_="thread"),
        element("p", f"{' · '.join(figures)} min", class_="quiet"),
        class_="stop",
    )
    tasks = [element("li", task.words, class_=task.kind) for task in stop.tasks]
    if stop.set_by_hand:
        tasks.insert(0, element("li", STOP_BY_HAND, class_="own"))
    if tasks:
        made.append(element("ul", *tasks, class_="tasks"))
    return made
