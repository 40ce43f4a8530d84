"""Inspection: what the finished stitches are like, told from their points alone."""
