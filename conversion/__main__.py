"""Lets the command run as ``python -m conversion``."""

from __future__ import annotations

import sys

from conversion.cli import main

if __name__ == "__main__":
    sys.exit(main())
