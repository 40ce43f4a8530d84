"""The stitch-out page: one HTML file that plays a block's sewing, stitch by stitch.

The scripts in assets/ draw every stitch as a round strand of thread, in the order in which the
machine sews, with the fabrics laid where the machine stops for them. Without a script the page
still lists what is done at each stop.
"""

from __future__ import annotations

from lxml import etree

from applique.pages.document import element, page_bytes
from applique.pages.stitchout_content import PlayedBlock, Sitting, StitchOut
from applique.pages.stitchout_data import packed
from applique.report import counted

SPEEDS = (
    (10, "as a machine sews"),
    (50, "5 times as fast"),
    (200, "20 times as fast"),
    (1000, "100 times as fast"),
    (5000, "500 times as fast"),
)
"""Stitches a second, with the words for each; the first is 600 a minute, with which the proof
reckons (`proof.time.Pace`)."""

USUAL_SPEED = 200

_SCRIPTS = ("data", "thread", "fabric", "picture", "screen", "gestures", "player")
_RIBBON = (1000, 10)
_DASH = "11 5"

_KEYS = (
    ("Space", "play or pause"),
    ("Left, Right", "a stitch back or on"),
    ("Page Up, Page Down", "the stop before or after"),
    ("Home, End", "the start or the end"),
    ("+, -, 0", "larger, smaller, everything in sight"),
    ("Shift with an arrow", "move the picture"),
)


def stitch_out_page(content: StitchOut) -> bytes:
    """The page in UTF-8, whole: it asks nothing of a network and plays nothing until it is told.

    Raises ValueError if there is no stitch to play.
    """
    if not content.stitch_count:
        raise ValueError("a page with no stitches would have nothing to play")
    blocks = [block for sitting in content.sittings for block in sitting.blocks]
    stops = sum(len([b for b in s.blocks if b.runs]) - 1 for s in content.sittings)
    parts = [
        _stitches(content.stitch_count),
        counted(stops, "stop", "stops"),
        *([f"{len(content.sittings)} hoopings"] if len(content.sittings) > 1 else []),
    ]
    title = f"Stitch-out: {content.title}" if content.title else "Stitch-out"
    heading = element("h1", title)
    summary = element("p", ", ".join(parts) + ".", class_="quiet")
    noscript = element("noscript", element("p", "Playing needs scripts; the stops are below."))
    bench = element("div", _player(content, blocks), _stops(content), class_="bench")
    return page_bytes(
        title,
        [heading, summary, noscript, bench],
        styles=["stitchout"],
        scripts=[*(f"stitchout_{name}" for name in _SCRIPTS), "stitchout"],
        data=("sewing", packed(content)),
    )


def _player(content: StitchOut, blocks: list[PlayedBlock]) -> etree._Element:
    first = _said(content.sittings[0], 0)
    return element(
        "section",
        _stage(content),
        element("p", first, id="said", role="status", aria_live="polite"),
        _line(content, blocks),
        element(
            "div",
            element("button", "Start", type="button", id="first"),
            element("button", "Stop before", type="button", id="stop-before"),
            element("button", "Play", type="button", id="play"),
            element("button", "Stop after", type="button", id="stop-after"),
            element("button", "End", type="button", id="last"),
            class_="going",
            role="group",
            aria_label="Playing",
        ),
        _wishes(),
        _help(),
        id="player",
        aria_label="Player",
    )


def _stage(content: StitchOut) -> etree._Element:
    """The picture: fabrics and thread on one canvas, dashed lines on another, the needle."""
    left, top, right, bottom = content.area_mm
    needle = element("svg", viewBox="0 0 16 44", class_="needle", aria_hidden="true")
    shank = "M5 0h6v16l-1.6 2v16L8 44l-1.4-10V18L5 16z"
    needle.append(element("path", d=shank))
    needle.append(element("ellipse", cx="8", cy="35.5", rx="0.7", ry="2.6", class_="eye"))
    name = content.title or "the block"
    return element(
        "div",
        element("canvas", class_="cloth"),
        element("canvas", class_="chalk"),
        needle,
        id="stage",
        tabindex="0",
        role="img",
        aria_label=f"Picture of {name} as far as it is sewn. What is done is told below it.",
        aria_describedby="said",
        style=f"--across: {right - left:.2f}; --down: {bottom - top:.2f}",
    )


