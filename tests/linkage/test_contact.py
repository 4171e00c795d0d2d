"""Contacts that can be seen on paper: flat, arched and hollow faces, gaps, edges, wedging."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.linkage import ContactMotion, RodLinkage, find_events, pedal_angle_for_lever, solve
from tests.linkage.kind_cases import CONTACT, changed

PEDAL = np.linspace(0.0, 0.4, 41)


def motion_of(**figures: object) -> ContactMotion:
    motion = solve(changed(CONTACT, **figures), PEDAL)
    assert isinstance(motion, ContactMotion)
    return motion


def test_a_roller_against_an_upright_face() -> None:
    """Roller 10 mm at (10, 70), pressed toward +x; the face hangs from (20, 140). Its distance from the lever's axis
    along the face's normal stays 10 mm, so the angle of the face follows from the roller's centre alone."""
    motion = motion_of()
    x, y = 10 * np.cos(PEDAL) + 70 * np.sin(PEDAL), 70 * np.cos(PEDAL) - 10 * np.sin(PEDAL)
    span = np.hypot(x - 20, 140 - y)
    expected = np.arctan2(x - 20, 140 - y) + np.arcsin(10 / span)
    np.testing.assert_allclose(motion.lever_angle_rad, expected, atol=1e-12)
    assert motion.ratio[0] == pytest.approx(70 / 70)
    assert motion.lever_arm_mm[0] == pytest.approx(70.0)


def test_sliding_is_what_the_roller_moves_along_the_face() -> None:
    motion = motion_of()
    x, y = 10 * np.cos(PEDAL) + 70 * np.sin(PEDAL), 70 * np.cos(PEDAL) - 10 * np.sin(PEDAL)
    from_axis = np.sqrt((x - 20) ** 2 + (140 - y) ** 2 - 10**2)
    np.testing.assert_allclose(np.abs(motion.quantities()["slid_mm"]), np.abs(from_axis - from_axis[0]), atol=1e-9)
    assert motion.quantities()["slid_mm"][0] == 0.0
    assert np.all(np.abs(motion.quantities()["slid_across_mm"]) < 1e-9)


def test_a_gap_at_rest_is_closed_first() -> None:
    gap = changed(CONTACT, packing_mm=-2.0)
    motion = solve(gap, PEDAL)
    assert motion.lever_angle_rad[0] == 0.0
    assert motion.quantities()["gap_mm"][0] == pytest.approx(2.0)
    (event,) = find_events(gap, 0.4)
    assert (event.kind, event.pedal_angle_rad) == ("lift-off", 0.0)
    # Touching, the roller's centre has come 2 mm further.
    x = 10 * np.cos(event.until_rad) + 70 * np.sin(event.until_rad)
    assert x == pytest.approx(12.0, abs=1e-8)
    assert np.all(motion.ratio[event.until_rad > PEDAL] == 0.0)


def test_the_roller_runs_off_the_edge() -> None:
    motion = motion_of()
    along = motion.quantities()["along_face_mm"]
    sign = np.sign(along[-1])
    edge = {"face_to_mm": 4.0} if sign > 0 else {"face_from_mm": -4.0}
    (event,) = find_events(changed(CONTACT, **edge), 0.4)
    assert event.kind == "run-off"
    assert event.where == ("far edge" if sign > 0 else "near edge")
    assert event.until_rad == 0.4
    at = solve(changed(CONTACT, **edge), [event.pedal_angle_rad])
    assert abs(at.quantities()["along_face_mm"][0]) == pytest.approx(4.0, abs=1e-8)
    assert at.quantities()["edge_margin_mm"][0] == pytest.approx(0.0, abs=1e-8)


@pytest.mark.parametrize(("radius", "distance"), [(40.0, 50.0), (-60.0, 50.0)])
def test_an_arched_face_is_a_rod_between_the_centres(radius: float, distance: float) -> None:
    motion = motion_of(face_radius_mm=radius)
    centre = np.array([20 + radius, 70, 0])
    rod = RodLinkage(
        CONTACT.pedal_pivot, CONTACT.pedal_axis, CONTACT.roller_centre, CONTACT.module_pivot, CONTACT.module_axis,
        centre, 1, 1, distance,
    )  # fmt: skip
    np.testing.assert_allclose(motion.lever_angle_rad, solve(rod, PEDAL).lever_angle_rad, atol=1e-12)
    np.testing.assert_allclose(motion.ratio, solve(rod, PEDAL).ratio, atol=1e-9)


def test_a_very_large_arch_is_flat() -> None:
    flat, arched, hollow = motion_of(), motion_of(face_radius_mm=1e6), motion_of(face_radius_mm=-1e6)
    for bent in (arched, hollow):
        np.testing.assert_allclose(bent.lever_angle_rad, flat.lever_angle_rad, atol=1e-4)
        np.testing.assert_allclose(bent.quantities()["along_face_mm"], flat.quantities()["along_face_mm"], atol=2e-2)


@pytest.mark.parametrize("radius", [1e5, 40.0, -60.0])
def test_the_roller_may_be_on_the_lever(radius: float) -> None:
    """The roller on the lever, the arch on the pedal: a rod from the arch's centre to the roller's."""
    figures = {"roller_on": "lever", "roller_centre": [30, 70, 0], "face_normal": [1, 0, 0]}
    motion = motion_of(**figures, face_radius_mm=radius)
    centre = np.array([20 - radius, 70, 0])
    rod = RodLinkage(
        CONTACT.pedal_pivot, CONTACT.pedal_axis, centre, CONTACT.module_pivot, CONTACT.module_axis, [30, 70, 0], 1, 1,
        abs(radius + 10),
    )  # fmt: skip
    inside = motion.exists & (np.abs(motion.ratio) < 5.0)
    assert inside[0]
    np.testing.assert_allclose(motion.lever_angle_rad[inside], solve(rod, PEDAL).lever_angle_rad[inside], atol=1e-8)
    if radius > 1e4:
        flat = motion_of(**figures)
        np.testing.assert_allclose(motion.lever_angle_rad[inside], flat.lever_angle_rad[inside], atol=1e-2)


def test_a_wedged_contact_locks() -> None:
    """A roller on the lever against a flat face: once its arm lies along the face's normal it can go no further."""
    linkage = changed(CONTACT, roller_on="lever", roller_centre=[30, 70, 0], face_point=[20, 70, 0],
                      face_normal=[1, 0, 0])  # fmt: skip
    events = find_events(linkage, 1.5)
    lock = next(event for event in events if event.kind == "lock")
    at = solve(linkage, [lock.pedal_angle_rad - 1e-7])
    assert abs(at.lever_arm_mm[0]) < 0.2
    assert any(event.kind == "no-solution" for event in events)


def test_pedal_angle_of_the_modules_stop() -> None:
    lever = motion_of().lever_angle_rad[[5, 30]]
    np.testing.assert_allclose(pedal_angle_for_lever(CONTACT, lever), PEDAL[[5, 30]], atol=1e-10)


@pytest.mark.parametrize(
    ("figures", "says"),
    [
        ({"roller_on": "both"}, "roller_on must be"),
        ({"roller_radius_mm": -1.0}, "must not be negative"),
        ({"face_radius_mm": 0.0}, "must not be zero"),
        ({"face_radius_mm": -8.0}, "larger radius than the roller"),
        ({"face_from_mm": 5.0, "face_to_mm": 5.0}, "must be less than"),
        ({"face_normal": [0, 0, 1]}, "along the axis of its own body"),
        ({"face_normal": [-2, 0, 0]}, "face_normal must be a unit vector"),
        ({"face_radius_mm": np.array([np.inf, 50.0])}, "for all or for none"),
    ],
)
def test_a_contact_that_is_none_is_refused(figures: dict[str, object], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        changed(CONTACT, **figures)
