"""Drawings at true size on paper: PDF pages, tiled, and HTML; all of reportlab."""
