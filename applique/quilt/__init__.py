"""The whole quilt: its project file, and what all blocks come to together."""
