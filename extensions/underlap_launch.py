"""Started by the editor: hands its call on to the Python in which Underlap is installed.

Only the standard library, and any Python 3: this runs in the editor's own Python. The path of ours
stands in `underlap_python.txt` beside this file, or in the variable UNDERLAP_PYTHON. Where the
editor's own module inkex lies is handed on in the variable UNDERLAP_INKEX: it is taken only if our
Python has none.
"""

import importlib.util
import os
import pathlib
import subprocess
import sys

PATH_FILE = pathlib.Path(__file__).resolve().parent / "underlap_python.txt"

GONE = "Underlap's Python is not where it was; run 'applique editor install' again.\n"
CONFINED = (
    "This Inkscape is shut in by a snap or a flatpak and can't start Underlap's Python; install "
    "Inkscape from your distribution's packages, or as an AppImage.\n"
)

START = """
import importlib.util, sys
if importlib.util.find_spec("applique") is None:
    sys.exit("Underlap is no longer in the Python it was installed with; "
             "install it anew, then run 'applique editor install' again.")
from applique.editor.run import main
sys.exit(main())
"""
"""What our Python runs."""


def python_path():
    """The Python in which Underlap is installed, or an empty string."""
    path = os.environ.get("UNDERLAP_PYTHON", "")
    if not path and PATH_FILE.is_file():
        path = PATH_FILE.read_text(encoding="utf-8", errors="surrogateescape").strip()
    return path if path and pathlib.Path(path).is_file() else ""


def is_confined():
    """Whether the editor runs in a sandbox that hides what is installed outside it."""
    names = os.environ.get("SNAP_NAME"), os.environ.get("FLATPAK_ID")
    return names[0] == "inkscape" or names[1] == "org.inkscape.Inkscape"


def inkex_folder():
    """The folder with the editor's own inkex, or an empty string; nothing of it is loaded."""
    found = importlib.util.find_spec("inkex")
    places = list(found.submodule_search_locations or ()) if found else []
    return str(pathlib.Path(places[0]).parent) if places else ""


def clean_environment():
    """The environment without what the editor set for its own Python and libraries."""
    dropped = ("PYTHON", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(dropped)}
    return {**kept, "UNDERLAP_INKEX": inkex_folder()}


def main():
    """Hand the call on; returns its exit code."""
    path = python_path()
    if not path:
        sys.stderr.write(CONFINED if is_confined() else GONE)
        return 1
    options = {}
    if os.name == "nt":
        options["creationflags"] = subprocess.CREATE_NO_WINDOW
    command = [path, "-I", "-X", "utf8", "-W", "ignore", "-c", START]
    try:
        call = subprocess.run(
            command + sys.argv[1:], env=clean_environment(), check=False, **options
        )
    except OSError:  # It is there, but it is no program any more.
        sys.stderr.write(GONE)
        return 1
    return call.returncode


if __name__ == "__main__":
    sys.exit(main())
