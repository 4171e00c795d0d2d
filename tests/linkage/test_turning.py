"""Turning points about an axis, against scipy's rotations, and the arc of the pad."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.linkage import pad_radius_mm, pad_travel_mm, pedal_angle_rad, turned
from tests.linkage.cases import unit

rotation = pytest.importorskip("scipy.spatial.transform", reason="scipy is for the tests alone").Rotation


def test_turns_are_scipys() -> None:
    rng = np.random.default_rng(3)
    point, pivot, axis = rng.normal(size=(10, 3)), rng.normal(size=(10, 3)), unit(rng.normal(size=(10, 3)))
    angles = rng.uniform(-4, 4, (10, 5))
    places = turned(point, pivot, axis, angles)
    for i in range(10):
        for j in range(5):
            expected = pivot[i] + rotation.from_rotvec(axis[i] * angles[i, j]).apply(point[i] - pivot[i])
            np.testing.assert_allclose(places[i, j], expected, atol=1e-12)


def test_pad_travel_is_an_arc_and_not_its_chord() -> None:
    radius = pad_radius_mm([10, 5, 300], [0, 1, 0], [10, 85, 50])
    assert float(radius) == pytest.approx(250.0)
    assert float(pad_travel_mm(np.pi / 6, radius)) == pytest.approx(250.0 * np.pi / 6)
    assert float(pedal_angle_rad(pad_travel_mm(0.3, radius), radius)) == pytest.approx(0.3)
