"""Crosses by which a hooping is lined up with the others, and what error is to be expected."""
