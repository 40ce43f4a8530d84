"""Underlap: machine applique around the vector editor.

Closed paths with a fabric, a method and an edge become stitch layers in a tagged SVG, and from
that one document come verified machine files and cut lines. Start reading at `pipeline.py`.
"""

__version__ = "0.1.0"
