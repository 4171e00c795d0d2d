"""The checklist by stages: boxes, cautions and hold points as the document prints them."""

from __future__ import annotations

from collections.abc import Sequence

from conversion.checklist import Row, Step
from conversion.checklist import Stage as PlannedStage
from conversion.pack.blocks import Entry, Halt, Stage, StepLine
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.findings import finding_line

_BUILDER, _SECOND = "Builder", "Second person"


def checklist_section(stages: Sequence[PlannedStage]) -> Section:
    """The section: one block a stage."""
    lead = (
        "In working order. What this plan expects stands beside an empty box for what you measure. Do not go past a "
        "hold point before it is signed."
    )
    return Section("checklist", "Checklist", lead, tuple(_stage(stage) for stage in stages))


def checklist_data(stages: Sequence[PlannedStage]) -> DataTable:
    """Every step and every line of its table, with empty places for what is found."""
    head = ("stage", "number", "hold_point", "text", "what", "expected", "unit", "measured", "checked_by", "date")
    rows = []
    for stage in stages:
        for step in stage.steps:
            hold = "yes" if step.hold else ""
            if step.measured_unit is not None or not step.rows:
                unit = step.measured_unit or ""
                rows.append((stage.key, step.number, hold, step.text, "", step.expected or "", unit, "", "", ""))
            for row in step.rows:
                text = (step.text, row.what, row.expected or "", row.measured_unit, row.recorded)
                rows.append((stage.key, step.number, hold, *text, "", ""))
    return DataTable("checklist", head, tuple(rows))


def _stage(stage: PlannedStage) -> Stage:
    cautions = tuple(caution.text for caution in stage.cautions_at(stage.key))
    return Stage(stage.key, stage.title, cautions, tuple(_step(stage, step) for step in stage.steps))


def _step(stage: PlannedStage, step: Step) -> StepLine:
    box = None
    if step.measured_unit is not None:
        box = Entry("", step.expected or "", step.measured_unit)
    halt = None
    if step.hold is not None:
        signed_by = (_BUILDER, _SECOND) if step.hold.second_person else (_BUILDER,)
        halt = Halt(step.hold.title, tuple(finding_line(found) for found in step.hold.findings), signed_by)
    return StepLine(
        step.number,
        step.text if step.sheet is None else f"{step.text} The lines are in the section '{step.sheet.title}'.",
        ", ".join(step.tools),
        tuple(caution.text for caution in stage.cautions_at(step.number)),
        box,
        tuple(_entry(row) for row in step.rows) if step.sheet is None else (),
        halt,
    )


def _entry(row: Row) -> Entry:
    recorded = f"{row.recorded}, {row.verdict}" if row.recorded != row.verdict else row.recorded
    return Entry(row.what, row.expected or "", row.measured_unit, recorded)
