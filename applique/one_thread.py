"""The numerical libraries kept to one thread.

Our matrices are small: sharing one out among threads gains nothing, and where something else keeps
the cores busy the threads wait for each other, up to twenty times as long as the work takes.
"""

from __future__ import annotations

import os

_VARIABLES = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")


def keep_to_one_thread() -> None:
    """Have numpy, once it is loaded, and whatever this process starts reckon in one thread, unless
    the user's environment says otherwise."""
    for name in _VARIABLES:
        os.environ.setdefault(name, "1")
