"""Templates traced once: masters kept as symbols, and the blocks composed from them."""
