"""The travel of a described linkage: ends, bands, and what is said when a figure is not known."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from conversion.description import Missing
from conversion.linkage import solve
from conversion.plan import POSITIONS, Plan, travel_positions
from tests.rules.patching import patched_plan

# A flat linkage for the head: pedal pin and lever pin 60 mm below their axles, rod as long as the axles are apart,
# so that lever and pedal turn alike.
PARALLEL = [
    "conversion: linkage.pedal.pivot = [0 mm, 0 mm, 0 mm]",
    "conversion: linkage.pedal.pad = [0 mm, 0 mm, -240 mm]",
    "conversion: linkage.pedal.rod_pin = [0 mm, 0 mm, -60 mm]",
    "conversion: linkage.module.pivot = [200 mm, 0 mm, 0 mm]",
    "conversion: linkage.module.axis = left",
    "conversion: linkage.module.lever_pin = [200 mm, 0 mm, -60 mm]",
    "conversion: linkage.rod = {length: 200 mm}",
    "conversion: linkage.pedal.full_stop = {at: 60 mm, origin: made}",
]


def test_a_parallel_linkage_turns_the_lever_as_the_pedal(tmp_path: Path) -> None:
    travel = patched_plan(tmp_path, PARALLEL).travel
    assert travel.pad_travel_mm[-1] == 60.0
    assert travel.pedal_rad[-1] == pytest.approx(60 / 240)
    assert travel.lever_rad == pytest.approx(travel.pedal_rad)
    assert travel.ratio == pytest.approx(np.ones(POSITIONS))
    # At rest the rod is square to both arms.
    assert travel.transmission_lever_rad[0] == pytest.approx(np.pi / 2)
    assert travel.transmission_pedal_rad[0] == pytest.approx(np.pi / 2)


def test_the_module_stop_ends_the_travel_where_its_swing_is_less(tmp_path: Path) -> None:
    travel = patched_plan(tmp_path, [*PARALLEL, "B1: lever.swing = 10° ± 0.5°"]).travel
    assert travel.ended_by == "module"
    assert travel.module_stop_mm == pytest.approx(np.radians(10) * 240)
    assert np.degrees(travel.margin_rad) == pytest.approx(10 - np.degrees(60 / 240))
    assert np.degrees(travel.worst_margin_rad) == pytest.approx(9.5 - np.degrees(60 / 240))


def test_the_full_stops_own_tolerance_counts_at_the_end(tmp_path: Path) -> None:
    lines = [*PARALLEL, "conversion: linkage.pedal.full_stop = {at: 60 mm ± 2 mm, origin: made}"]
    nominal, least, greatest = patched_plan(tmp_path, lines).travel.lever_at_full_rad
    assert (least, nominal, greatest) == pytest.approx((58 / 240, 60 / 240, 62 / 240))


def test_turning_the_other_way_gives_a_negative_lever_angle(tmp_path: Path) -> None:
    travel = patched_plan(tmp_path, [*PARALLEL, "conversion: linkage.module.opens = clockwise"]).travel
    assert travel.lever_rad[-1] == pytest.approx(-60 / 240)
    assert np.all(travel.ratio < 0.0)


def test_a_set_rod_puts_the_lever_right_at_rest_whatever_the_points(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    form = plan.description.conversion.linkage
    assert form is not None and form.rod.set_at_rest is not None
    nominal, least, greatest = plan.travel.lever_at_rest_rad
    assert nominal == pytest.approx(form.rod.set_at_rest.nominal)
    assert (least, greatest) == pytest.approx(form.rod.set_at_rest.limits)


def test_a_set_rod_narrows_the_band_that_a_given_rod_has(tmp_path: Path) -> None:
    set_plan = patched_plan(tmp_path / "set", [])
    length = float(set_plan.travel.geometry.linkage.rod_length_mm)
    given = patched_plan(tmp_path / "given", [f"conversion: linkage.rod = {{length: {length!r} mm}}"])
    assert given.travel.lever_rad == pytest.approx(set_plan.travel.lever_rad, abs=1e-9)
    width = given.travel.free_max_rad - given.travel.free_min_rad
    assert np.all(width > set_plan.travel.free_max_rad - set_plan.travel.free_min_rad)


def test_a_stop_set_by_the_lever_comes_where_the_lever_reaches_it(tmp_path: Path) -> None:
    travel = patched_plan(tmp_path, []).travel
    assert travel.geometry.full_set_rad is not None
    assert travel.lever_rad[-1] == pytest.approx(travel.geometry.full_set_rad[0])
    nominal, least, greatest = travel.pad_at_full_mm
    assert least < nominal < greatest
    for pad, lever in ((least, travel.free_max_rad[-1]), (greatest, travel.free_min_rad[-1])):
        # Where the lever runs ahead the stop comes early, and the other way round.
        assert (pad - nominal) * (lever - travel.lever_rad[-1]) < 0.0


def test_a_stop_that_the_lever_cannot_reach_is_told(tmp_path: Path) -> None:
    with pytest.raises(Missing, match="cannot reach"):
        _ = patched_plan(tmp_path, ["conversion: linkage.pedal.full_stop.set_at = 170°"]).travel


def test_the_band_holds_sampled_linkages(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [f"{PARALLEL[-1]}", "conversion: linkage.rod = {length: 142 mm ± 1 mm}"])
    travel = plan.travel
    geometry = travel.geometry
    random = np.random.default_rng(7)
    outside = 0
    for _ in range(200):
        fields = {name: np.array(getattr(geometry.linkage, name), dtype=float) for name in vars(geometry.linkage)}
        for figure, (minus, plus) in geometry.tolerances.items():
            name, _, axis = figure.partition(".")
            error = random.uniform(-minus, plus)
            if axis:
                fields[name]["xyz".index(axis)] += error
            else:
                fields[name] = fields[name] + error
        lever = solve(type(geometry.linkage)(**fields), travel.pedal_rad).lever_angle_rad
        outside += int(np.any((lever < travel.lever_min_rad) | (lever > travel.lever_max_rad)))
    assert outside == 0


def test_pressing_is_forward_and_down_unless_said(tmp_path: Path) -> None:
    lines = ["conversion: linkage.pedal.presses = clockwise"]
    natural, other = patched_plan(tmp_path / "n", []), patched_plan(tmp_path / "o", lines)
    assert natural.travel.solution.pedal_pin_mm[-1][0] > natural.travel.solution.pedal_pin_mm[0][0]
    with pytest.raises(Missing, match="cannot reach"):
        _ = other.travel
    with pytest.raises(Missing, match="presses"):
        _ = patched_plan(tmp_path / "u", ["conversion: linkage.pedal.pad = [200 mm, 0 mm, -200 mm]"]).travel


@pytest.mark.parametrize(
    "line",
    [
        "conversion: linkage.pedal.pivot = [0 mm, unknown, 0 mm]",
        "conversion: linkage.rod = {length: unknown}",
        "conversion: linkage.pedal.full_stop = {at: unknown, origin: made}",
        "B1: lever.swing = unknown",
        "conversion: linkage removed",
    ],
)
def test_an_unknown_figure_is_named_and_nothing_is_guessed(tmp_path: Path, line: str) -> None:
    plan = patched_plan(tmp_path, [line])
    positions, lacking = travel_positions(plan)
    assert positions == [] and len(lacking) == 1
    assert "linkage" in lacking[0].path or "lever.swing" in lacking[0].path


def test_positions_as_plain_data(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    positions, lacking = travel_positions(plan)
    assert lacking == [] and len(positions) == POSITIONS
    first, last = positions[0], positions[-1]
    assert (first["pad_travel_mm"], first["percent"], last["percent"]) == pytest.approx((0.0, 0.0, 100.0))
    assert set(last["tracks"]) == {"a", "b"}
    assert set(last["tracks"]["a"]) == {"volts", "volts_min", "volts_max"}


@pytest.fixture
def plan(tmp_path: Path) -> Plan:
    return patched_plan(tmp_path, [])


def test_every_figure_has_its_place_and_evidence(plan: Plan) -> None:
    by_name = {figure.name: figure for figure in plan.figures}
    swing = by_name["B1: lever.swing"]
    assert (swing.evidence, swing.place.file) == ("measured", "parts/pedal-module.yaml")
    friction = by_name["B1: lever.friction"]
    assert friction.evidence == "assumed"
    assert by_name["vehicle.mass"].evidence == "documented"


def test_needs_name_the_devices_that_answer_them(plan: Plan) -> None:
    answers = {answer.need: answer.answered_by for answer in plan.needs}
    assert answers["pedal"] == ("B1",) and answers["throttle"] == ("M1",)
    assert answers["engine-stop"] == ("S4", "S3")
