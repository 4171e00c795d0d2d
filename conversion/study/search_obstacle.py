"""Where nothing keeps to every want: which want is in the way, and how near the candidates come to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from conversion.study.sampling import Array
from conversion.study.search import seen_in_full
from conversion.study.search_case import SearchCase
from conversion.study.search_grid import Numbers, drawn
from conversion.study.search_wants import Looked, missed

SAMPLES = 20_000


@dataclass(frozen=True)
class Miss:
    """One want among candidates that were looked at in full.

    Attributes:
        want: Its name.
        missed: How many miss it.
        alone: How many miss it and nothing else: so many would be good without it.
        nearest: The figure that comes nearest to the want, among those that miss nothing else if there are any,
            in the unit of the want; nan where it is no figure.
        looked_at: Of how many.
    """

    want: str
    missed: int
    alone: int
    nearest: float
    looked_at: int


def obstacles(case: SearchCase, seed: int = 1, samples: int = SAMPLES) -> tuple[Miss, ...]:
    """Every want that candidates miss, the greatest obstacle first.

    Args:
        case: The search.
        seed: Of the draw.
        samples: How many candidates are looked at, all positions of each.

    Returns:
        First the want that most miss alone; where none is missed alone, the one that most miss.
    """
    size = case.grid.size
    numbers: Numbers = np.arange(size) if size <= samples else drawn(size, 0, samples, seed)
    looked = seen_in_full(case, numbers)
    misses = missed(case.wants, looked)
    count = np.sum(list(misses.values()), axis=0)
    found = []
    for want, rows in misses.items():
        if rows.any():
            alone = rows & (count == 1)
            pool = alone if alone.any() else rows
            found.append(
                Miss(want, int(rows.sum()), int(alone.sum()), _nearest(case, want, looked, pool), len(numbers))
            )
    return tuple(sorted(found, key=lambda miss: (-miss.alone, -miss.missed, miss.want)))


def _nearest(case: SearchCase, want: str, looked: Looked, pool: NDArray[np.bool_]) -> float:
    wants = case.wants
    most_rod = (case.thread.least_mm, case.thread.most_mm) if case.thread else (0.0, np.inf)
    figures: dict[str, tuple[Array, tuple[float, float]]] = {
        "lever_at_rest": (looked.lever_at_rest_rad, wants.lever_at_rest_rad),
        "below_full": (looked.below_full_rad, wants.below_full_rad),
        "margin": (looked.margin_rad, (wants.margin_rad, np.inf)),
        "pad_travel": (looked.pad_travel_mm, wants.pad_travel_mm),
        "rod": (looked.rod_mm, most_rod),
        "feel_within": (looked.off_feel, (-np.inf, wants.feel_within)),
        "transmission": (looked.transmission_rad, (wants.transmission_rad, np.inf)),
    }
    if want == "force":
        low, high = wants.force_n
        too_light = np.nan_to_num(low - looked.force_least_n, nan=np.inf)
        too_heavy = np.nan_to_num(looked.force_most_n - high, nan=np.inf)
        figures[want] = (np.where(too_heavy >= too_light, looked.force_most_n, looked.force_least_n), wants.force_n)
    if want not in figures:
        return float("nan")
    values, (low, high) = figures[want]
    values = values[pool]
    values = values[np.isfinite(values)]
    if not values.size:
        return float("nan")
    off = np.maximum(np.maximum(low - values, values - high), 0.0)
    return float(values[np.argmin(off)])
