"""What the stitches will do, told from the finished stitches alone."""
