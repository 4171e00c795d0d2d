"""Ways of the inputs' volts: cut by converters, left in the air, held where a track stuck."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.circuit import Network, Resistor, Source, solve
from conversion.faults import Held, Joined, Moved, Resupplied, Weakened
from conversion.faults.believing import Believer, percent_agreement, range_check
from conversion.faults.circuit_ways import CircuitWays, circuit_ways
from conversion.faults.floating import floating_ways
from conversion.faults.other_ways import held_ways, moved_ways, resupplied_ways
from conversion.faults.ways import Ways, read_by_converters
from conversion.faults.worst import Rows, worst_on_lines

TRACKS = ("a", "b")
SCALE = np.array([[1.0, 4.0], [0.5, 2.0]])
CEILING = np.array([5.0, 5.0])


def believer(takes: str = "mean") -> Believer:
    checks = (
        range_check(TRACKS, "a", 0.4, 4.6, 0.1),
        range_check(TRACKS, "b", 0.2, 2.4, 0.1),
        percent_agreement(TRACKS, SCALE, TRACKS, 10.0, 0.1),
    )
    return Believer(TRACKS, SCALE, takes, checks)  # type: ignore[arg-type]


def divider(limit_a: float | None = None) -> Network:
    """A potentiometer of 1 kΩ on 5 V, its wiper through 1 kΩ, an input with 100 kΩ to ground; at three positions."""
    share = np.array([0.2, 0.5, 0.8])
    return Network(
        (
            Source("supply", "rail", "0", 5.0, 0.5, limit_a),
            Resistor("feed", "rail", "top", 0.01),
            Resistor("upper", "top", "tap", 1000.0 * (1.0 - share)),
            Resistor("lower", "tap", "0", 1000.0 * share),
            Resistor("wiper", "tap", "input", 1000.0),
            Resistor("pull", "input", "0", 100e3),
        )
    )


def test_a_way_says_its_resistance_for_bridges_and_for_contacts() -> None:
    operating = solve(divider())
    changes = [Joined("rail", "input"), Weakened("feed", "rail", "top", 0.01, (0.0, 1e6))]
    ways = circuit_ways(operating, changes, ["input"]).ways
    assert len(ways) == 2
    for share in (0.1, 0.5, 0.9):
        ohm = ways.ohm(np.full(ways.scale_ohm.shape, share))
        bridged = operating.changed(["rail"], ["input"], 1.0 / ohm[:1], observe=["input"])[0]
        weak = operating.changed(["rail"], ["top"], 1.0 / (0.01 + ohm[1:]) - 100.0, observe=["input"])[0]
        at = ways.start + share * (ways.end - ways.start)
        assert np.allclose(at[0], bridged, atol=1e-6) and np.allclose(at[1], weak, atol=1e-6)


def test_a_way_with_a_current_limit_is_followed_past_its_bend() -> None:
    """The rail pulled to ground: as long as the supply holds, nothing moves; past its limit everything falls."""
    operating = solve(divider(limit_a=0.03))
    found = circuit_ways(operating, [Joined("rail", "0")], ["input"])
    ways = found.ways
    assert len(ways) >= 2 and np.all(ways.fault == 0)
    assert np.allclose(found.grown_v[0], 0.0, atol=1e-3)
    for ohm in (1000.0, 150.0, 40.0, 3.0):
        read = operating.changed(["rail"], ["0"], [1.0 / ohm], observe=["input"])[0]
        # Some piece passes through what is read, at every position.
        low, high = np.minimum(ways.start, ways.end), np.maximum(ways.start, ways.end)
        assert np.all(np.any((low - 1e-4 <= read) & (read <= high + 1e-4), axis=0))
    first = ways.end[0, :, 0]
    assert np.allclose(first, operating.volts[:, operating.network.index("input")], atol=0.02)


def test_a_way_beyond_full_scale_is_cut_there_and_level_beyond() -> None:
    whole = np.ones((1, 1))
    start, end = np.array([[[1.0, 0.5]]]), np.array([[[9.0, -0.5]]])
    no_piece = Ways(np.array([0]), start, end, 0.0 * whole, whole, 100.0 * whole, np.array([False]))
    pieces = read_by_converters(no_piece, CEILING)
    corners = [(0.5, 5.0, 0.0), (1.0, 5.0, 0.0)]
    assert len(pieces) == 2 or len(pieces) == 3
    ends = [(float(g[0]), *v[0].tolist()) for g, v in zip(pieces.grown_end, pieces.end, strict=True)]
    for corner in corners:
        assert any(np.allclose(corner, each) for each in ends), ends


@pytest.mark.parametrize("takes", ["smaller", "larger", "mean", "a"])
def test_of_two_inputs_in_the_air_the_worst_is_that_of_a_fine_grid(takes: str) -> None:
    unit = believer(takes)
    sound = np.array([0.0, 50.0])
    grown = np.array([[[1.0, 0.5], [2.5, 1.25]]])
    found = CircuitWays(
        Ways(np.array([0]), grown, grown, *(np.zeros((1, 2)),) * 3, np.array([False])), grown, np.ones((1, 2, 2), bool)
    )
    ways = floating_ways(found, np.array([0]), unit, CEILING, sound)
    rows = Rows(ways.start[0], ways.end[0], sound, np.array([True, False]), np.array([False, False]))
    worst = worst_on_lines(unit, rows).rise
    grid = np.stack(np.meshgrid(np.linspace(0, 5, 1001), np.linspace(0, 5, 1001)), axis=-1).reshape(-1, 2)
    silent = unit.silent(grid, np.zeros(len(grid), dtype=bool))
    best = unit.taken(grid[silent]).max() - sound
    assert np.all(worst >= best - 1e-6) and np.all(worst <= best + 1.0)


def test_one_input_in_the_air_goes_from_nothing_to_full_scale() -> None:
    unit = believer("smaller")
    grown = np.array([[[1.0, 0.5]]])
    floats = np.array([[[False, True]]])
    found = CircuitWays(Ways(np.array([0]), grown, grown, *(np.zeros((1, 1)),) * 3, np.array([False])), grown, floats)
    ways = floating_ways(found, np.array([0]), unit, CEILING, np.array([0.0]))
    assert ways.start[0, 0].tolist() == [1.0, 0.0] and ways.end[0, 0].tolist() == [1.0, 5.0]


def test_a_stuck_track_is_tried_at_every_place_against_every_place() -> None:
    sound = np.array([[1.0, 0.5], [2.5, 1.25], [4.0, 2.0]])
    found = held_ways(7, Held(("a",)), TRACKS, sound)
    assert found.ways.start.shape == (2, 3, 2) and set(found.ways.fault) == {7}
    assert found.ways.start[:, 0, 0].tolist() == [1.0, 2.5] and found.ways.end[:, 0, 0].tolist() == [2.5, 4.0]
    assert np.all(found.ways.start[:, :, 1] == sound[:, 1])


def test_what_moved_takes_its_own_tracks_and_leaves_the_other_sensors() -> None:
    sound = np.array([[1.0, 0.5, 3.0], [2.5, 1.25, 3.5], [4.0, 2.0, 4.0]])
    position = np.array([0.0, 0.2, 0.4])
    parted = moved_ways(0, Moved(0.0, True), TRACKS, position, sound)
    assert np.all(parted.grown_v[0, :, :2] == sound[0, :2]) and parted.grown_v[0, :, 2].tolist() == [3.0, 3.5, 4.0]
    follows = moved_ways(0, Moved(None, True), TRACKS, position, sound)
    assert np.array_equal(follows.grown_v[0], sound)
    stays = moved_ways(0, Moved(None, False), TRACKS, position, sound)
    assert stays.ways.end[-1, 0].tolist() == [4.0, 2.0, 3.0]


def test_a_supply_that_falls_takes_the_input_along_in_proportion() -> None:
    network = divider()
    sound = solve(network).volts[:, [network.index("input")]]
    low = resupplied_ways(network, 0, Resupplied("supply", (0.0, 5.0)), ["input"], sound)
    assert np.allclose(low.grown_v[0], 0.0, atol=1e-9)
    assert np.allclose(low.ways.start[0], sound)
    missing = resupplied_ways(network, 0, Resupplied("supply", None), ["input"], sound)
    assert np.allclose(missing.grown_v[0], 0.0, atol=1e-9) and not missing.floats.any()
