"""What every test shares: programs that may be missing, and a generator of examples that repeats itself."""

from __future__ import annotations

import shutil

import hypothesis
import pytest

# The same examples on each run, no clock in any verdict, nothing written into the checkout.
hypothesis.settings.register_profile("house", deadline=None, derandomize=True, database=None)
hypothesis.settings.load_profile("house")


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Skip a test marked ``needs("program")`` where that program is not installed, and say which."""
    for mark in item.iter_markers("needs"):
        missing = [program for program in mark.args if shutil.which(program) is None]
        if missing:
            pytest.skip(f"needs {', '.join(missing)}, which is not installed here")
