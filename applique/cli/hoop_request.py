"""What the words of a command line ask of a hooping plan."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from applique.errors import UsageError
from applique.hoops.fields import Field
from applique.hoops.frame import FrameSetting
from applique.hoops.request import HoopRequest
from applique.hoops.sewing import Hold


def request_of(arguments: argparse.Namespace, fields: tuple[Field, ...]) -> HoopRequest:
    """The request that the flags of `hoop_arguments` make, for some fields. Raises UsageError for
    one that can't be met."""
    hold: Hold = "laid on" if arguments.baste else "boxed" if arguments.box else "hooped"
    try:
        return HoopRequest(
            fields=fields,
            turn=arguments.turn,
            margin_mm=arguments.margin,
            order=arguments.order,
            too_large=arguments.too_large,
            by_machine=frozenset(arguments.by_machine),
            fixed=_fixed_once(arguments.fix),
            keep_out=tuple(arguments.keep_out),
            reading_mm=arguments.misreading,
            hold=hold,
            frame=FrameSetting(arguments.frame_border, arguments.grip),
        )
    except ValueError as problem:
        raise UsageError(str(problem)) from None


def _fixed_once(pairs: Sequence[tuple[str, int]]) -> dict[str, int]:
    """The hooping of each piece that has one; raises ValueError for a piece that has two."""
    numbers: dict[str, int] = {}
    for label, number in pairs:
        if numbers.setdefault(label, number) != number:
            raise ValueError(
                f"--fix: {label} is fixed to hoopings {numbers[label]} and {number}; "
                "leave one of them out"
            )
    return numbers
