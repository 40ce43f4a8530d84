"""Which piece is sewn in which hooping, and how one hooping is lined up with the others."""
