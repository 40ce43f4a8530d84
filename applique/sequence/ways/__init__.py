"""Short ways for the needle between what is sewn in one thread."""
