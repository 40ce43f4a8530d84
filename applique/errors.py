"""What can go wrong, as exceptions that say what, where and what to do next.

::

    AppliqueError
    |-- UsageError      the command's words are wrong: exit code 2
    |-- InputError      the document can't be used as it is: exit code 1, carries the findings
    |-- OutputError     a result can't be written, or does not read back as it was planned: exit 1
    `-- EditorError     the editor can't be found or asked: exit 1

Everything the user meets is one of these; any other exception is a fault of the program.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from applique.report import Finding


class AppliqueError(Exception):
    """The root of the tree; the message is one sentence for the user."""

    exit_code = 1


class UsageError(AppliqueError):
    """The words of a command or a setting given on it are wrong."""

    exit_code = 2


class InputError(AppliqueError):
    """The document can't be used; `findings` lists every reason at once."""

    def __init__(self, message: str, findings: Sequence[Finding] = ()) -> None:
        super().__init__(message)
        self.findings = tuple(findings)


class OutputError(AppliqueError):
    """A result can't be put in place, or differs from the plan when read back."""


class EditorError(AppliqueError):
    """The vector editor can't be found, or does not answer as expected."""
