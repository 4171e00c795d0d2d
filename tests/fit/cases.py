"""Poses and random bodies for the tests of the room."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from conversion.fit import Body, Kind, Poses, Turn, box, capsule, prism

seeds = st.integers(0, 2**32 - 1)


def pedal_poses(to_rad: float = 0.4, count: int = 41, from_rad: float = 0.0) -> Poses:
    """A pedal about the y axis through the origin, pad 250 mm away: pressing takes what hangs down backward."""
    angle = np.linspace(from_rad, to_rad, count)
    return Poses(angle, 250.0 * angle, {"pedal": Turn(np.zeros(3), np.array([0.0, 1.0, 0.0]), angle)})


def frame(rng: np.random.Generator) -> np.ndarray:
    """Three unit axes at right angles, right-handed, as rows."""
    axes = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    return np.asarray(axes * np.sign(np.linalg.det(axes)))


def any_body(rng: np.random.Generator, reach_mm: float = 60.0) -> Body:
    """A capsule, a box or a convex or bent prism somewhere within reach."""
    what = rng.integers(4)
    centre = rng.uniform(-reach_mm, reach_mm, 3)
    if what == 0:
        return capsule("bar", Kind.LINK, centre, centre + rng.normal(size=3) * 30, rng.uniform(1, 10))
    if what == 1:
        return box("box", Kind.MODULE, centre, frame(rng), rng.uniform(3, 30, 3))
    if what == 2:
        turn = np.sort(rng.uniform(0, 2 * np.pi, 3)) + np.array([0, 0.1, 0.2])
        flat = centre[[0, 2]] + 25 * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
        return prism("wedge", Kind.TANK, flat, centre[1], centre[1] + rng.uniform(2, 40))
    ell = np.array([[0, 0], [40, 0], [40, 12], [12, 12], [12, 50], [0, 50]]) + centre[[0, 2]]
    return prism("ell", Kind.CROSS_MEMBER, ell, centre[1], centre[1] + rng.uniform(2, 40))
