"""Swept outlines against areas that can be written down, and the law that nothing is missed."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPoint

from conversion.fit import Body, Kind, Poses, Turn, box, capsule, half_space, swept_envelope
from conversion.fit.envelope import OUTSIDE, QUARTER
from tests.fit.cases import any_body, pedal_poses, seeds

UNIT = np.eye(3)


def turning(body: Body, to_rad: float, count: int) -> shapely.Geometry:
    angle = np.linspace(0, to_rad, count)
    poses = Poses(angle, angle, {"pedal": Turn(np.zeros(3), UNIT[1], angle)})
    return swept_envelope([body], poses, 0.0).whole


@pytest.mark.parametrize("count", [5, 41])
def test_a_bar_from_the_axis_sweeps_a_sector(count: int) -> None:
    """Radius 250, angle 0.8, rounded by 8 all round: sector, two straight sides, outer arc, two corners."""
    area = turning(capsule("arm", Kind.PEDAL, [0, 0, 0], [0, 0, -250], 8, "pedal"), 0.8, count).area
    # Corners: a quarter circle at each end of the arc; at the axis what is left of a full circle.
    sides = 2 * 250 * 8 + 0.8 * (258**2 - 250**2) / 2
    corners = 2 * np.pi * 64 / 4 + (np.pi - 0.8) / 2 * 64
    wanted = 0.8 * 250**2 / 2 + sides + corners
    assert wanted <= area <= wanted * 1.002


def test_a_bar_across_the_arc_sweeps_part_of_a_ring() -> None:
    """From radius 100 to 200 over 1 rad: (200² − 100²)/2, and the bar's own roundness of 1."""
    area = turning(capsule("bar", Kind.LEVER, [100, 0, 0], [200, 0, 0], 1e-6, "pedal"), 1.0, 30).area
    assert 15000 <= area <= 15000 * 1.001


def test_a_bar_turned_all_round_sweeps_a_ring_with_its_hole() -> None:
    shape = turning(capsule("bar", Kind.LEVER, [100, 0, 0], [200, 0, 0], 1e-6, "pedal"), 2 * np.pi, 80)
    assert np.pi * 30000 <= shape.area <= np.pi * 30000 * 1.002
    assert len(shape.interiors) == 1
    assert len(swept_envelope([box("b", Kind.OTHER, [0, 0, 0], UNIT, [1, 1, 1])], Poses.still()).outlines_mm()) == 1


def test_a_block_that_does_not_move_shows_its_side() -> None:
    shape = swept_envelope([box("block", Kind.MODULE, [10, 0, 5], UNIT, [20, 3, 7])], Poses.still(), 0.0).whole
    assert shape.bounds == (-10, -2, 30, 12)
    assert shape.area == pytest.approx(40 * 14)


@settings(max_examples=25, deadline=None)
@given(seeds, st.integers(3, 9))
def test_nothing_is_missed_between_the_positions(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    body = any_body(rng)
    moving = Body("moving", body.kind, body.pieces, "pedal")
    angle = np.linspace(0, 1.0, count)
    poses = Poses(angle, angle, {"pedal": Turn(np.array([30.0, 0, 40.0]), UNIT[1], angle)})
    outline = swept_envelope([moving], poses, 0.0).by_body["moving"].buffer(1e-6)
    for position in rng.uniform(0, count - 1, 12):
        for placed in moving.placed(poses.at([position])):
            flat = MultiPoint(placed.corners_mm[0][:, [0, 2]]).convex_hull
            assert outline.covers(flat.buffer(placed.piece.radius_mm))


@settings(max_examples=25, deadline=None)
@given(seeds, st.floats(0.1, 5.0))
def test_simplified_outlines_only_grow_and_by_no_more_than_told(seed: int, tolerance_mm: float) -> None:
    rng = np.random.default_rng(seed)
    bodies = [Body(name, Kind.PEDAL, any_body(rng).pieces, "pedal") for name in ("a", "b")]
    true = shapely.union_all(list(swept_envelope(bodies, pedal_poses(), 0.0).by_body.values()))
    found = swept_envelope(bodies, pedal_poses(), tolerance_mm).whole
    assert found.covers(true)
    assert true.buffer(tolerance_mm * OUTSIDE, quad_segs=QUARTER).covers(found)


def test_fewer_corners_at_a_coarser_tolerance() -> None:
    arm = capsule("arm", Kind.PEDAL, [0, 0, 0], [0, 0, -250], 8, "pedal")
    counts = [len(swept_envelope([arm], pedal_poses(), each).outlines_mm()[0]) for each in (0.0, 0.5, 4.0)]
    assert counts[0] > 2 * counts[1] > 2 * counts[2]


def test_what_has_no_outline() -> None:
    floor = half_space("floor", Kind.FLOOR, [0, 0, 0], [0, 0, 1])
    block = box("block", Kind.MODULE, [10, 0, 5], UNIT, [20, 3, 7])
    for bodies, tolerance, said in (
        ([floor], 1.0, "no end"),
        ([], 1.0, "no body"),
        ([block, block], 1.0, "name of its own"),
        ([block], -1.0, "negative"),
    ):
        with pytest.raises(ValueError, match=said):
            swept_envelope(bodies, Poses.still(), tolerance)
