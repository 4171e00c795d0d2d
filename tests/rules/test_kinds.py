"""Every kind of linkage goes through every rule, and each of its failures is told in the words of its kind."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from conversion.plan import Plan
from conversion.rules import Finding, find_all
from conversion.rules.influences import where_described
from tests import kinds
from tests.rules.patching import patched_plan

# Obstacles and bodies were measured round the rod; they are left out here.
KINDS = {kind: [*lines, "conversion: fit removed"] for kind, lines in kinds.KINDS.items()}
EACH_KIND = pytest.mark.parametrize("kind", KINDS)


def told(plan: Plan) -> dict[str, Finding]:
    return {finding.rule: finding for finding in find_all(plan)}


@EACH_KIND
def test_a_sound_one_has_nothing_above_a_note(kind: str, tmp_path: Path) -> None:
    found = find_all(patched_plan(tmp_path, KINDS[kind]))
    assert all(finding.severity == "NOTE" for finding in found if not finding.rule.startswith("fit/")), found
    assert all(finding.decided for finding in found)


@EACH_KIND
def test_the_pedals_own_stops_end_a_sound_ones_travel(kind: str, tmp_path: Path) -> None:
    travel = patched_plan(tmp_path, KINDS[kind]).travel
    assert travel.ended_by == "pedal" and travel.events == ()
    assert np.degrees(travel.lever_at_rest_rad[0]) == pytest.approx(1.0)
    assert np.degrees(travel.lever_at_full_rad[0]) == pytest.approx(22.5)
    assert np.all(np.diff(travel.lever_rad) > 0.0)


@EACH_KIND
def test_a_stop_that_comes_too_late_is_told_with_its_own_remedy(kind: str, tmp_path: Path) -> None:
    late = patched_plan(tmp_path, [*KINDS[kind], "conversion: linkage.pedal.full_stop.set_at = 25.0° ± 0.5°"])
    remedy = told(late)["travel/module-stop-first"].remedy
    own = {"cable": "quadrant", "contact": "touch", "bell-crank": "bell-crank", "direct": "travel less far"}
    assert own[kind] in remedy


@EACH_KIND
def test_a_rest_that_is_set_too_high_is_told_at_its_adjuster(kind: str, tmp_path: Path) -> None:
    adjuster = {"cable": "cable", "contact": "contact", "bell-crank": "rod", "direct": "module"}[kind]
    high = patched_plan(tmp_path, [*KINDS[kind], f"conversion: linkage.{adjuster}.set_at_rest = 6.0° ± 0.3°"])
    assert told(high)["travel/rest-not-reached"].subject == f"linkage.{adjuster}"


@EACH_KIND
def test_every_figure_that_moves_the_lever_has_a_place_in_the_description(kind: str, tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, KINDS[kind])
    for figure in plan.travel.influence_rad:
        path, name = where_described(plan.travel.geometry.linkage, figure)
        value: object = plan.description.conversion
        for step in path:
            value = value[step] if isinstance(step, int) else getattr(value, step)  # type: ignore[index]
        assert value is not None, name


def test_nothing_can_part_a_modules_own_pedal(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, KINDS["direct"])
    assert {case.kind for case in plan.returns.cases} == {"all-in", "spring-out"}
    alone = patched_plan(tmp_path / "alone", [*KINDS["direct"], "conversion: springs removed"])
    # The two springs in the module return the pedal, since they act on it.
    assert not any(rule.startswith("return/link-parted") for rule in told(alone))


def test_a_slack_cable_is_told_where_it_is_taut_again(tmp_path: Path) -> None:
    slack = patched_plan(
        tmp_path,
        [
            *KINDS["cable"],
            "conversion: linkage.cable.set_at_rest removed",
            "conversion: linkage.cable.slack = 6 mm",
            "conversion: linkage.pedal.full_stop = {at: 70 mm, origin: made}",
        ],
    )
    event = next(event for event in slack.travel.events if event.kind == "slack")
    # The pin draws about 60 mm for each radian; 6 mm are drawn at 0.1 rad of a pedal of 286.6 mm.
    assert event.until_mm == pytest.approx(6.0 / 60.0 * 286.6, rel=0.01)
    message = told(slack)["travel/cable-slack"].message
    assert f"to {event.until_mm:.1f} mm of pad travel" in message


def test_a_roller_that_runs_off_is_told_where(tmp_path: Path) -> None:
    short = patched_plan(tmp_path, [*KINDS["contact"], "conversion: linkage.contact.face_half_length = 5 mm"])
    finding = told(short)["travel/run-off"]
    event = next(event for event in short.travel.events if event.kind == "run-off")
    along = np.interp(
        event.pad_travel_mm, short.travel.pad_travel_mm, short.travel.solution.quantities()["along_face_mm"]
    )
    assert abs(along) == pytest.approx(5.0, abs=0.05)
    assert f"From {event.pad_travel_mm:.1f} mm" in finding.message and event.where in finding.message


def test_the_reading_to_take_again_is_placed_at_its_line(tmp_path: Path) -> None:
    marks = {"A": (0, 60, 0), "B": (164, 60, 150), "C": (164, -150, -60), "D": (-20, -190, -240), "E": (164, 60, -180)}
    pivot = np.array([146.0, -48.0, -20.0])
    for wrong in marks:
        read = {name: float(np.linalg.norm(pivot - at)) + (8.0 if name == wrong else 0.0) for name, at in marks.items()}
        written = ", ".join(f"{name}: {value:.1f} mm" for name, value in read.items())
        plan = patched_plan(tmp_path / wrong, [f"conversion: linkage.module.pivot = {{from: {{{written}}}}}"])
        finding = told(plan)["tape/readings-disagree"]
        assert f"from {wrong} again" in finding.remedy
        near = float(finding.remedy.split("should be near ")[1].split(" mm")[0])
        assert near == pytest.approx(read[wrong] - 8.0, abs=1.5)
        assert finding.place == plan.written.place("linkage", "module", "pivot", "from", wrong)
