"""A table in plain text."""

from __future__ import annotations

from collections.abc import Sequence


def aligned(rows: Sequence[Sequence[str]], left_columns: int) -> list[str]:
    """Rows as lines, words in columns: the first `left_columns` stand on the left of theirs,
    figures on the right."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return [
        "  ".join(
            word.ljust(width) if column < left_columns else word.rjust(width)
            for column, (word, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]
