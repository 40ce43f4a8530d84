"""Pieces laid on sheets: the solver and how it is driven, the plain packer, the fewest sheets."""
