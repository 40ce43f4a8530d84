"""Stitches: one style a file, and `piece.py`, which puts a piece's steps together."""
