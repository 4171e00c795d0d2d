"""The command as a user runs it: another process, its own words, its own exit code."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Answer:
    """What the command printed, and how it ended."""

    code: int
    out: str
    err: str


def treadle(*words: str | Path, cwd: Path | None = None, env: dict[str, str] | None = None) -> Answer:
    """Run the command with these words."""
    import os

    done = subprocess.run(
        [sys.executable, "-m", "conversion", *map(str, words)],
        capture_output=True,
        encoding="utf-8",
        cwd=cwd,
        env=os.environ | (env or {}),
        timeout=120,
    )
    assert "Traceback" not in done.stderr + done.stdout
    return Answer(done.returncode, done.stdout, done.stderr)
