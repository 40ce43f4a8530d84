"""The fewest colour blocks that the order of a block allows, and the proof."""
