"""Stacking: what shows of each piece, where its edge is stitched, what of its fabric is cut."""
