"""What of an artwork was not taken, or was changed: gathered by kind, told with names."""

from __future__ import annotations

from applique.report import Finding, note, warning

MOST_NAMES = 40
"""So many names are listed in one finding; the rest are counted."""

_WARNINGS = {
    "text": "text was left out; turn it into paths first (Path > Object to Path)",
    "image": "pictures were left out; trace them into closed paths first",
    "broken clone": "clones that show nothing were left out, because what they copy is gone",
    "foreign": "content of other kinds than SVG was left out; draw it as paths",
    "clipped": "clips and masks are not followed, the shapes were taken whole; cut them to size "
    "(Path > Intersection)",
    "off-page": "shapes wholly beside the page were left out; move them onto it, or fit the page "
    "to the drawing, if they are wanted",
    "no-area": "shapes that enclose nothing that could be sewn, nor have a stroke, or that cross "
    "themselves too often, were left out",
}
_NOTES = {
    "hidden": "hidden shapes were left out; show them and import again if they are wanted",
    "gradient": "gradients and patterns became one plain colour each: a gradient its mean, a "
    "pattern grey",
    "opacity": "see-through paint was taken as opaque, in its own colour",
    "filter": "filters (blur, shadow) were left out",
    "dashes": "dashes are not followed, the strokes were taken whole",
    "markers": "markers (arrowheads) were left out",
    "open-path": "open paths that are filled were closed straight across, as their fill shows it",
    "stroke": "strokes of filled shapes were left out; --strokes outline makes them shapes of "
    "their own",
    "too-wide": "lines wider than a satin line can be will be sewn narrower; --strokes outline "
    "makes them shapes",
    "layers": "the stitches and cut lines of the drawing were left out; make them anew with Make "
    "Layers",
    "tags": "the drawing is tagged as a block already; its numbers, fabrics and settings were not "
    "taken over, shapes are numbered and named anew",
}


class Told:
    """Collects names by kind; `findings` puts each kind into one sentence."""

    def __init__(self) -> None:
        self._names: dict[str, dict[str, None]] = {}
        self._counts: dict[str, int] = {}
        self._single: list[Finding] = []

    def add(self, code: str, name: str) -> None:
        """One more shape of a kind."""
        self._names.setdefault(code, {})[name] = None
        self._counts[code] = self._counts.get(code, 0) + 1

    def say(self, finding: Finding) -> None:
        """A finding of its own."""
        self._single.append(finding)

    def findings(self) -> tuple[Finding, ...]:
        """Everything that was told, in the order in which it came up."""
        return (*(self._sentence(code) for code in self._names), *self._single)

    def _sentence(self, code: str) -> Finding:
        names = [name for name in self._names[code] if name]
        listed = ", ".join(names[:MOST_NAMES])
        if len(names) > MOST_NAMES:
            listed += f" and {len(names) - MOST_NAMES} more"
        say = warning if code in _WARNINGS else note
        text = _WARNINGS.get(code) or _NOTES[code]
        count = self._counts[code]
        of_them = f"{count}: " if count > 1 else ""
        return say(code.replace(" ", "-"), "", f"{text} ({of_them}{listed})" if listed else text)
