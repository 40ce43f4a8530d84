"""How heavy a thread is: what a spool that was begun still holds can be weighed.

Embroidery thread of 40 weight is two plies of 120 denier, 240 denier together (thread makers'
tables; docs/sources.md). Other weights are reckoned in proportion: twice the number, half as heavy
(from memory; makers differ by some 10 %).
"""

from __future__ import annotations

DENIER_A_TEX = 9.0
"""Tex is grams a kilometre, denier grams in nine (ISO 1144)."""

_WEIGHT, _DENIER = 40, 240.0


def tex_of(weight: str) -> float:
    """Grams a kilometre of a thread of a weight, as in "40". Raises ValueError if that is no
    number above 0."""
    number = int(weight)
    if number <= 0:
        raise ValueError(f"'{weight}' is no weight of a thread")
    return _DENIER / DENIER_A_TEX * _WEIGHT / number


def grams_of(length_m: float, weight: str) -> float:
    """What so many metres of a thread weigh."""
    return length_m * tex_of(weight) / 1000
