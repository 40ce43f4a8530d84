"""What is wrong with a command's words, told in one sentence instead of pages of usage.

The standard library's own sentences are turned into ours; what our readers of values say is kept,
after the flag it is said of. Where a sentence has no remedy, it is the command's help.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Iterable, Sequence
from typing import NoReturn

from applique.cli.say import say_error

_WORDS = ("COMMAND", "ACTION", "action")
"""What the words are called that choose a parser below another."""


_FEW = 5
"""So many choices can be told in a sentence; of more the help tells."""


class Parser(argparse.ArgumentParser):
    """A command's parser; what it reads knows it as `parser`."""

    def __init__(self, *words: object, **named: object) -> None:
        super().__init__(*words, **named)  # type: ignore[arg-type]
        self.set_defaults(parser=self)

    def error(self, message: str) -> NoReturn:
        """Say what is wrong, and end with the exit code 2."""
        self._refuse(in_our_words(message, self.called))

    def refuse_words(self, unknown: Sequence[str]) -> NoReturn:
        """Say which words mean nothing here, and end with the exit code 2."""
        flags = [word.partition("=")[0] for word in unknown if word.startswith("-")]
        if not flags:
            self._refuse(_not_asked_for(unknown))
        near = _nearest(flags[0], self._option_string_actions)
        remedy = f"; did you mean {near}?" if near else ""
        self._refuse(f"{', '.join(flags)}: there is no such flag{remedy}")

    def called(self, name: str) -> str:
        """A flag as it is written with its value, by any of its names; any other word as it is."""
        action = self._option_string_actions.get(name.partition("/")[0])
        if action is None:
            return name
        value = action.metavar if isinstance(action.metavar, str) else ""
        return f"{action.option_strings[0]} {value}".strip()

    def _refuse(self, sentence: str) -> NoReturn:
        remedy = "" if ";" in sentence else f"; see '{self.prog} --help'"
        say_error(sentence + remedy)
        self.exit(2)


def in_our_words(message: str, called: Callable[[str], str] = str) -> str:
    """A sentence of the standard library's about a command's words as one of ours."""
    for form, told in _FORMS:
        match = form.fullmatch(message)
        if match is not None:
            return told(match, called)
    return message


def _missing(match: re.Match[str], called: Callable[[str], str]) -> str:
    names = [called(name) for name in match["names"].split(", ")]
    if names[0] in _WORDS:
        return f"no {names[0].lower()} is given"
    return f"{_joined(names, 'and')} {'is' if len(names) == 1 else 'are'} missing"


def _one_missing(match: re.Match[str], called: Callable[[str], str]) -> str:
    names = [called(name) for name in match["names"].split(" ")]
    return f"{_joined(names, 'or')} is missing"


def _no_choice(match: re.Match[str], called: Callable[[str], str]) -> str:
    choices = [choice.strip("' ") for choice in match["choices"].split(",")]
    if match["name"] in _WORDS:
        near = _nearest(match["value"], choices)
        remedy = f"; did you mean '{near}'?" if near else ""
        if not near and len(choices) <= _FEW:
            remedy = f"; give {_joined(choices, 'or')}"
        return f"there is no {match['name'].lower()} '{match['value']}'{remedy}"
    return f"{_bare(match)}: has no choice '{match['value']}'; give {_joined(choices, 'or')}"


def _no_number(match: re.Match[str], called: Callable[[str], str]) -> str:
    kind = "whole number" if match["kind"] == "int" else "number"
    return f"{_bare(match)}: '{match['value']}' is no {kind}; give one"


def _no_value(match: re.Match[str], called: Callable[[str], str]) -> str:
    full = called(match["name"])
    return f"{_bare(match)}: what belongs behind it is missing; write it as {full}"


def _not_both(match: re.Match[str], called: Callable[[str], str]) -> str:
    other = match["other"].partition("/")[0]
    return f"{_bare(match)}: can't be given together with {other}; leave one of them out"


def _too_much(match: re.Match[str], called: Callable[[str], str]) -> str:
    return f"{_bare(match)}: takes no value; leave '{match['value']}' out"


def _not_asked_for(words: Sequence[str]) -> str:
    return f"{', '.join(words)}: {'is' if len(words) == 1 else 'are'} more than is asked for"


def _unknown(match: re.Match[str], called: Callable[[str], str]) -> str:
    return _not_asked_for([match["words"]])


def _of_a_reader(match: re.Match[str], called: Callable[[str], str]) -> str:
    """What our own reader said, without the setting's name where the flag tells it already."""
    name = _bare(match)
    return f"{name}: {match['said'].removeprefix(name.lstrip('-') + ' ')}"


def _bare(match: re.Match[str]) -> str:
    """A flag by its first name."""
    return match["name"].partition("/")[0]


def _nearest(word: str, known: Iterable[str]) -> str:
    """The known word that was perhaps meant, or nothing."""
    from difflib import get_close_matches  # Every command imports this, and few need it.

    return next(iter(get_close_matches(word, list(known), 1)), "")


def _joined(names: Sequence[str], word: str) -> str:
    return f" {word} ".join(filter(None, [", ".join(names[:-1]), names[-1]]))


_NAME = r"argument (?P<name>\S+): "
_FORMS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str], Callable[[str], str]], str]], ...] = (
    (re.compile(r"the following arguments are required: (?P<names>.+)"), _missing),
    (re.compile(r"one of the arguments (?P<names>.+) is required"), _one_missing),
    (re.compile(r"unrecognized arguments: (?P<words>.+)", re.S), _unknown),
    (
        re.compile(
            _NAME + r"invalid choice: '(?P<value>.*)' \(choose from (?P<choices>.*)\)", re.S
        ),
        _no_choice,
    ),
    (re.compile(_NAME + r"invalid (?P<kind>int|float) value: '(?P<value>.*)'", re.S), _no_number),
    (re.compile(_NAME + r"expected .*arguments?"), _no_value),
    (re.compile(_NAME + r"not allowed with argument (?P<other>\S+)"), _not_both),
    (re.compile(_NAME + r"ignored explicit argument '(?P<value>.*)'", re.S), _too_much),
    (re.compile(_NAME + r"(?P<said>.*)", re.S), _of_a_reader),
)
"""What the standard library says, and how we say it; the first form that fits is taken."""
