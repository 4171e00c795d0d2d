"""Bracket members by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion.fit import (
    End,
    Measured,
    cantilever_stiffness_n_per_mm,
    corner_infill,
    cut_member,
    equal_angle,
    flat_bar,
    square_tube,
)
from tests.fit.cases import frame, seeds

BAR = flat_bar(25, 6)


def test_an_infill_by_its_foot_on_the_leg() -> None:
    """Common practice, no source: √2 · (64 + 25) outside."""
    found = corner_infill(64, 25, Measured.ALONG_LEG)
    assert found.outside_mm == pytest.approx(np.sqrt(2) * 89)
    assert found.inside_mm == pytest.approx(np.sqrt(2) * 64)
    assert found.width_mm == pytest.approx(25 / np.sqrt(2))
    assert found.mitre_rad == pytest.approx(np.pi / 4)


def test_an_infill_by_the_width_of_its_bar() -> None:
    found = corner_infill(64, 25, Measured.ACROSS_MEMBER)
    assert found.outside_mm == pytest.approx(np.sqrt(2) * 64 + 2 * 25)
    assert found.width_mm == pytest.approx(25)
    assert found.foot_mm == pytest.approx(25 * np.sqrt(2))


@given(st.floats(10, 200), st.floats(5, 50), st.floats(0.3, 2.4), st.sampled_from(list(Measured)))
def test_an_infill_is_a_member_between_the_middles_of_its_feet(
    leg: float, width: float, corner: float, measured: Measured
) -> None:
    found = corner_infill(leg, width, measured, corner)
    middle = leg + found.foot_mm / 2
    second = np.array([np.cos(corner), np.sin(corner), 0])
    ends = End(np.array([middle, 0, 0]), np.array([0, 1, 0])), End(middle * second, np.cross(second, [0, 0, 1]))
    cut = cut_member(flat_bar(found.width_mm, 3), *ends, width_axis=[1, 1, 0])
    assert cut.longest_mm == pytest.approx(found.outside_mm)
    assert cut.shortest_mm == pytest.approx(found.inside_mm)
    np.testing.assert_allclose(np.abs(cut.mitres_rad[:, 0]), found.mitre_rad, atol=1e-7)
    np.testing.assert_allclose(cut.mitres_rad[:, 1], 0.0, atol=1e-9)


def test_parallel_faces_give_parallel_cuts_and_equal_edges() -> None:
    """From one wall to the other at 45°: every edge is as long as the middle."""
    face = np.array([1.0, 0, 0])
    cut = cut_member(BAR, End(np.zeros(3), face), End(np.array([100.0, 100, 0]), face), [0, 1, 0])
    assert (cut.longest_mm, cut.shortest_mm) == pytest.approx((100 * np.sqrt(2),) * 2)
    np.testing.assert_allclose(np.degrees(np.abs(cut.mitres_rad[:, 0])), 45)


def test_a_cut_on_the_slant_both_ways() -> None:
    """Face at 45° across the height of a tube of 20: the edges differ by 20."""
    tube = square_tube(20, 2)
    ends = End(np.zeros(3), np.array([1.0, 0, 0])), End(np.array([100.0, 0, 0]), np.array([1.0, 0, 1.0]))
    cut = cut_member(tube, *ends, width_axis=[0, 1, 0])
    assert (cut.longest_mm, cut.shortest_mm) == pytest.approx((110, 90))
    np.testing.assert_allclose(np.degrees(np.abs(cut.mitres_rad)), [[0, 0], [0, 45]], atol=1e-9)


@given(seeds)
def test_either_end_first_and_in_any_frame_it_is_the_same(seed: int) -> None:
    rng = np.random.default_rng(seed)
    start, end = End(np.zeros(3), np.array([1.0, 0.4, -0.3])), End(np.array([150.0, 20, 9]), np.array([-1.0, 0.5, 0.1]))
    turn = frame(rng)
    moved = [End(turn @ each.point_mm, -3 * turn @ each.face) for each in (start, end)]
    cut = cut_member(BAR, start, end, [0, 1, 0])
    again = cut_member(BAR, *moved, width_axis=turn @ [0, 1, 0])
    back = cut_member(BAR, end, start, [0, 1, 0])
    for other in (again, back):
        assert (other.longest_mm, other.shortest_mm) == pytest.approx((cut.longest_mm, cut.shortest_mm))
    np.testing.assert_allclose(again.mitres_rad, cut.mitres_rad, atol=1e-9)


def test_sections_by_hand() -> None:
    assert (BAR.area_mm2, BAR.bent_in_width_mm4, BAR.least_mm4) == (150, 25**3 * 6 / 12, 450)
    assert square_tube(20, 2).least_mm4 == pytest.approx((160000 - 65536) / 12)
    # 30 × 30 × 3 with sharp corners: centroid 8.6 mm up the leg by moments of 30 × 3 and 27 × 3.
    angle = equal_angle(30, 3)
    centre = (90 * 1.5 + 81 * 16.5) / 171
    moment = 30 * 27 / 12 + 90 * (centre - 1.5) ** 2 + 3 * 27**3 / 12 + 81 * (16.5 - centre) ** 2
    assert (angle.area_mm2, angle.bent_in_height_mm4) == pytest.approx((171, moment))


@given(st.floats(10, 60), st.floats(0.05, 0.4))
def test_least_moment_of_an_angle_against_a_fine_grid(leg: float, share: float) -> None:
    thick = leg * share
    count = 400
    x, y = np.meshgrid(*[(np.arange(count) + 0.5) * leg / count] * 2)
    inside = (x < thick) | (y < thick)
    points = np.stack([x[inside], y[inside]])
    cell = (leg / count) ** 2
    least = np.linalg.eigvalsh(np.cov(points, bias=True) * points.shape[1] * cell)[0]
    assert equal_angle(leg, thick).least_mm4 == pytest.approx(least, rel=0.08)


def test_how_stiff_a_member_is_held_at_one_end() -> None:
    """100 mm of 25 × 6, I = 25·6³/12 = 450 mm⁴ flatwise and 6·25³/12 = 7812.5 mm⁴ on edge."""
    cut = cut_member(BAR, SQUARE, End([100, 0, 0], [1, 0, 0]), [0, 1, 0])
    on_edge, flatwise = cut.stiffness_n_per_mm
    assert flatwise == pytest.approx(3 * 205000 * 450 / 1e6)
    assert on_edge == pytest.approx(3 * 205000 * 7812.5 / 1e6)


SQUARE = End(np.zeros(3), np.array([1.0, 0, 0]))


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: cut_member(BAR, SQUARE, SQUARE, [0, 1, 0]), "same point"),
        (lambda: cut_member(BAR, SQUARE, End([9, 0, 0], [1, 0, 0]), [1, 0, 0]), "no part across"),
        (lambda: cut_member(BAR, SQUARE, End([9, 0, 0], [0, 0, 0]), [0, 1, 0]), "no direction"),
        (lambda: cut_member(BAR, SQUARE, End([99, 0, 0], [0, 1, 0]), [0, 1, 0]), "within 10°"),
        (lambda: cut_member(BAR, SQUARE, End([9, 0, 0], [1, 1, 0]), [0, 1, 0]), "cuts cross"),
        (lambda: corner_infill(0, 25, Measured.ALONG_LEG), "above zero"),
        (lambda: corner_infill(64, 25, Measured.ALONG_LEG, np.pi), "180"),
        (lambda: square_tube(20, 10), "no hole"),
        (lambda: equal_angle(20, 20), "cannot be 20 mm thick"),
        (lambda: flat_bar(0, 3), "not a size"),
        (lambda: cantilever_stiffness_n_per_mm(0, 1), "above zero"),
    ],
)
def test_what_cannot_be(make: object, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        make()  # type: ignore[operator]
