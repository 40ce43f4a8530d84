"""Started by the editor: hands its call on to the Python in which Underlap is installed.

Only the standard library, and any Python 3: this runs in the editor's own Python. The path of ours
stands in `underlap_python.txt` beside this file, or in the variable UNDERLAP_PYTHON.
"""

import os
import pathlib
import subprocess
import sys

PATH_FILE = pathlib.Path(__file__).resolve().parent / "underlap_python.txt"


def python_path():
    """The Python in which Underlap is installed, or an empty string."""
    path = os.environ.get("UNDERLAP_PYTHON", "")
    if not path and PATH_FILE.is_file():
        path = PATH_FILE.read_text(encoding="utf-8").strip()
    return path if path and pathlib.Path(path).is_file() else ""


def clean_environment():
    """The environment without what the editor set for its own Python and libraries."""
    dropped = ("PYTHON", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH")
    return {name: value for name, value in os.environ.items() if not name.startswith(dropped)}


def main():
    """Hand the call on; returns its exit code."""
    path = python_path()
    if not path:
        sys.stderr.write(
            "Underlap's Python is not where it was; run 'applique editor install' again.\n"
        )
        return 1
    options = {}
    if os.name == "nt":
        options["creationflags"] = subprocess.CREATE_NO_WINDOW
    command = [path, "-I", "-X", "utf8", "-W", "ignore", "-m", "applique.editor.run"]
    call = subprocess.run(command + sys.argv[1:], env=clean_environment(), check=False, **options)
    return call.returncode


if __name__ == "__main__":
    sys.exit(main())
