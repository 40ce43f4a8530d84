"""Mats that several fabrics share, each in a rectangle of its own.

Every fabric gets some rectangles that hold its pieces, wide and flat or narrow and tall; one of
each is chosen so that all go on as few mats as possible.
"""

from applique.nesting.mats.check import faults_of_mats
from applique.nesting.mats.plan import Patch, SharedMat
from applique.nesting.mats.sharing import share_mats

__all__ = ["Patch", "SharedMat", "faults_of_mats", "share_mats"]
