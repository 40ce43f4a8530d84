"""Sewing threads: the table of those one owns, and which looks most like a colour."""
