"""Any layered coloured artwork to a block: what is taken, by which name, at which size."""
