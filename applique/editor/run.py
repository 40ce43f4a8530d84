"""What the launcher starts in the project's own Python: one effect, then the end.

The package does not require inkex, because a plain installation of it asks for libraries that must
be built and that nobody here uses. Where it is missing, the editor's own does.
"""

from __future__ import annotations

import os
import sys
from importlib.util import find_spec

from applique.editor.notify import notify
from applique.one_thread import keep_to_one_thread

INKEX_VARIABLE = "UNDERLAP_INKEX"
"""Names the folder in which the editor has its inkex; the launcher sets it."""

_NO_INKEX = (
    "Inkscape's own Python module inkex can't be used ({reason}); install Inkscape anew, whole, or "
    "run 'applique doctor' to see what is missing"
)


def main() -> int:
    """Run the effect that the command line names; returns the exit code."""
    keep_to_one_thread()
    offer_inkex(os.environ.get(INKEX_VARIABLE, ""))
    try:
        import inkex.base  # noqa: F401
    except Exception as problem:  # Whatever is wrong with a module that is not ours.
        notify([_NO_INKEX.format(reason=problem)])
        return 1
    from applique.editor.effects import run_extension

    return run_extension(sys.argv[1:], sys.stdout.buffer)


def offer_inkex(folder: str) -> None:
    """Let the editor's inkex be imported if there is no other. Its folder comes last on the path,
    so that nothing else in it takes the place of a module of ours."""
    if folder and find_spec("inkex") is None:
        sys.path.append(folder)


if __name__ == "__main__":
    sys.exit(main())
