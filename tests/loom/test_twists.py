"""Which wires are twisted together, told from the worked conversions and from small changes to one."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion.loom.twists import take_up
from conversion.loom.wire_data import outer_diameter_mm
from conversion.plan import Plan
from tests.rules.patching import patched_plan


def roles_by_twist(plan: Plan) -> dict[str, set[str]]:
    roles = {wire.tag: wire.roles for wire in plan.wiring.wires}
    return {twist.name: {role for tag in twist.tags for role in roles[tag]} for twist in plan.twists}


def test_every_track_is_twisted_with_its_own_return_and_the_motor_with_its_other_lead(tmp_path: Path) -> None:
    found = roles_by_twist(patched_plan(tmp_path, []))
    assert found == {
        **{
            f"{sensor} track {track}": {f"{sensor}.{track}.{end}" for end in ("supply", "ground", "signal")}
            for sensor in ("pedal", "throttle")
            for track in ("a", "b")
        },
        "throttle motor": {"throttle.motor.plus", "throttle.motor.minus"},
    }


def test_tracks_with_a_conductor_in_common_are_one_twist(tmp_path: Path) -> None:
    found = roles_by_twist(patched_plan(tmp_path, [], base="first-attempt"))
    assert "throttle tracks a and b" in found
    assert {"throttle.a.signal", "throttle.b.signal"} <= found["throttle tracks a and b"]
    assert "throttle track a" not in found


def test_a_tighter_twist_takes_up_more(tmp_path: Path) -> None:
    wide = patched_plan(tmp_path / "wide", ["conversion: loom.twist_pitch = 60 mm"])
    tight = patched_plan(tmp_path / "tight", ["conversion: loom.twist_pitch = 20 mm"])
    for one, other in zip(wide.twists, tight.twists, strict=True):
        assert 1.0 < one.takeup < other.takeup
        assert (one.pitch_mm, other.pitch_mm) == (60.0, 20.0)


def test_a_pair_turns_about_its_touching_line(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.twist_pitch = 30 mm"])
    [motor] = [twist for twist in plan.twists if twist.name == "throttle motor"]
    [thickness_mm] = {outer_diameter_mm(wire.size_mm2) for wire in plan.wiring.wires if wire.tag in motor.tags}
    assert motor.over_mm == pytest.approx(2.0 * thickness_mm)
    assert motor.takeup == pytest.approx(take_up(30.0, thickness_mm))


@pytest.mark.parametrize(("pitch", "diameter"), [(0.0, 1.6), (-3.0, 1.6), (30.0, -0.1)])
def test_what_cannot_be_twisted_is_refused(pitch: float, diameter: float) -> None:
    with pytest.raises(ValueError, match="positive pitch"):
        take_up(pitch, diameter)
