"""The checklist of every kind of link: what to make, adjust, lock and prove, and nothing of another kind."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion.checklist import build_checklist, failure_modes
from conversion.checklist.model import Stage
from conversion.plan import Plan
from conversion.rules import find_all
from tests.kinds import KINDS
from tests.rules.patching import patched_plan

NO_FIT = "conversion: fit removed"
EACH_KIND = pytest.mark.parametrize("kind", KINDS)
PARTED = {"cable": "Cable off", "contact": "Roller taken off its face", "bell-crank": "Rod off", "direct": None}


def plan_of(folder: Path, kind: str, *more: str) -> Plan:
    return patched_plan(folder, [*KINDS[kind], NO_FIT, *more])


def stage(plan: Plan, key: str = "mechanical") -> Stage:
    return next(each for each in build_checklist(plan, find_all(plan)) if each.key == key)


def words(stage: Stage) -> str:
    return " ".join(
        [*(step.text for step in stage.steps), *(row.what for step in stage.steps for row in step.rows)]
        + [caution.text for caution in stage.cautions]
    )


@EACH_KIND
def test_everything_expected_can_be_said(kind: str, tmp_path: Path) -> None:
    plan = plan_of(tmp_path, kind)
    expected = [step.expected for step in stage(plan).steps] + [
        row.expected for step in stage(plan).steps for row in step.rows
    ]
    assert not [text for text in expected if text and "cannot be said" in text]


@EACH_KIND
def test_it_speaks_of_its_own_link_alone(kind: str, tmp_path: Path) -> None:
    said = words(stage(plan_of(tmp_path, kind))).lower()
    own = {"cable": "quadrant", "contact": "roller", "bell-crank": "bell-crank", "direct": "own pedal"}
    assert own[kind] in said
    foreign = {"quadrant", "roller", "bell-crank"} - {own[kind]}
    assert not [word for word in foreign if word in said]
    if kind != "bell-crank":
        assert " rod" not in said.replace("rod end", "")


@EACH_KIND
def test_each_case_of_the_return_is_tried(kind: str, tmp_path: Path) -> None:
    plan = plan_of(tmp_path, kind)
    step = next(step for step in stage(plan).steps if step.text.startswith("Prove the return"))
    rows = {row.what for row in step.rows}
    parted = PARTED[kind]
    assert ({f"{parted}: the pedal", f"{parted}: the lever"} <= rows) is (parted is not None)
    assert "Time from full to rest, let go at once" in rows
    inside = sum("from the plan alone" in row for row in rows)
    assert len(rows) == 2 + len(plan.description.conversion.springs) + (2 if parted else 0) + inside


@EACH_KIND
def test_losing_the_link_is_a_failure_mode_where_it_can_be_lost(kind: str, tmp_path: Path) -> None:
    keys = {mode.key for mode in failure_modes(plan_of(tmp_path, kind))}
    own = {"cable": "cable-off", "contact": "roller-off", "bell-crank": "rod-off", "direct": None}[kind]
    assert keys & {"cable-off", "roller-off", "rod-off"} == ({own} if own else set())
    assert ("cable-stuck" in keys) is (kind == "cable")


def test_an_over_travel_spring_is_tried(tmp_path: Path) -> None:
    plan = plan_of(
        tmp_path, "cable", "conversion: linkage.cable.over_travel = {from_lever: 23°, preload: 25 N, rate: 5 N/mm}"
    )
    (step,) = [step for step in stage(plan).steps if "over-travel spring" in step.text]
    assert step.expected == "25.0 N"


def test_points_from_a_tape_are_read_again_from_every_mark(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    (step,) = [step for step in stage(plan).steps if step.text.startswith("Find the marks A, B, C, D, E")]
    rows = {row.what: row.expected for row in step.rows}
    # As read where it was read, with the tape's own tolerance; computed for the other points.
    assert rows["Pivot of the lever: from B"] == "202.0 mm (201.0 mm to 203.0 mm)"
    assert rows["Pivot of the pedal: from A"] == "60.0 mm"
    assert len(rows) == 5 * 4


def test_what_a_rods_ends_must_bear_is_proven(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    (step,) = [step for step in stage(plan).steps if step.text.startswith("Prove thread and ball joints")]
    rows = {row.what: row.expected or "" for row in step.rows}
    assert rows["Thread of the rod that must stay in at each end"] == "at least 9.0 mm"
    assert rows["The rod can be adjusted"] == "135.0 mm to 145.0 mm"
    assert "its limit is 20.0°" in rows["Lean of the rod at the pedal"]
    assert any("plastic lever" in caution.text for caution in stage(plan).cautions)


def test_what_bears_a_full_foot_is_a_hold_point_of_every_kind(tmp_path: Path) -> None:
    for kind, lines in {"rod": [], **KINDS}.items():
        plan = patched_plan(tmp_path / kind, [*lines, *([NO_FIT] if lines else [])])
        (step,) = [each for each in stage(plan).steps if each.hold and each.hold.key == "before-pressing-hard"]
        rows = {row.what: row.expected or "" for row in step.rows}
        assert any("900.0 N at the pad" in expected for expected in rows.values())
        pushed = [what for what, expected in rows.items() if expected.startswith("pushed with")]
        assert len(pushed) == {"rod": 1, "bell-crank": 2}.get(kind, 0)
        assert any("each millimetre takes" in expected for expected in rows.values()) == (kind != "direct")
