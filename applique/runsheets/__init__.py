"""What a run sheet says, from a block's stitches: stops, tasks, minutes, needles."""
