"""The `applique` command."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Container, Iterable, Iterator, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any

from applique import __version__, faults
from applique.cli.commands import COMMANDS
from applique.cli.parser import Parser
from applique.cli.say import say_error, say_findings
from applique.errors import AppliqueError, InputError
from applique.one_thread import keep_to_one_thread


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; returns 0 if it was done, 1 if the document or a file did not allow it, 2 if
    the command's own words are wrong, 3 if there is a fault of ours, 130 after Ctrl-C."""
    keep_to_one_thread()
    words = sys.argv[1:] if argv is None else list(argv)
    try:
        return _run(words)
    except InputError as problem:
        say_findings(problem.findings)
        say_error(str(problem))
        return problem.exit_code
    except AppliqueError as problem:
        say_error(str(problem))
        return problem.exit_code
    except KeyboardInterrupt:
        # It may have been pressed after the results were put in place.
        say_error("stopped; every file is whole, as it was before or as it was to be")
        return 130
    except Exception as fault:
        if faults.are_raised():
            raise
        say_error(faults.sentence_of(fault, words))
        return faults.exit_code_of(fault)


def _run(words: Sequence[str]) -> int:
    asked = next((word for word in words if not word.startswith("-")), "")
    arguments, unknown = command_parser((asked,)).parse_known_args(words)
    if unknown:
        arguments.parser.refuse_words(unknown)
    try:
        return int(arguments.run(arguments))
    except InputError as problem:
        raise InputError(_with_its_file(str(problem), arguments), problem.findings) from None


def _with_its_file(sentence: str, arguments: argparse.Namespace) -> str:
    """A sentence about the one drawing that a command works on, with the name of its file, unless
    it is about another file that was named."""
    given = vars(arguments)
    drawings = [given["input"]] if "input" in given else given.get("inputs", ())
    names = {f"{word}:" for word in _words_in(given.values()) if isinstance(word, Path)}
    if len(drawings) != 1 or any(sentence.startswith(name) for name in names):
        return sentence
    return f"{drawings[0]}: {sentence}"


def _words_in(values: Iterable[Any]) -> Iterator[Any]:
    """Single words of a command, and those of lists and pairs."""
    for value in values:
        yield from _words_in(value) if isinstance(value, (list, tuple)) else (value,)


def command_parser(loaded: Container[str] = COMMANDS) -> argparse.ArgumentParser:
    """The command line. Only the files of the commands `loaded` are read, for their flags; the
    others have their help lines alone: all together take half a second and more."""
    parser = Parser(
        prog="applique",
        description="Closed paths become applique layers, machine files and cut lines.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"applique {__version__}")
    subparsers = parser.add_subparsers(metavar="COMMAND", required=True)
    for name, command in COMMANDS.items():
        if name in loaded:
            import_module(f"applique.cli.{command.file}").add_parser(subparsers)
        else:
            subparsers.add_parser(name, help=command.help)
    return parser


if __name__ == "__main__":
    sys.exit(main())
