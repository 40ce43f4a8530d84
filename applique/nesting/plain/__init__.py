"""The plain packer: it needs no solver, lays shapes on scraps of any form and into holes and
notches, and is quick to a first result.

A sheet is a lattice of clearances, how far each point is from what is in the way; a shape is probed
on it at points of its edge and with discs inside it. The places that touch most are polished in
steps finer than the lattice, and the exact shapes have the last word.
"""

from applique.nesting.plain.sheets import count_plainly, nest_plainly
from applique.nesting.plain.trying import lay_on, lay_upward

__all__ = ["count_plainly", "lay_on", "lay_upward", "nest_plainly"]
