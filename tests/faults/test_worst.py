"""The worst case on a straight way of the volts, against a dense ladder of places on it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion.faults.believing import (
    Believer,
    percent_agreement,
    range_check,
    rest_check,
    volts_agreement,
)
from conversion.faults.worst import Rows, rise_at_most, silent_until, worst_above, worst_on_lines

LADDER = np.linspace(0.0, 1.0, 4001)


def _believer(draw_from: np.random.Generator, takes: str, tracks: tuple[str, ...], plate: bool, of: str) -> Believer:
    rest = draw_from.uniform(0.4, 1.6, len(tracks))
    full = draw_from.uniform(2.4, 4.5, len(tracks))
    scale = np.stack([rest, full], axis=1)
    if draw_from.random() < 0.3:
        scale[-1] = scale[-1][::-1]
    checks = [range_check(tracks, name, 0.3, 4.7, 0.1) for name in tracks]
    for first in range(len(tracks) - 1):
        pair = (tracks[first], tracks[first + 1])
        if of == "percent":
            checks.append(percent_agreement(tracks, scale, pair, draw_from.uniform(4.0, 40.0), 0.1))
        else:
            least, most = draw_from.uniform(0.02, 0.2), draw_from.uniform(0.5, 2.5)
            checks.extend(volts_agreement(tracks, pair, draw_from.uniform(0.8, 2.0), (least, most), 0.1))
    checks.append(rest_check(tracks, scale, tracks[0], 12.0, 0.5))
    return Believer(tracks, scale, takes, tuple(checks), plate)  # type: ignore[arg-type]


def _rows(draw_from: np.random.Generator, believer: Believer, count: int = 24) -> Rows:
    sound = np.linspace(0.0, 100.0, count)
    rest, full = believer.scale_v.T
    start = rest + sound[:, None] / 100.0 * (full - rest)
    end = draw_from.uniform(-0.5, 6.0, (count, len(believer.tracks)))
    still = draw_from.random((count, len(believer.tracks))) < 0.3
    end = np.where(still, start, end)
    at = np.arange(count)
    return Rows(start, end, sound, at == 0, at == count - 1)


@given(
    seed=st.integers(0, 10_000),
    takes=st.sampled_from(["smaller", "larger", "mean", "a"]),
    tracks=st.sampled_from([("a",), ("a", "b"), ("a", "b", "c")]),
    plate=st.booleans(),
    of=st.sampled_from(["percent", "volts"]),
)
@settings(max_examples=120, deadline=None)
def test_the_solved_worst_is_that_of_a_dense_ladder(
    seed: int, takes: str, tracks: tuple[str, ...], plate: bool, of: str
) -> None:
    draw = np.random.default_rng(seed)
    believer = _believer(draw, takes, tracks, plate, of)
    rows = _rows(draw, believer)
    worst = worst_on_lines(believer, rows)
    volts = rows.at(np.broadcast_to(LADDER, (len(rows.sound), LADDER.size)))
    rise = believer.rise(volts, rows.sound[:, None], rows.at_full[:, None])
    rise = np.where(believer.silent(volts, rows.at_rest[:, None]), rise, -np.inf)
    ladder = rise.max(axis=1)
    found = np.isfinite(ladder)
    # No rung is worse; and the worst is met to within a rung: volts move up to 7 V, a per cent is at least 8 mV wide.
    assert np.all(worst.rise[found] >= ladder[found] - 1e-6)
    assert np.all(worst.rise[found] <= ladder[found] + 100.0 * 7.0 / 0.8 / (LADDER.size - 1) * 4.0)
    assert np.all(rise_at_most(believer, rows) >= worst.rise - 1e-9)
    some = worst_above(believer, rows, 5.0)
    above = worst.rise > 5.0
    assert np.allclose(some.rise[above], worst.rise[above])
    # What it names is really unnoticed and really reads so.
    named = rows.at(worst.share)
    silent = believer.silent(named, rows.at_rest)
    read = believer.rise(named, rows.sound, rows.at_full)
    real = np.isfinite(worst.rise)
    assert np.all(silent[real])
    assert np.allclose(read[real], worst.rise[real])


@given(seed=st.integers(0, 10_000), of=st.sampled_from(["percent", "volts"]))
@settings(max_examples=80, deadline=None)
def test_a_way_is_silent_as_far_as_a_dense_ladder_says(seed: int, of: str) -> None:
    draw = np.random.default_rng(seed)
    believer = _believer(draw, "smaller", ("a", "b"), False, of)
    rows = _rows(draw, believer)
    limit = silent_until(believer, rows)
    volts = rows.at(np.broadcast_to(LADDER, (len(rows.sound), LADDER.size)))
    silent = believer.silent(volts, rows.at_rest[:, None])
    first_noticed = np.where(silent.all(axis=1), LADDER.size, np.argmin(silent, axis=1))
    # A band that is crossed inside one rung is seen by the solution and not by the ladder, hence one-sided above.
    ladder = np.where(first_noticed == 0, 0.0, LADDER[np.minimum(first_noticed, LADDER.size - 1)])
    assert np.all(limit <= ladder + 1e-9)
    short = limit < ladder - 1.0 / (LADDER.size - 1) - 1e-9
    just_after = rows.at(np.minimum(limit + 1e-6, 1.0))
    assert not np.any(believer.silent(just_after, rows.at_rest) & short)


def test_a_plate_that_is_believed_below_nothing_does_not_stay() -> None:
    """It is asked for 0 % at the least, so it opens on until it is believed there, or stands on its full stop."""
    believer = Believer(("a",), np.array([[1.0, 4.0]]), "a", (), plate=True)
    volts = np.array([[0.7], [0.7], [1.0]])
    rise = believer.rise(volts, np.array([50.0, 100.0, 40.0]), np.array([False, True, False]))
    assert rise.tolist() == pytest.approx([-np.inf, 100.0, 40.0])


def test_the_quickest_check_comes_first() -> None:
    tracks, scale = ("a", "b"), np.array([[1.0, 4.0], [0.5, 2.0]])
    believer = Believer(
        tracks, scale, "smaller",
        (range_check(tracks, "a", 0.4, 4.6, 0.5), percent_agreement(tracks, scale, ("a", "b"), 10.0, 0.1)),
    )  # fmt: skip
    assert [check.kind for check in believer.quickest_first()] == ["agreement", "range"]


def test_a_band_that_is_left_at_one_place_only_ends_there() -> None:
    """An input that falls through its least volts at a quarter of the way is silent as far as that quarter."""
    tracks = ("a",)
    believer = Believer(tracks, np.array([[1.0, 4.0]]), "a", (range_check(tracks, "a", 0.5, 4.5, 0.1),))
    no = np.array([False])
    rows = Rows(np.array([[1.0]]), np.array([[-1.0]]), np.array([0.0]), no, no)
    assert silent_until(believer, rows).tolist() == pytest.approx([0.25])
