"""Pieces larger than every hoop, sewn in stretches."""
