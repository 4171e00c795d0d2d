"""The worst-case band against every corner and against samples of the tolerances."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from conversion.linkage import RodLinkage, lever_band, rest_position, solve
from conversion.linkage.geometry import stacked
from tests.linkage.cases import four_bar, random_linkages

LINKAGE = RodLinkage(
    pedal_pivot=[0, 0, 0],
    pedal_axis=[0, 1, 0],
    pedal_sense=-1,
    pedal_pin_at_rest=[15, 30, -95],
    module_pivot=[180, 70, -20],
    module_axis=[0, 1, 0],
    lever_sense=-1,
    lever_pin_at_rest_stop=[175, 62, -75],
    rod_length_mm=float(np.linalg.norm([160, 32, 20])),
)
TRAVEL = np.linspace(0.0, 0.35, 8)
TOLERANCES = {
    "rod_length_mm": (0.5, 1.0),
    "module_pivot.x": (1.0, 1.0),
    "module_pivot.z": (1.0, 0.5),
    "pedal_pin_at_rest.x": (1.0, 1.0),
    "pedal_pin_at_rest.z": (0.5, 0.5),
    "lever_pin_at_rest_stop.z": (0.5, 0.5),
    "pedal_axis.x": (0.01, 0.01),
}


def moved(shifts: np.ndarray) -> RodLinkage:
    """The linkage once for each row of shifts, a column for a tolerance."""
    many = stacked(LINKAGE, len(shifts))
    values = {name: getattr(many, name).copy() for name in RodLinkage.__dataclass_fields__}
    for column, figure in zip(shifts.T, TOLERANCES, strict=True):
        name, _, axis = figure.partition(".")
        if axis:
            values[name][:, "xyz".index(axis)] += column
        else:
            values[name] += column
    values["pedal_axis"] /= np.linalg.norm(values["pedal_axis"], axis=1, keepdims=True)
    return RodLinkage(**values)


def test_the_band_holds_the_corners_to_second_order() -> None:
    band = lever_band(LINKAGE, TOLERANCES, TRAVEL)
    corners = np.array(list(product(*((-minus, plus) for minus, plus in TOLERANCES.values()))))
    lever = solve(moved(corners), TRAVEL).lever_angle_rad
    width = band.lever_max_rad - band.lever_min_rad
    assert np.all(width > 0.02)
    # What is left out is the product of two shifts: a few per cent of the band for shifts of about 2 % of the
    # arms.
    assert np.all(np.abs(lever.max(axis=0) - band.lever_max_rad) < 0.04 * width)
    assert np.all(np.abs(lever.min(axis=0) - band.lever_min_rad) < 0.04 * width)


def test_samples_stay_inside_the_band_but_for_second_order() -> None:
    band = lever_band(LINKAGE, TOLERANCES, TRAVEL)
    low, high = (np.array(side) for side in zip(*((-minus, plus) for minus, plus in TOLERANCES.values()), strict=True))
    shifts = np.random.default_rng(7).uniform(low, high, (5000, len(TOLERANCES)))
    lever = solve(moved(shifts), TRAVEL).lever_angle_rad
    slack = 0.04 * (band.lever_max_rad - band.lever_min_rad)
    assert np.all(lever.max(axis=0) < band.lever_max_rad + slack)
    assert np.all(lever.min(axis=0) > band.lever_min_rad - slack)


def test_the_left_out_part_shrinks_with_the_square_of_the_tolerance() -> None:
    errors = []
    for size in (1.0, 0.5):
        smaller = {figure: (size * minus, size * plus) for figure, (minus, plus) in TOLERANCES.items()}
        corners = np.array(list(product(*((-minus, plus) for minus, plus in smaller.values()))))
        lever = solve(moved(corners), TRAVEL).lever_angle_rad
        errors.append(np.abs(lever.max(axis=0) - lever_band(LINKAGE, smaller, TRAVEL).lever_max_rad).max())
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.25)


def test_one_tolerance_alone_is_exact() -> None:
    band = lever_band(LINKAGE, {"rod_length_mm": (1.0, 2.0)}, TRAVEL)
    ends = [
        solve(replace(LINKAGE, rod_length_mm=LINKAGE.rod_length_mm + by), TRAVEL).lever_angle_rad for by in (-1.0, 2.0)
    ]
    np.testing.assert_allclose(band.lever_min_rad, np.minimum(*ends), atol=1e-12)
    np.testing.assert_allclose(band.lever_max_rad, np.maximum(*ends), atol=1e-12)


def test_parts_name_what_matters_most_and_add_up() -> None:
    band = lever_band(LINKAGE, TOLERANCES, TRAVEL)
    assert list(band.part_rad) == list(TOLERANCES)
    total = sum(band.part_rad.values())
    assert np.all(total >= np.maximum(band.lever_max_rad - band.lever_rad, band.lever_rad - band.lever_min_rad) - 1e-12)
    # A rod 1 mm longer turns a lever of about 55 mm by about 1/55.
    assert band.part_rad["rod_length_mm"][0] == pytest.approx(1 / 55.0, rel=0.15)


def test_a_figure_that_opens_the_linkage_makes_the_band_unknown() -> None:
    nearly_locked = four_bar(60, 70, 50, 100, np.radians(40), np.radians(100))
    band = lever_band(nearly_locked, {"rod_length_mm": (2.0, 2.0)}, [0.2, 0.93])
    assert np.isfinite(band.lever_max_rad).tolist() == [True, False]
    assert np.isfinite(band.lever_rad).all()


def test_a_rod_set_at_fitting_leaves_only_the_setting_at_rest() -> None:
    """Whatever the other figures are, the rod is screwed until the lever stands right; the travel still differs."""
    free = lever_band(LINKAGE, TOLERANCES, TRAVEL)
    rest = float(rest_position(LINKAGE))
    band = lever_band(LINKAGE, TOLERANCES, TRAVEL, set_at_rest_rad=(rest - 0.004, rest + 0.006))
    assert band.lever_rad == pytest.approx(free.lever_rad)
    assert band.lever_min_rad[0] == pytest.approx(rest - 0.004, abs=1e-9)
    assert band.lever_max_rad[0] == pytest.approx(rest + 0.006, abs=1e-9)
    assert list(band.part_rad) == [*TOLERANCES, "set_at_rest"]
    width, free_width = band.lever_max_rad - band.lever_min_rad, free.lever_max_rad - free.lever_min_rad
    assert np.all(width[1:] > 0.0101)
    assert np.all(width < 0.8 * free_width)
    # How long the rod is no longer matters: it is screwed to what is needed.
    np.testing.assert_allclose(band.part_rad["rod_length_mm"], 0.0, atol=1e-12)


def test_no_tolerances_no_band() -> None:
    band = lever_band(LINKAGE, {}, TRAVEL)
    np.testing.assert_array_equal(band.lever_max_rad, band.lever_min_rad)


@pytest.mark.parametrize(
    ("tolerances", "says"),
    [
        ({"rod_length": (1, 1)}, "'rod_length' is not a figure"),
        ({"module_pivot.w": (1, 1)}, "'module_pivot.w' is not a figure"),
        ({"module_pivot": (1, 1)}, "'module_pivot' is not a figure"),
        ({"rod_length_mm": (-1, 1)}, "neither may be negative"),
        ({"rod_length_mm": (1, float("nan"))}, "neither may be negative"),
    ],
)
def test_bad_tolerances_are_refused(tolerances: dict[str, tuple[float, float]], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        lever_band(LINKAGE, tolerances, TRAVEL)


def test_many_linkages_are_refused() -> None:
    with pytest.raises(ValueError, match="one linkage"):
        lever_band(random_linkages(2, seed=1), {}, TRAVEL)
