"""What a pressed brake does to faults that nothing notices, on figures that can be checked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from conversion.faults.braking import Braked, Override, braked

PERCENT = np.array([0.0, 10.0, 50.0, 90.0])
LIMIT = Override(25.0, 1.0)


@pytest.mark.parametrize(
    ("rise", "outcome"),
    [
        ([26.0, 0.0, 0.0, 0.0], "cut"),
        ([25.0, 0.0, 0.0, 0.0], "not cut"),  # what is taken has to be above the limit, not at it
        ([12.0, 15.0, 0.0, 0.0], "not cut"),
        ([12.0, 15.1, 0.0, 0.0], "cut in part"),
        ([0.4, 0.0, 3.0, 3.0], "cut"),  # less than half a point with the foot off is none
        ([26.0, 16.0, 1.0, 1.0], "cut"),
        ([0.6, 30.0, 30.0, 10.0], "cut in part"),
    ],
)
def test_a_pedal_is_cut_where_more_than_the_limit_is_taken(rise: list[float], outcome: str) -> None:
    assert braked(LIMIT, PERCENT, np.array(rise), plate=False) == Braked(outcome)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("rise", "outcome", "left"),
    [
        ([0.0, 0.0, 20.0, 20.0], "cut", 0.0),  # 30 % and 70 % are asked there
        ([0.0, 0.0, 25.0, 65.0], "not cut", 0.0),  # 25 % is asked at both
        ([0.0, 5.0, 20.0, 20.0], "cut in part", 0.0),  # 5 % is asked of a plate at 10 %
        ([8.0, 0.0, 20.0, 20.0], "not cut", 8.0),  # with nothing asked it stays 8 % open
        ([0.0, 10.0, 20.0, 20.0], "not cut", 10.0),
    ],
)
def test_a_plate_is_cut_by_what_is_asked_and_only_if_it_closes_then(
    rise: list[float], outcome: str, left: float
) -> None:
    assert braked(LIMIT, PERCENT, np.array(rise), plate=True) == Braked(outcome, left)  # type: ignore[arg-type]


@pytest.mark.parametrize("plate", [False, True])
def test_without_override_or_figure_nothing_is_claimed_and_without_rise_there_is_nothing_to_cut(plate: bool) -> None:
    rise = np.full(4, 30.0)
    assert braked(None, PERCENT, rise, plate=plate) == Braked("none described")
    assert braked(Override(math.nan, 1.0), PERCENT, rise, plate=plate) == Braked("undecided")
    assert braked(LIMIT, PERCENT, np.full(4, 0.5), plate=plate) is None
