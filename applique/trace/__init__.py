"""From a traced page to outlines: the page, the ink on it, the edge of each line, its number."""
