"""Sewing order: stages, colour blocks, pauses, and how the needle travels between paths."""