def _line(content: StitchOut, blocks: list[PlayedBlock]) -> etree._Element:
    count = content.stitch_count
    slider = element("input", type="range", id="place", min="0", max=str(count), step="1")
    slider.set("value", "0")
    # The browser would put back where the slider stood when the page was left.
    slider.set("autocomplete", "off")
    told = element("output", f"0 of {count:,}", id="count", for_="place")
    label = element("label", "Stitch", for_="place")
    return element("div", label, told, _ribbon(blocks, count), slider, class_="line")


def _ribbon(blocks: list[PlayedBlock], count: int) -> etree._Element:
    """A running stitch in the threads' colours, as long for each as it is sewn with."""
    width, height = _RIBBON
    ribbon = element("svg", viewBox=f"0 0 {width} {height}", class_="ribbon", aria_hidden="true")
    ribbon.set("preserveAspectRatio", "none")
    begun = 0
    for block in blocks:
        ends = begun + block.stitch_count
        x1, x2 = (f"{width * at / count:.2f}" for at in (begun, ends))
        middle = str(height // 2)
        line = element("line", x1=x1, x2=x2, y1=middle, y2=middle, stroke_dasharray=_DASH)
        line.set("stroke", block.colour or "none")
        ribbon.append(line)
        begun = ends
    return ribbon


def _wishes() -> etree._Element:
    """How it is played and how much of it is seen."""
    speed = element("select", id="speed", autocomplete="off")
    for number, words in SPEEDS:
        option = element("option", words, value=str(number))
        if number == USUAL_SPEED:
            option.set("selected", "selected")
        speed.append(option)
    waits = element("input", type="checkbox", id="waits", autocomplete="off")
    views = element(
        "div",
        element("button", "Larger", type="button", id="larger"),
        element("button", "Smaller", type="button", id="smaller"),
        element("button", "Whole", type="button", id="fit"),
        class_="views",
        role="group",
        aria_label="View",
    )
    return element(
        "div",
        element("label", "Speed ", speed),
        element("label", waits, " Wait at each stop"),
        views,
        class_="wishes",
    )


def _help() -> etree._Element:
    rows = [element("div", element("dt", key), element("dd", does)) for key, does in _KEYS]
    return element(
        "details",
        element("summary", "Keys, wheel and fingers"),
        element("p", "While the picture or a button of the player has the focus:"),
        element("dl", *rows),
        element("p", "The wheel, two fingers or a double click enlarge; dragging moves."),
        class_="quiet",
    )


def _stops(content: StitchOut) -> etree._Element:
    box = element("section", element("h2", "Stops"), id="stops", aria_label="Stops", tabindex="0")
    for sitting in content.sittings:
        if len(content.sittings) > 1:
            box.append(element("h3", sitting.title))
        rows = [_stop(sitting, number) for number in range(len(sitting.blocks))]
        box.append(element("ol", *rows))
    return box


def _stop(sitting: Sitting, number: int) -> etree._Element:
    block = sitting.blocks[number]
    row = element("li", data_stop=str(number), data_said=_said(sitting, number))
    row.append(element("button", _name_of(sitting, number), type="button"))
    if block.words:
        row.append(element("p", block.words))
    if block.runs:
        swatch = element("span", class_="swatch", style=f"background: {block.colour}")
        row.append(element("p", *([swatch] if block.colour else []), _sewn(block), class_="quiet"))
    return row


def _name_of(sitting: Sitting, number: int) -> str:
    if not sitting.blocks[number].runs:
        return "At the end"
    return f"Stop {number}" if number else "Start"


def _said(sitting: Sitting, number: int) -> str:
    """What is told when a stop is reached."""
    block = sitting.blocks[number]
    name = _name_of(sitting, number)
    title = f"{sitting.title}, {name.lower()}" if sitting.title else name
    told = [f"{title}:", block.words, _sewn(block) if block.runs else ""]
    return " ".join(part for part in told if part)


def _sewn(block: PlayedBlock) -> str:
    """The thread, what is sewn with it, and what the machine shows in its stead."""
    thread = block.thread_name or f"thread {block.colour}"
    sews = f" sews {', '.join(block.labels)}" if block.labels else ""
    told = f"{thread[:1].upper()}{thread[1:]}{sews}: {_stitches(block.stitch_count)}."
    if block.screen_colour:
        told += f" The screen shows {block.screen_colour}; keep this thread."
    return told


def _stitches(count: int) -> str:
    """`1 stitch`, `12,345 stitches`."""
    return f"{count:,} {'stitch' if count == 1 else 'stitches'}"
