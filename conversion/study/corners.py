"""The worst case: every figure at one end of its tolerance or the other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from conversion.study.sampling import Array, Toleranced

Evaluate = Callable[[dict[str, Array]], Mapping[str, NDArray]]
# Up to this many figures every corner is looked at: 4096 of them.
ALL_UP_TO = 12
RANDOM_CORNERS = 2048


@dataclass(frozen=True)
class Corners:
    """Least and greatest outputs over corners of the tolerances.

    Attributes:
        method: ``all``: every corner. ``signed``: for more than twelve figures, for each output and position the
            two corners that the effect of each figure alone points to, and random ones besides. The second is
            right where no figure's effect changes its sign with the others.
        corners: How many were looked at.
        least: Of each output, (positions,); nan where it is unknown in every corner.
        most: Likewise the greatest.
        happens: For each event, whether it happens in any of them.
    """

    method: Literal["all", "signed"]
    corners: int
    least: Mapping[str, Array]
    most: Mapping[str, Array]
    happens: Mapping[str, bool]


def worst_case(evaluate: Evaluate, figures: Sequence[Toleranced], seed: int, block: int = 2048) -> Corners:
    """Least and greatest value of every output with each figure at an end of its tolerance.

    Args:
        evaluate: As :func:`conversion.study.tolerance.run_study` takes it.
        figures: With their limits; the shape between them does not matter here.
        seed: Of the random corners.
        block: Corners that are computed together.

    Returns:
        The worst case. Figures without tolerance stay where they are.
    """
    varying = [figure for figure in figures if figure.varies]
    tally = _Tally(evaluate, figures, varying, block)
    if len(varying) <= ALL_UP_TO:
        tally.look_at(_all_corners(len(varying)))
        return tally.result("all")
    effects = tally.effects()
    flat = np.concatenate([effect.reshape(len(varying), -1) for effect in effects.values()], axis=1)
    uphill = np.unique(np.nan_to_num(flat).T > 0.0, axis=0)
    random = np.random.Generator(np.random.PCG64([seed, len(varying)])).random((RANDOM_CORNERS, len(varying))) < 0.5
    tally.look_at(np.unique(np.concatenate([uphill, ~uphill, random]), axis=0))
    return tally.result("signed")


def _all_corners(figures: int) -> NDArray[np.bool_]:
    number = np.arange(2**figures)[:, None]
    return (number >> np.arange(figures)) & 1 == 1


class _Tally:
    """What was found over the corners so far."""

    def __init__(
        self, evaluate: Evaluate, figures: Sequence[Toleranced], varying: Sequence[Toleranced], block: int
    ) -> None:
        self._evaluate, self._figures, self._varying, self._block = evaluate, figures, varying, block
        self._least: dict[str, Array] = {}
        self._most: dict[str, Array] = {}
        self._happens: dict[str, bool] = {}
        self._corners = 0

    def look_at(self, ends: NDArray[np.bool_]) -> None:
        """Take corners in; ``ends`` is (corners, varying figures), True for the upper limit."""
        low, high = (np.array([getattr(figure, end) for figure in self._varying]) for end in ("low", "high"))
        for values in self._blocks(np.where(ends, high, low)):
            for name, output in values.items():
                if output.dtype == np.bool_:
                    self._happens[name] = self._happens.get(name, False) or bool(output.any())
                    continue
                rows = output.reshape(len(output), -1)
                for kept, better in ((self._least, np.fmin), (self._most, np.fmax)):
                    found = better.reduce(rows, axis=0)
                    kept[name] = better(kept[name], found) if name in kept else found
        self._corners += len(ends)

    def effects(self) -> dict[str, Array]:
        """Change of each output as each figure alone goes from its lower to its upper limit, (figures, positions)."""
        nominal = np.array([figure.nominal for figure in self._varying])
        moved = np.repeat(nominal[None], 2 * len(nominal), axis=0)
        for i, figure in enumerate(self._varying):
            moved[2 * i, i], moved[2 * i + 1, i] = figure.low, figure.high
        blocks = list(self._blocks(moved))
        return {
            name: np.diff(
                np.concatenate([block[name].reshape(len(block[name]), -1) for block in blocks]).reshape(
                    len(nominal), 2, -1
                ),
                axis=1,
            )[:, 0]
            for name in blocks[0]
            if blocks[0][name].dtype != np.bool_
        }

    def result(self, method: Literal["all", "signed"]) -> Corners:
        return Corners(method, self._corners, self._least, self._most, self._happens)

    def _blocks(self, values: Array) -> Iterator[dict[str, NDArray]]:
        for start in range(0, len(values), self._block):
            rows = values[start : start + self._block]
            samples = {figure.name: np.full(len(rows), figure.nominal) for figure in self._figures}
            samples |= {figure.name: rows[:, i] for i, figure in enumerate(self._varying)}
            yield {name: np.asarray(each) for name, each in self._evaluate(samples).items()}
