"""A log's figures as they were read, kept in a file of the operating system's so that they need no memory."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from types import TracebackType

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

BLOCK_ROWS = 1 << 16


class LogStore:
    """Rows of figures that are written once, block by block, and read as often as wanted.

    Example:
        >>> with LogStore(2) as store:
        ...     store.append(np.array([[0.0, 1.0], [0.1, 2.0]]))
        ...     [block.tolist() for block in store.blocks(1)]
        [[[0.0, 1.0]], [[0.1, 2.0]]]
    """

    def __init__(self, columns: int) -> None:
        self._file = tempfile.TemporaryFile()  # noqa: SIM115 - closed by __exit__
        self._columns = columns
        self.rows = 0

    def __enter__(self) -> LogStore:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()

    def append(self, block: Array) -> None:
        """Add rows; (rows, columns)."""
        self._file.seek(0, 2)
        self._file.write(np.ascontiguousarray(block, dtype=np.float64).tobytes())
        self.rows += len(block)

    def blocks(self, rows: int = BLOCK_ROWS) -> Iterator[Array]:
        """All rows from the first, at most so many at a time."""
        for first in range(0, self.rows, rows):
            yield self.part(first, first + rows)

    def part(self, first: int, end: int) -> Array:
        """Some of the rows, as far as there are any."""
        first, end = max(first, 0), min(end, self.rows)
        self._file.seek(first * self._columns * 8)
        raw = self._file.read(max(0, end - first) * self._columns * 8)
        return np.frombuffer(raw, dtype=np.float64).reshape(-1, self._columns)
