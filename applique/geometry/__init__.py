"""Plane geometry in millimetres: curves, rings, offsets, walks along a line, corners."""
