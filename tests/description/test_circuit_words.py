"""The words that the sensing circuits and the checks are described with: each mistake at its place, old files valid."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion.description import DescriptionError
from conversion.description.limit_forms import LimitsForm
from tests.rules.patching import patched_plan

PEDAL = "K1: accepts.pedal"
REST = "{when: key on, at_most: 4 %, within: 200 ms}"

FAULTS: dict[str, tuple[list[str], str, str]] = {
    "a time that is a voltage": ([f"{PEDAL}.range_within = 5 V"], "accepts.pedal.range_within", "a time is needed"),
    "a time of nothing": ([f"{PEDAL}.range_within = 0 ms"], "accepts.pedal.range_within", "must be above 0"),
    "a check at rest without its limit": (
        [f"{PEDAL}.rest_check = {{when: key on, within: 200 ms}}"],
        "accepts.pedal.rest_check",
        "'at_most' is missing",
    ),
    "a moment that is none": (
        [f"{PEDAL}.rest_check = {{when: key-on, at_most: 4 %, within: 200 ms}}"],
        "accepts.pedal.rest_check.when",
        "did you mean 'key on'?",
    ),
    "an idle contact that no terminal reads": (
        [f"{PEDAL}.rest_check = {{when: idle contact, at_most: 4 %, within: 200 ms}}"],
        "accepts.pedal.rest_check.when",
        "no terminal of this control unit has the role 'pedal.idle.signal'",
    ),
    "an idle contact for the plate": (
        ["K1: accepts.throttle.rest_check = {when: idle contact, at_most: 4 %, within: 200 ms}"],
        "accepts.throttle.rest_check.when",
        "write 'key on'",
    ),
    "more than all": (
        [f"{PEDAL}.brake_override = {{above: 120 %, within: 1 s}}"],
        "accepts.pedal.brake_override.above",
        "rises above 100",
    ),
    "a brake that no terminal reads": (
        [
            f"{PEDAL}.brake_override = {{above: 20 %, within: 1 s}}",
            "K1: housings.A.cavities.10 = empty",
            "K1: housings.A.cavities.11 = empty",
        ],
        "accepts.pedal.brake_override",
        "no terminal with the role 'brake.make' or 'brake.break'",
    ),
    "a clamp that is none": (
        [f"{PEDAL}.tracks.a.clamp = to battery"],
        "accepts.pedal.tracks.a.clamp",
        "choose protected or to supply",
    ),
    "a supply without resistance": (
        ["K1: supplies.one.source_resistance = 0 ohm"],
        "supplies.one.source_resistance",
        "must be above 0.0 ohm",
    ),
    "a contact in millivolts": (
        ["conversion: loom.contact_resistance = 5 mV"],
        "loom.contact_resistance",
        "a resistance is needed",
    ),
    "wires hotter than any": (["conversion: loom.temperature = 400 °C"], "loom.temperature", "rises above 250"),
    "a limit that is a figure of volts": (
        ["conversion: limits = {unnoticed_rise: 1 V}"],
        "limits.unnoticed_rise",
        "a share in % is needed",
    ),
    "a limit nearly right": (
        ["conversion: limits = {unnoticed_rise_at_idle: 5 %}"],
        "limits",
        "did you mean 'unnoticed_rise_at_rest'?",
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_told_at_its_place(fault: str, tmp_path: Path) -> None:
    patch, path, says = FAULTS[fault]
    with pytest.raises(DescriptionError) as raised:
        patched_plan(tmp_path, patch)
    told = [complaint for complaint in raised.value.complaints if says in complaint.message]
    assert told, str(raised.value)
    assert told[0].path == path and told[0].place.line > 1 and told[0].place.column >= 1


def test_every_word_is_read(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path,
        [
            f"{PEDAL}.range_within = 60 ms",
            f"{PEDAL}.rest_check = {REST}",
            f"{PEDAL}.brake_override = {{above: 20 %, within: 1 s}}",
            f"{PEDAL}.tracks.a.clamp = to supply",
            "K1: supplies.one.source_resistance = 0.2 ohm",
            "conversion: loom.contact_resistance = 5 mohm",
            "conversion: loom.temperature = -20 °C",
            "conversion: limits = {unnoticed_rise: 8 %}",
        ],
    )
    unit = plan.description.control_unit
    assert unit is not None and unit[1].accepts.pedal is not None
    pedal = unit[1].accepts.pedal
    assert pedal.range_within is not None and pedal.range_within.nominal == pytest.approx(0.06)
    assert pedal.rest_check is not None and pedal.rest_check.at_most.nominal == pytest.approx(0.04)  # type: ignore[union-attr]
    assert pedal.brake_override is not None and pedal.brake_override.above.nominal == pytest.approx(0.2)  # type: ignore[union-attr]
    assert [track.clamp for track in pedal.tracks.values()] == ["to supply", "protected"]
    loom, limits = plan.description.conversion.loom, plan.description.conversion.limits
    assert loom is not None and loom.temperature is not None and loom.temperature.nominal == -20.0
    assert limits is not None and (limits.rise, limits.rise_at_rest) == (pytest.approx(0.08), 0.05)


def test_limits_that_are_left_out_or_unknown_have_their_default(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: limits = {unnoticed_rise: unknown}"])
    said = plan.description.conversion.limits
    assert said is not None and said == LimitsForm() and (said.rise, said.rise_at_rest) == (0.10, 0.05)
