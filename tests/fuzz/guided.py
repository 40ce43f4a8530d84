"""A share of the long run guided by coverage: `python -m tests.fuzz.guided READER N SEED FOLDER`.

Atheris decides by the lines that an input reached what to go on from; our mutator changes it. It
must be loaded before anything of ours, and ends the process itself.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

INSTRUMENTED = ["applique", "pyembroidery"]


def main() -> None:
    """Run a share and write its tally."""
    import atheris

    reader, executions, seed, folder = sys.argv[1:5]
    with atheris.instrument_imports(include=INSTRUMENTED):
        from tests.fuzz.hunting import Recorder, limit_memory
        from tests.fuzz.mutate import mutated
        from tests.fuzz.running import run_one, seeds

    begin = [path.read_bytes() for path in seeds(reader)]
    corpus = Path(folder) / "inputs"
    corpus.mkdir()
    for number, data in enumerate(begin):
        run_one(reader, data)
        (corpus / f"seed-{number}").write_bytes(data)
    recorder = Recorder(reader, Path(folder))
    limit_memory()

    def one(data: bytes) -> None:
        recorder.run(data)
        if recorder.tally.executions >= int(executions):
            recorder.write()

    def change(data: bytes, largest: int, number: int) -> bytes:
        chance = random.Random(number)
        return mutated(reader, data, chance.choice(begin), chance)[:largest]

    options = [f"-runs={executions}", f"-seed={seed}", "-max_len=60000", "-len_control=0"]
    quiet = ["-verbosity=0", "-rss_limit_mb=0", "-timeout=120", "-detect_leaks=0"]
    atheris.Setup([sys.argv[0], *options, *quiet, str(corpus)], one, custom_mutator=change)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
