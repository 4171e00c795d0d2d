"""A plan that lacks figures or devices: the step stays, and says which figure is missing."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion.checklist import (
    Stage,
    build_checklist,
    calibration_sheet,
    cover_cautions,
    evidence_table,
    failure_modes,
    not_checked,
    roadworthiness,
    sign_off,
)  # fmt: skip
from conversion.plan import Plan
from conversion.rules import find_all
from tests.rules.patching import patched_plan


def everything(plan: Plan) -> tuple[Stage, ...]:
    findings = find_all(plan)
    assert calibration_sheet(plan).groups or plan.description.control_unit is None
    assert failure_modes(plan) and evidence_table(plan) and roadworthiness(plan)
    stages = build_checklist(plan, findings)
    assert cover_cautions(plan, findings) and not_checked(plan) and sign_off(plan, findings, stages).holds
    return stages


def rows(stages: tuple[Stage, ...]) -> dict[str, str | None]:
    return {row.what: row.expected for stage in stages for step in stage.steps for row in step.rows}


def steps(stages: tuple[Stage, ...]) -> list[tuple[str, str | None]]:
    return [(step.text, step.expected) for stage in stages for step in stage.steps]


@pytest.mark.parametrize(
    ("line", "what", "missing"),
    [
        ("B1: tracks.a.resistance = unknown", "Track a, end to end: ", "B1: tracks.a.resistance"),
        ("B1: tracks.a.output.rest = unknown", "Pedal track a at ", "B1: tracks.a.output.rest"),
        ("B1: lever.swing = unknown", "Swing between the module's own stops", "B1: lever.swing"),
        ("M1: motor.resistance = unknown", "Motor, ", "M1: motor.resistance"),
        ("M1: unpowered.opening = unknown", "Opening of the plate", "M1: unpowered.opening"),
        ("K1: supplies.one.voltage = unknown", "Pedal track a at ", "K1: supplies.one.voltage"),
        ("K2: coil_resistance = unknown", "K2, coil ", "K2: coil_resistance"),
        ("F1: rating = unknown", "F1, ", "F1: rating"),
        ("conversion: springs.second.rest_moment = unknown", "All springs in, rod on", "springs.second.rest_moment"),
        ("conversion: springs.main.rate = unknown", "Spring main out, rod on", "springs.main.rate"),
        ("conversion: linkage.pedal.full_stop.load = unknown", "Full stop: holds at the pad",
         "linkage.pedal.full_stop.load"),
        ("conversion: linkage.pedal.pivot.1 = unknown", "What ends the travel", "linkage.pedal.pivot.1"),
        ("conversion: linkage.rod.set_at_rest = unknown", "Lever at the pedal's full stop", "linkage.rod.set_at_rest"),
        ("conversion: vehicle.supply = unknown", "G1: volts at its posts", "vehicle.supply"),
    ],
)  # fmt: skip
def test_a_missing_figure_is_named(tmp_path: Path, line: str, what: str, missing: str) -> None:
    stages = everything(patched_plan(tmp_path, [line]))
    begins = [text for name, text in rows(stages).items() if name.startswith(what)]
    assert f"cannot be said: {missing} is not known" in begins


def test_a_missing_length_of_a_run_leaves_the_wire_in_the_list(tmp_path: Path) -> None:
    stages = everything(patched_plan(tmp_path, ["conversion: loom.runs.controller-board.length = unknown"]))
    first = next(text for what, text in rows(stages).items() if what.startswith("W1, "))
    assert first is not None and first.startswith("cannot be said: the length of a run along")


def test_the_number_of_steps_does_not_fall_when_a_figure_is_missing(tmp_path: Path) -> None:
    whole = everything(patched_plan(tmp_path / "whole", []))
    lines = ["conversion: linkage.rod.set_at_rest = unknown", "B1: tracks.a.output.rest = unknown"]
    lacking = everything(patched_plan(tmp_path / "lacking", lines))
    holds = {step.text for stage in lacking for step in stage.steps if step.hold}
    assert [text for text, _ in steps(whole)] == [
        text for text, _ in steps(lacking) if text not in holds or text in dict(steps(whole))
    ]


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (["conversion: linkage removed"], "linkage is not known"),
        (["conversion: springs removed"], "All springs in"),
        (["conversion: devices.K1 removed"], "no control unit is described"),
        (["conversion: devices.M1 removed"], "no throttle body is described"),
        (["conversion: devices.P1 removed"], "no warning lamp is described"),
        (["conversion: devices.S1 removed"], "no brake switch is wired to it"),
        (["conversion: linkage removed", "conversion: devices.B1 removed"], "no pedal module is described"),
    ],
)
def test_what_is_not_described_is_said(tmp_path: Path, lines: list[str], words: str) -> None:
    stages = everything(patched_plan(tmp_path, lines))
    texts = [part for stage in stages for step in stage.steps for part in (step.text, step.expected)]
    texts += [part for pair in rows(stages).items() for part in pair]
    assert any(words in (text or "") for text in texts)


def test_no_clutch_no_clutch_step(tmp_path: Path) -> None:
    with_clutch = everything(patched_plan(tmp_path / "with", []))
    unit = patched_plan(tmp_path / "base", []).description.control_unit
    assert unit is not None
    housing, cavity = unit[1].places_of("clutch.signal")[0]
    need = unit[1].needs.index("clutch-switch") + 1
    lines = [
        "conversion: devices.S2 removed",
        f"K1: housings.{housing}.cavities.{cavity} = {{unused: no clutch}}",
        f"K1: needs.{need} removed",
    ]
    without = everything(patched_plan(tmp_path / "without", lines))
    assert any("Clutch switch" in text for text, _ in steps(with_clutch))
    assert not any("Clutch switch" in text for text, _ in steps(without))
    assert not any(mode.key == "clutch-lost" for mode in failure_modes(patched_plan(tmp_path / "again", lines)))


def test_no_loom_leaves_every_wire_without_a_length(tmp_path: Path) -> None:
    base = patched_plan(tmp_path / "base", [])
    stations = [f"conversion: devices.{ref}.station removed" for ref in base.description.parts]
    plan = patched_plan(tmp_path / "bare", [*stations, "conversion: loom removed"])
    lengths = {
        what: text
        for what, text in rows(everything(plan)).items()
        if what.split(",")[0].startswith("W") and ":" in what
    }
    tags = {wire.tag for wire in plan.wiring.wires}
    said = [text for what, text in lengths.items() if what.split(",")[0] in tags]
    assert len(said) == len(tags) and set(said) == {"cannot be said: loom is not known"}
    assert any("no loom is described" in line for line in not_checked(plan))
