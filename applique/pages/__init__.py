"""Pages for the browser: one HTML file each, which needs nothing else and no network."""
