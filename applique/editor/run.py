"""What the launcher starts in the project's own Python: one effect, then the end."""

from __future__ import annotations

import sys

from applique.editor.effects import run_extension

if __name__ == "__main__":
    sys.exit(run_extension(sys.argv[1:], sys.stdout.buffer))
