"""SVG documents: any shape to an outline in mm, the tagged contract read and written."""
