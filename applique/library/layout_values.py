"""Values of a table of TOML, each checked as it is read; what is wrong becomes a finding.

Layouts are read with this, and the quilt's project file with what is made of it there.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Any, ClassVar, Self

from applique.model import Fabric
from applique.report import Finding, error
from applique.settings import SPECS
from applique.spec import Scope
from applique.svg.style import colour_hex
from applique.svg.vocabulary import TURNS
from applique.units import LARGEST, size_mm

_SHOWN = {"finished": "254x254", "piece": "17", "fabric": "sea blue", "colour": "#2f6f8f"}
"""What is written for a word, as an example."""


@dataclass(frozen=True, eq=False)
class Reader:
    """One table of a layout. `object` is what findings call it; they are added to `findings`."""

    code: ClassVar[str] = "layout"
    unknown: ClassVar[str] = "is nothing that a layout has"
    """What is said of a word that nobody knows."""

    data: dict[str, Any]
    object: str
    findings: list[Finding]

    def called(self, word: str) -> str:
        """How a finding about one of the table's words calls it; `word` is "" for the table."""
        return self.object

    def wrong(self, message: str, word: str = "") -> None:
        """Note what is wrong, and with which word of the table."""
        self.findings.append(error(self.code, self.called(word), message))

    def only(self, words: Iterable[str]) -> None:
        """Nothing but these words may stand in the table."""
        known = sorted(words)
        for word in self.data:
            if word not in known:
                self.wrong(f"'{word}' {self.unknown}{did_you_mean(word, known)}", word)

    def text(self, word: str, needed: bool = False) -> str:
        """A text, empty if it is not given."""
        value = self.data.get(word, "")
        if isinstance(value, int) and not isinstance(value, bool):
            value = str(value)
        if not isinstance(value, str):
            self.wrong(f"{word} must be a text in quotes, not {value!r}", word)
            return ""
        if needed and not value.strip():
            self.wrong(f'has no {word}; write {word} = "{_SHOWN.get(word, "...")}"', word)
        if not value.isprintable():
            self.wrong(f"{word} holds a character that can't be written: {value!r}", word)
            return ""
        return value.strip()

    def word(self, word: str, default: str | None = None) -> str:
        """A label or a template's name; a number does as well."""
        text = self.text(word, needed=default is None)
        return text if text else (default or "")

    def number(self, word: str, default: float | None, low: float, high: float) -> float:
        """A number within bounds; needed if there is no default."""
        value = self.data.get(word, default)
        if value is None:
            self.wrong(f"has no {word}; write {word} = 0 for none", word)
            return low
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.wrong(f"{word} must be a number, not {value!r}", word)
            return low
        if not low <= value <= high:
            shown = "so large a number" if abs(value) > LARGEST else f"{value:g}"
            self.wrong(f"{word} must lie between {low:g} and {high:g}, not {shown}", word)
            return low
        return float(value)

    def whole(self, word: str, low: int, high: int) -> int:
        """A whole number within bounds, the lower one if it is not given."""
        number = self.number(word, low, low, high)
        if number != int(number):
            self.wrong(f"{word} must be a whole number, not {number:g}", word)
        return int(number)

    def yes(self, word: str) -> bool:
        """true or false."""
        value = self.data.get(word, False)
        if not isinstance(value, bool):
            self.wrong(f"{word} must be true or false, not {value!r}", word)
            return False
        return value

    def size(self, word: str) -> tuple[float, float]:
        """A size in mm, as in 254x254."""
        text = self.text(word, needed=True)
        if not text:
            return (1.0, 1.0)
        try:
            return size_mm(text)
        except ValueError as problem:
            self.wrong(f"{word}: {problem}", word)
            return (1.0, 1.0)

    def names(self, word: str) -> tuple[str, ...]:
        """One name or a list of them."""
        value = self.data.get(word, [])
        names = [value] if isinstance(value, str) else value
        if not isinstance(names, list) or not all(isinstance(n, str) and n.strip() for n in names):
            self.wrong(f"{word} must be the name of a file, or a list of names", word)
            return ()
        return tuple(names)

    def colour(self, word: str) -> str:
        """A colour as #rrggbb, empty if it is not given."""
        text = self.text(word)
        if not text:
            return ""
        colour = colour_hex(text)
        if colour is None:
            self.wrong(f"{word}: '{text}' is no colour; write it as #rrggbb", word)
        return colour or ""

    def table(self, word: str) -> Self:
        """A table within this one, empty if there is none."""
        value = self.data.get(word, {})
        if not isinstance(value, dict):
            self.wrong(f"{word} must be a table; write [{word}]", word)
            value = {}
        return self.inner(word, value)

    def inner(self, word: str, data: dict[str, Any]) -> Self:
        """A reader of what stands under a word."""
        return replace(self, data=data, object=word)

    def settings(self, scope: Scope) -> dict[str, float | str]:
        """Stitch settings of a piece, or of the whole block."""
        found: dict[str, float | str] = {}
        for name, value in self.data.items():
            spec = SPECS.get(name)
            if spec is None:
                if scope == "document":
                    self.wrong(f"'{name}' is no setting; docs/settings.md has them all", name)
                continue
            if scope == "piece" and spec.scope == "document":
                self.wrong(f"{name} holds for the whole block; put it under [defaults]", name)
                continue
            try:
                found[name] = spec.parse(value if isinstance(value, str) else str(value))
            except ValueError as problem:
                self.wrong(str(problem), name)
        return found

    def fabrics(self, word: str) -> tuple[Fabric, ...]:
        """A table of fabrics: each a colour, or a table of colour, turn and grain."""
        inner = self.table(word)
        return tuple(inner._fabric(name) for name in inner.data)

    def _fabric(self, name: str) -> Fabric:
        given = self.described(name)
        given.only(("colour", "turn", "grain"))
        turn = given.text("turn") or "any"
        if turn not in TURNS:
            given.wrong(f"turn must be one of {', '.join(TURNS)}, not '{turn}'", "turn")
        grain = given.number("grain", 0.0, -360, 360) if "grain" in given.data else None
        return Fabric(name, given.colour("colour") or "#808080", turn, grain)

    def described(self, name: str) -> Self:
        """A reader of what is said of a fabric, be it a colour alone."""
        value = self.data[name]
        if isinstance(value, str):
            value = {"colour": value}
        if not isinstance(value, dict):
            self.wrong(f"fabric '{name}' must be a colour, or a table with one", name)
            value = {}
        return self.inner(name, value)


def did_you_mean(word: str, known: Sequence[str], otherwise: str = "remove it") -> str:
    """How to go on after naming an unknown word: with known ones like it, if there are any."""
    near = [name for name in known if name.startswith(word[:3])][:3]
    near = near or get_close_matches(word, known, 1)
    return f"; did you mean {' or '.join(near)}?" if near else f"; {otherwise}"
