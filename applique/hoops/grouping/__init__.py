"""The search for the fewest hoopings, and the proof that fewer can't do."""
