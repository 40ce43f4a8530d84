"""What holds for hoopings unless something else is asked: numbers alone, so that help and dialogs
can tell them at once."""

from __future__ import annotations

from applique.units import MM_PER_INCH

MARGIN_MM = 1.0
"""Kept free inside a field on each side (common practice): a machine refuses a stitch beyond it."""

READING_MM = 0.5
"""How well a needle is brought over a cross by eye (from memory)."""

BORDER_MM = 25.0
"""How far a frame reaches beyond its field on each side (from memory; it differs from machine to
machine, so it is a setting)."""

GRIP_MM = MM_PER_INCH
"""How far the background must reach beyond the field to be held (common practice: an inch)."""
