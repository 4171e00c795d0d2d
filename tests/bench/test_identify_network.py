"""Resistances between terminals of tracks that share terminals, against values that can be done in the head."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.bench.unknown.fit import fit
from conversion.bench.unknown.network import Tracks, Values, resistances
from tests.bench.simulated_modules import KINDS, module


def one(track: float, wiper: float, share: float) -> tuple[Tracks, Values]:
    wired = np.array([[[0, 1, 2]]])
    return Tracks(3, wired), Values(np.array([[track]]), np.array([[wiper]]), np.array([[[share]]]))


def test_a_track_is_a_star() -> None:
    ohm, _ = resistances(*one(1000.0, 50.0, 0.3))
    assert ohm[0, 0] == pytest.approx([1000.0, 350.0, 750.0])


def test_tracks_on_both_ends_are_in_parallel() -> None:
    tracks = Tracks(4, np.array([[[0, 1, 2], [0, 1, 3]]]))
    values = Values(np.array([[1000.0, 3000.0]]), np.full((1, 2), 1e-9), np.full((1, 2, 1), 0.5))
    ohm, _ = resistances(tracks, values)
    # Between the wipers, both half-way: a balanced bridge of (500 + 1500) twice in parallel.
    assert ohm[0, 0, 0] == pytest.approx(750.0)
    assert ohm[0, 0, -1] == pytest.approx(1000.0, rel=1e-5)


@pytest.mark.parametrize("wired", [[[0, 1, 2], [0, 1, 3]], [[0, 1, 2], [0, 4, 3]]], ids=["both ends", "one end"])
def test_derivatives_are_those_of_differences(wired: list[list[int]]) -> None:
    rng = np.random.default_rng(1)
    tracks = Tracks(max(map(max, wired)) + 1, np.array([wired]))
    values = Values(rng.uniform(500, 3000, (1, 2)), rng.uniform(10, 900, (1, 2)), rng.uniform(0.1, 0.9, (1, 2, 2)))
    _, slopes = resistances(tracks, values)
    flat = values.flat()
    for number in range(flat.shape[1]):
        step = np.zeros_like(flat)
        step[0, number] = 1e-4 * max(1.0, flat[0, number])
        above, below = (resistances(tracks, Values.unflat(flat + sign * step, 2))[0] for sign in (1.0, -1.0))
        assert slopes[..., number] == pytest.approx((above - below) / (2.0 * step[0, number]), abs=1e-5, rel=1e-5)


@pytest.mark.parametrize(
    "kind", [kind for kind in KINDS if "contact" not in kind and kind.startswith(("sin", "shared"))]
)
def test_the_room_and_the_pseudoinverse_agree(kind: str) -> None:
    made = module(kind, np.random.default_rng(2))
    wired = [[made.shares[wiper][0], *(ends - {made.shares[wiper][0]}), wiper] for ends, wiper in made.tracks]
    ohm = {wiper: next(each for each in made.elements if each[1] == ("touch", wiper)) for _, wiper in made.tracks}
    share = np.array([[made.shares[wiper][1:] for _, wiper in made.tracks]])
    track = np.array([[ohm[wiper][2] / made.shares[wiper][1] for _, wiper in made.tracks]])
    path = np.array([[next(e[2] for e in made.elements if e[1] == wiper) for _, wiper in made.tracks]])
    found, _ = resistances(Tracks(made.terminals, np.array([wired])), Values(track, path, share))
    i, j = np.triu_indices(made.terminals, 1)
    assert found[0] == pytest.approx(made.ohm()[:, i, j], rel=1e-6)


def test_exact_readings_are_met_exactly() -> None:
    tracks, values = one(1500.0, 700.0, 0.2)
    values = Values(values.track_ohm, values.wiper_ohm, np.array([[[0.2, 0.9]]]))
    ohm, _ = resistances(tracks, values)
    start = Values(np.array([[1000.0]]), np.array([[10.0]]), np.array([[[0.5, 0.5]]]))
    found = fit(tracks, start, ohm[0], 0.01 * ohm[0])
    assert found.cost[0] < 1e-9
    assert found.values.flat()[0] == pytest.approx([1500.0, 700.0, 0.2, 0.9], rel=1e-5)
    assert found.held[0] == 4


def test_what_the_readings_do_not_hold_has_no_spread() -> None:
    tracks, values = one(1500.0, 700.0, 0.2)
    ohm, _ = resistances(tracks, values)
    found = fit(tracks, values, np.where([[True, False, False]], ohm[0], np.nan), 0.01 * ohm[0])
    assert np.isfinite(found.spread[0, 0]) and np.isinf(found.spread[0, 2])
