"""The fit through a description: clearances that can be had in the head, gaps, the recess, and what is not known."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from conversion.description.fit_forms import ASKED_FOR, ObstacleKind
from conversion.fit import Kind, clearances
from conversion.plan.fitting.fit import NEAR_MM, Fit
from conversion.plan.fitting.judged import FitClearance
from tests.kinds import KINDS
from tests.plan.fit_cases import BODIES, END_RAD, with_fit
from tests.rules.patching import patched_plan


def fit(tmp_path: Path, lines: list[str]) -> Fit:
    found = patched_plan(tmp_path, lines).fit
    assert found is not None
    return found


def between(found: Fit, body: str, obstacle: str) -> FitClearance:
    (one,) = [each for each in found.clearances if (each.clearance.body, each.obstacle.name) == (body, obstacle)]
    return one


def plane(x_mm: float, kind: str = "other", more: str = "") -> str:
    return f"{{wall: {{kind: {kind}, plane: {{point: [{x_mm} mm, 0 mm, 0 mm], outward: back}}{more}}}}}"


def test_every_kind_of_obstacle_is_known_to_the_geometry() -> None:
    words = set(get_args(ObstacleKind)) - {"brake pedal"}
    assert words <= {kind.value for kind in Kind}
    assert {kind.value for kind in Kind} - words == {"pedal", "lever", "link", "module body"}
    assert set(ASKED_FOR) <= set(get_args(ObstacleKind))


def test_a_plane_ahead_of_the_lever_is_as_far_as_the_pin_leaves_it(tmp_path: Path) -> None:
    reach = 200.0 + 60.0 * np.sin(END_RAD)
    found = between(fit(tmp_path, with_fit(plane(reach + 6.0 + 10.0))), "lever", "wall")
    assert found.clearance.distance_mm == pytest.approx(10.0, abs=1e-3)
    assert found.clearance.pad_travel_mm == pytest.approx(240.0 * END_RAD)
    assert found.clearance.wanted.clearance_mm == 5.0
    assert found.enough and not found.touches


def test_a_pad_meets_a_plane_where_its_arc_takes_it(tmp_path: Path) -> None:
    # The pad's back lower edge: 10 mm behind the face, 40 mm below the centre, turned by the end of the over-travel.
    edge = 280.0 * np.sin(END_RAD) + 10.0 * np.cos(END_RAD)
    found = between(fit(tmp_path, with_fit(plane(edge + 3.0))), "pad", "wall")
    assert found.clearance.distance_mm == pytest.approx(3.0, abs=1e-3)
    assert not found.enough and not found.touches


def test_the_rod_keeps_its_height_over_a_floor(tmp_path: Path) -> None:
    floor = "{floor: {kind: floor, plane: {point: [0 mm, 0 mm, -100 mm], outward: up}}}"
    found = between(fit(tmp_path, with_fit(floor)), "rod", "floor")
    assert found.clearance.distance_mm == pytest.approx(100.0 - 60.0 - 4.0, abs=1e-3)
    assert found.clearance.pad_travel_mm == pytest.approx(0.0, abs=0.1)


def test_thick_ends_of_the_rod_come_nearer_than_the_rod(tmp_path: Path) -> None:
    bodies = BODIES.replace("diameter: 8 mm", "diameter: 8 mm, end_diameter: 20 mm, end_length: 30 mm")
    # A bar across the car 20 mm under the rod at its middle, and one under its end on the pedal.
    bars = "{a: {kind: other, bar: {start: [100 mm, -50 mm, -80 mm], end: [100 mm, 50 mm, -80 mm], radius: 2 mm}}}"
    found = fit(tmp_path, with_fit(bars, bodies=bodies))
    assert between(found, "rod", "a").clearance.distance_mm == pytest.approx(20.0 - 4.0 - 2.0, abs=0.05)
    # The end reaches from the pin at most 60 sin 0.2625 + 30 = 45.6 mm forward.
    at_pedal = between(found, "rod's end at the pedal", "a").clearance
    gap = np.hypot(100.0 - 60.0 * np.sin(END_RAD) - 30.0, 80.0 - 60.0 * np.cos(END_RAD)) - 12.0
    assert at_pedal.distance_mm == pytest.approx(gap, abs=0.05)


def test_points_are_taken_as_near_as_they_may_be(tmp_path: Path) -> None:
    reach = 200.0 + 60.0 * np.sin(END_RAD) + 6.0
    wall = f"{{wall: {{kind: other, plane: {{point: [{reach + 8.0} mm ± 4 mm, 0 mm, 0 mm], outward: back}}}}}}"
    found = between(fit(tmp_path, with_fit(wall)), "lever", "wall")
    assert found.clearance.distance_mm == pytest.approx(8.0, abs=1e-3)
    assert found.least_mm == pytest.approx(4.0, abs=1e-3)
    assert not found.enough


def test_a_wanted_clearance_of_ones_own_goes_before_the_default(tmp_path: Path) -> None:
    found = between(fit(tmp_path, with_fit(plane(260.0, more=", clearance: 40 mm"))), "lever", "wall")
    assert (found.clearance.wanted.clearance_mm, found.clearance.wanted.source) == (40.0, "as described")


@pytest.mark.parametrize(("kind", "wanted"), [("floor mat", 10.0), ("tank", 15.0), ("heat source", 50.0)])
def test_the_default_goes_by_the_kind(kind: str, wanted: float, tmp_path: Path) -> None:
    found = between(fit(tmp_path, with_fit(plane(240.0, kind))), "lever", "wall")
    assert found.clearance.wanted.clearance_mm == wanted


def test_heat_is_no_matter_to_a_steel_arm(tmp_path: Path) -> None:
    found = between(fit(tmp_path, with_fit(plane(110.0, "heat source"))), "pedal arm", "wall")
    assert found.clearance.wanted.clearance_mm == 5.0


def test_what_stands_still_may_be_fastened_to_the_wall(tmp_path: Path) -> None:
    found = between(fit(tmp_path, with_fit(plane(220.0))), "module body", "wall")
    assert found.still and found.clearance.distance_mm == pytest.approx(0.0) and found.enough
    into = between(fit(tmp_path, with_fit(plane(219.0))), "module body", "wall")
    assert into.touches and not into.enough


def test_a_point_from_the_tape_stands_where_its_coordinates_are(tmp_path: Path) -> None:
    marks = "conversion: marks = {P: [0 mm, 0 mm, 0 mm], Q: [300 mm, 0 mm, 0 mm], R: [0 mm, 100 mm, 0 mm]}"
    read = "{from: {P: 313.209 mm, Q: 90.0 mm, R: 316.386 mm}, side: down}"
    bars = [
        f"{{a: {{kind: column, bar: {{start: {start}, end: [300 mm, 90 mm, -80 mm], radius: 9 mm}}}}}}"
        for start in (read, "[300 mm, 40 mm, -80.62 mm]")
    ]
    found = [fit(tmp_path / str(i), [marks, *with_fit(bar)]) for i, bar in enumerate(bars)]
    one, two = (between(each, "lever", "a") for each in found)
    assert one.clearance.distance_mm == pytest.approx(two.clearance.distance_mm, abs=0.5)
    assert one.obstacle.uncertain_mm > 0.5 and two.obstacle.uncertain_mm == 0.0


def test_another_pedal_takes_all_the_room_that_it_travels_through(tmp_path: Path) -> None:
    # Beside the pad, pressed twice as far: the side gap stays what it is.
    brake = (
        "{brake: {kind: brake pedal, block: {centre: [-25 mm, 110 mm, -240 mm], size: [10 mm, 60 mm, 60 mm]}, "
        "travel: {pivot: [0 mm, 110 mm, 0 mm], pad: [-30 mm, 110 mm, -240 mm], presses: anticlockwise, "
        "at_pad: 120 mm}}}"
    )
    found = fit(tmp_path, with_fit(brake))
    assert between(found, "pad", "brake").clearance.distance_mm == pytest.approx(110.0 - 30.0 - 30.0, abs=0.3)
    assert found.brake is not None
    assert found.brake.side_gap_mm == pytest.approx(50.0)
    assert found.brake.step_mm == pytest.approx(30.0)
    assert found.brake.gap_enough


def test_the_gap_under_the_pad_is_that_at_the_full_stop(tmp_path: Path) -> None:
    under = (
        "{floor: {kind: floor, plane: {point: [0 mm, 0 mm, -320 mm], outward: up}}, "
        "mat: {kind: floor mat, plane: {point: [0 mm, 0 mm, -310 mm], outward: up}}}"
    )
    gap = fit(tmp_path, with_fit(under)).pad_gap
    assert gap is not None and gap.obstacle.name == "mat"
    # The face's lower edge hangs lowest: the back one is higher by 10 mm times the sine.
    assert gap.gap_mm == pytest.approx(310.0 - 280.0 * np.cos(0.25), abs=1e-3)


def test_the_shoe_is_in_the_way_of_the_lever_and_stands_on_the_floor(tmp_path: Path) -> None:
    bodies = BODIES[:-1] + ", shoe: {width: 100 mm, ahead: 90 mm, behind: 90 mm, height: 60 mm}}"
    floor = "{floor: {kind: floor, plane: {point: [0 mm, 0 mm, -320 mm], outward: up}}}"
    found = fit(tmp_path, with_fit(floor, bodies=bodies))
    pairs = {(each.clearance.body, each.clearance.obstacle) for each in found.clearances}
    assert ("shoe", "floor") not in pairs and ("rod", "shoe") in pairs
    assert "shoe" not in found.not_described
    # The rod's pin lies in the face's plane and the shoe begins 90 mm below it; the rod stays level, the arm leans.
    gap = 90.0 * np.cos(END_RAD) - 4.0
    assert between(found, "rod", "shoe").clearance.distance_mm == pytest.approx(gap, abs=1e-3)


def test_a_bulkhead_in_the_way_gets_the_recess_that_gives_the_wanted_clearance(tmp_path: Path) -> None:
    reach = 200.0 + 60.0 * np.sin(END_RAD) + 6.0
    wall = plane(reach - 12.5, "bulkhead", ", thickness: 1 mm")
    bodies = BODIES.replace("[200 mm, -50 mm, 0 mm]", "[170 mm, -50 mm, 0 mm]")
    bare = fit(tmp_path / "bare", with_fit(wall, bodies=bodies))
    assert between(bare, "lever", "wall").touches
    (lack,) = bare.lacks
    assert bare.least_depth_mm(lack) == pytest.approx(12.5 + 5.0, abs=1e-3)
    assert bare.recesses == ()
    made = fit(tmp_path / "made", with_fit(wall, ", recess: {thickness: 1 mm, inside_radius: 2 mm}", bodies))
    (planned,) = made.recesses
    assert planned.recess.box.depth_mm == 18.0
    assert planned.recess.protrudes_mm == pytest.approx(18.0)
    lever = between(made, "lever", "wall")
    assert lever.in_recess and lever.enough and lever.clearance.obstacle == "recess"
    assert planned.recess.flat.area_mm2 > 0.0
    assert made.too_near == ()


def test_what_is_too_near_is_found_without_listing_the_rest(tmp_path: Path) -> None:
    found = fit(tmp_path, with_fit(plane(217.0)))
    assert {each.clearance.body for each in found.too_near} == {
        each.clearance.body for each in found.clearances if not each.enough
    }
    assert all(not each.enough for each in found.too_near) and found.too_near


def test_what_stays_far_off_is_not_listed_and_really_is(tmp_path: Path) -> None:
    found = patched_plan(tmp_path, []).fit
    assert found is not None
    listed = {(each.clearance.body, each.clearance.obstacle) for each in found.clearances}
    for standing in found.obstacles:
        for body in found.bodies:
            for solid in standing.bodies:
                if standing.behind_bulkhead or body.moves_with == solid.moves_with:
                    continue
                (clearance,) = clearances([body], [solid], found.poses)
                near = clearance.distance_mm < NEAR_MM - 1.0
                shoe_underfoot = body.name == "shoe" and standing.kind in ("floor", "floor mat")
                recessed = solid.name == "bulkhead 1" and (body.name, "recess") in listed
                assert not near or shoe_underfoot or recessed or (body.name, solid.name) in listed


def test_the_module_stop_ends_what_is_looked_at(tmp_path: Path) -> None:
    found = fit(tmp_path, [*with_fit(plane(300.0)), "B1: lever.swing = 10°"])
    assert found.poses.pedal_angle_rad[-1] == pytest.approx(np.radians(10.0))
    assert found.full_position == len(found.poses) - 1


def test_the_full_stop_is_a_position_of_its_own(tmp_path: Path) -> None:
    found = fit(tmp_path, with_fit())
    assert found.poses.pad_travel_mm[int(found.full_position)] == pytest.approx(60.0)
    assert found.poses.pad_travel_mm[-1] == pytest.approx(63.0)


def test_what_every_footwell_has_is_asked_for(tmp_path: Path) -> None:
    found = fit(tmp_path, with_fit(plane(300.0, "bulkhead"), ", absent: {column: it is a chair}"))
    assert found.not_described == ("floor", "floor mat", "carpet", "shoe", "brake pedal")


def test_bodies_are_asked_for_by_the_kind_of_linkage(tmp_path: Path) -> None:
    few = "bodies: {pedal_arm: 10 mm, pad: {width: 60 mm, height: 80 mm, thickness: 10 mm}}"
    assert fit(tmp_path, with_fit(bodies=few)).bodies_not_described == ("lever", "link", "module")


def test_an_unknown_figure_takes_only_its_own_obstacle_away(tmp_path: Path) -> None:
    walls = plane(300.0)[:-1] + ", post: {kind: other, bar: {start: [0 mm, 90 mm, 0 mm], end: [0 mm, 90 mm, 50 mm], "
    found = fit(tmp_path, with_fit(walls + "radius: unknown}}}"))
    assert [missing.path for missing in found.unknown] == ["fit.obstacles.post.bar.radius"]
    assert [standing.name for standing in found.obstacles] == ["wall"]
    assert between(found, "lever", "wall")


def test_an_unknown_thickness_takes_only_its_own_body_away(tmp_path: Path) -> None:
    found = fit(
        tmp_path,
        with_fit(plane(300.0), bodies=BODIES.replace("lever: {thickness: 12 mm}", "lever: {thickness: unknown}")),
    )
    assert [missing.path for missing in found.unknown] == ["fit.bodies.lever.thickness"]
    assert found.body("lever") is None and found.body("rod") is not None


def test_members_and_infills_are_cut(tmp_path: Path) -> None:
    bracket = (
        ", members: {arm: {section: {shape: flat bar, width: 25 mm, thickness: 6 mm}, start: {at: [0 mm, 0 mm, 0 mm], "
        "face: forward}, end: {at: [100 mm, 0 mm, 0 mm], face: [1, 1, 0]}, width: left}, bad: {section: {shape: angle, "
        "leg: 20 mm, thickness: 3 mm}, start: {at: [0 mm, 0 mm, 0 mm], face: up}, end: {at: [100 mm, 0 mm, 0 mm], "
        "face: forward}, width: left}}, infills: {corner: {leg: 64 mm, member: 25 mm, measured: along the leg}}"
    )
    found = fit(tmp_path, with_fit(more=bracket))
    arm = found.members["arm"]
    # A mitre of 45° across a width of 25 mm: 12.5 mm longer on one edge, 12.5 mm shorter on the other.
    assert (arm.middle_mm, arm.longest_mm, arm.shortest_mm) == pytest.approx((100.0, 112.5, 87.5))  # type: ignore[union-attr]
    assert "within 10° of its own direction" in str(found.members["bad"])
    corner = found.infills["corner"]
    assert corner.outside_mm == pytest.approx(np.sqrt(2) * 89.0)  # type: ignore[union-attr]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_linkage_has_its_bodies(kind: str, tmp_path: Path) -> None:
    bodies = BODIES.replace("diameter: 8 mm", "diameter: 8 mm, end_diameter: 16 mm")[:-1]
    bodies += {"bell-crank": ", crank: 12 mm", "cable": ", outer: {diameter: 6 mm}"}.get(kind, "")
    bodies += ", shoe: {width: 100 mm, ahead: 80 mm, behind: 60 mm, height: 60 mm}}"
    # The lines of a kind take the fit of the rod away; this one is put in its place.
    _, _, described = with_fit(plane(260.0), bodies=bodies)
    found = fit(tmp_path, ["conversion: search removed", *KINDS[kind], described])
    names = [body.name for body in found.bodies]
    wanted = {
        "cable": {
            "lever",
            "cable at the pedal",
            "cable at the quadrant",
            "cable's end on the pedal",
            "cable's outer",
        },
        "contact": {"lever"},
        "bell-crank": {"lever", "bell-crank", "first rod", "second rod"},
        "direct": set(),
    }[kind]
    assert wanted | {"pedal arm", "pad", "module body", "shoe"} <= set(names)
    assert not found.unknown and found.clearances and not found.bodies_not_described
    assert not found.envelope.whole.is_empty


@pytest.mark.parametrize(("edge_mm", "meets"), [(-20.0, False), (-3.0, True)])
def test_the_linkage_may_meet_itself(edge_mm: float, meets: bool, tmp_path: Path) -> None:
    # The rod, 4 mm in radius, passes beside a module that reaches to this side of it at its height.
    place = f"module: {{centre: [80 mm, {edge_mm - 30.0} mm, -60 mm], size: [40 mm, 60 mm, 60 mm]}}"
    bodies = BODIES.replace("module: {centre: [200 mm, -50 mm, 0 mm], size: [40 mm, 30 mm, 60 mm]}", place)
    found = between(fit(tmp_path, with_fit(bodies=bodies)), "rod", "module body")
    assert found.clearance.distance_mm == pytest.approx(-edge_mm - 4.0, abs=1e-3)
    assert found.clearance.wanted.clearance_mm == 2.0
    assert found.touches == meets


def test_parts_that_are_fastened_to_each_other_are_not_held_against_each_other(tmp_path: Path) -> None:
    found = fit(tmp_path, with_fit())
    own = {(each.clearance.body, each.obstacle.name) for each in found.clearances}
    assert own <= {
        ("pedal arm", "module body"), ("pedal arm", "lever"), ("pad", "module body"), ("pad", "lever"),
        ("rod", "module body"),
    }  # fmt: skip
    assert ("rod", "module body") in own and not found.far_off


def test_a_member_of_the_bracket_is_in_the_way_as_thick_as_its_tube(tmp_path: Path) -> None:
    # Across the car over the rod: its underside 10 mm below its middle, the rod's top 4 mm above the pins' height.
    arm = (
        ", members: {bar: {section: {shape: square tube, width: 20 mm, wall: 2 mm}, start: {at: [100 mm ± 1 mm, "
        "-100 mm, -20 mm], face: left}, end: {at: [100 mm, 100 mm, -20 mm], face: left}, width: up}}"
    )
    found = between(fit(tmp_path, with_fit(more=arm)), "rod", "member bar")
    assert found.clearance.distance_mm == pytest.approx(60.0 * np.cos(END_RAD) - 4.0 - 20.0 - 10.0, abs=1e-3)
    assert found.obstacle.uncertain_mm == pytest.approx(1.0)


def test_a_mitred_member_reaches_as_far_as_its_longest_edge(tmp_path: Path) -> None:
    # Cut at 45° across 20 mm its edge goes 10 mm past the end of its middle line.
    arm = (
        ", members: {bar: {section: {shape: square tube, width: 20 mm, wall: 2 mm}, start: {at: [200 mm, 0 mm, "
        "-160 mm], face: up}, end: {at: [200 mm, 0 mm, -110 mm], face: [1, 0, 1]}, width: forward}}"
    )
    found = fit(tmp_path, with_fit(more=arm))
    # The lever's round end is 66 mm below its axis at its lowest.
    assert between(found, "lever", "member bar").clearance.distance_mm == pytest.approx(110.0 - 10.0 - 66.0, abs=1e-3)


def test_the_outer_of_a_cable_keeps_its_distance_from_a_bar(tmp_path: Path) -> None:
    lines = [*KINDS["cable"]]
    # Straight from (150, 0, 60) to (300, -40, 40); a bar square to it, 50 mm off its middle along (40, 150, 0).
    run, aside = np.array([150.0, -40.0, -20.0]), np.array([40.0, 150.0, 0.0])
    middle = np.array([225.0, -20.0, 50.0]) + 50.0 * aside / np.linalg.norm(aside)
    along = 60.0 * np.cross(run, aside) / np.linalg.norm(np.cross(run, aside))
    start, end = (", ".join(f"{each:.4f} mm" for each in middle + side * along) for side in (-1, 1))
    bar = f"{{bar: {{kind: column, bar: {{start: [{start}], end: [{end}], radius: 5 mm}}}}}}"
    bodies = BODIES[:-1] + ", outer: {diameter: 6 mm}}"
    found = fit(tmp_path, ["conversion: search removed", *lines, with_fit(bar, bodies=bodies)[2]])
    assert between(found, "cable's outer", "bar").clearance.distance_mm == pytest.approx(50.0 - 3.0 - 5.0, abs=1e-3)
    assert found.bodies_not_described == ()
    without = fit(tmp_path, ["conversion: search removed", *lines, with_fit(bar)[2]])
    assert without.bodies_not_described == ("outer",)


def test_a_body_of_uncertain_place_needs_more_room(tmp_path: Path) -> None:
    bodies = BODIES.replace("centre: [200 mm, -50 mm", "centre: [200 mm ± 3 mm, -50 mm ± 4 mm")
    found = between(fit(tmp_path, with_fit(bodies=bodies)), "rod", "module body")
    assert found.obstacle.uncertain_mm == pytest.approx(5.0)
    assert found.least_mm == pytest.approx(found.clearance.distance_mm - 5.0)


def test_a_bore_that_reaches_the_pin_leaves_no_web(tmp_path: Path) -> None:
    bodies = BODIES.replace("lever: {thickness: 12 mm}", "lever: {thickness: 95 mm, hole: 40 mm, bore: 90 mm}")
    assert fit(tmp_path, with_fit(bodies=bodies)).lever_web_mm == pytest.approx(60.0 - 20.0 - 45.0)
    assert fit(tmp_path, with_fit()).lever_web_mm is None


def test_the_envelope_covers_the_pad_at_both_ends(tmp_path: Path) -> None:
    low_x, _, high_x, _ = fit(tmp_path, with_fit()).envelope.whole.bounds
    assert low_x <= 0.0 and high_x >= 200.0 + 60.0 * np.sin(END_RAD) + 6.0
