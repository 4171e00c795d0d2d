"""Takes the benchmarks: ``python -m tests.benchmarks [WORD ...]``; exit 1 if a target is missed."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

from tests.benchmarks.framework import REGISTERED, report


def main(words: list[str]) -> int:
    """Load every ``bench_*.py``, take those whose name holds one of the words, and judge them."""
    for path in sorted(Path(__file__).parent.glob("bench_*.py")):
        importlib.import_module(f"tests.benchmarks.{path.stem}")
    chosen = [each for each in REGISTERED if not words or any(word in each.name for word in words)]
    if not chosen:
        print(f"no benchmark is named like {' or '.join(words)}", file=sys.stderr)
        return 1
    return 0 if report(chosen) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
