"""Every gate beside the tests, by one command: format, lint, types, import layers."""

import subprocess
import sys

GATES = (
    ("format", ["ruff", "format", "--check", "."]),
    ("lint", ["ruff", "check", "."]),
    ("types", ["mypy"]),
    ("import layers", ["lint-imports"]),
)


def main() -> int:
    """Run every gate, even after one has failed; returns 1 if any did."""
    failed = []
    for name, command in GATES:
        sys.stdout.write(f"== {name}\n")
        sys.stdout.flush()
        if subprocess.run(command, check=False).returncode != 0:
            failed.append(name)
    sys.stdout.write(f"failed: {', '.join(failed)}\n" if failed else "all gates passed\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
