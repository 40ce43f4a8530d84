"""Layered documents as cut sheets, over all blocks and fabrics, and everything written of them.

cut:     trees -> svg.cutlayer -> lots by fabric -> nesting -> check -> sheets -> files
"""
