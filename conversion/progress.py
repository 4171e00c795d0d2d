"""A line on the terminal that says what is being done, once the work takes longer than a second."""

from __future__ import annotations

import sys
import threading
import time
from types import TracebackType

PATIENCE_S = 1.0
REFRESH_S = 0.2


class Progress:
    """Shows the current step on standard error if that is a terminal; silent otherwise, and for quick work.

    Example:
        >>> with Progress() as progress:
        ...     progress.step("reading")
    """

    def __init__(self) -> None:
        self._what = ""
        self._done = threading.Event()
        self._shown = False
        self._thread = threading.Thread(target=self._show, daemon=True) if sys.stderr.isatty() else None

    def __enter__(self) -> Progress:
        if self._thread:
            self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._done.set()
        if self._thread:
            self._thread.join()
        if self._shown:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)

    def step(self, what: str) -> None:
        """Say what is done next."""
        self._what = what

    def _show(self) -> None:
        began = time.monotonic()
        if self._done.wait(PATIENCE_S):
            return
        while not self._done.wait(REFRESH_S):
            seconds = int(time.monotonic() - began)
            print(f"\r\x1b[K{self._what} … {seconds} s", end="", file=sys.stderr, flush=True)
            self._shown = True
