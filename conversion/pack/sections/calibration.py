"""The sheet from which a programmable control unit is set up."""

from __future__ import annotations

from conversion.checklist import CalibrationRow, calibration_sheet
from conversion.pack.blocks import Cell, Column, Group, Table
from conversion.pack.document import DataTable, Section
from conversion.plan import Plan


def calibration_section(plan: Plan) -> Section:
    """The section."""
    sheet = calibration_sheet(plan)
    columns = (Column("Setting", 4.2), Column("By this plan", 3.2), Column("From", 1.2), Column("Typed in", 1.6))
    groups = tuple(
        Group(
            group.title,
            tuple(
                (
                    Cell(row.what),
                    Cell(row.value, strong=True),
                    Cell(small=row.origin),
                    Cell(fill="value", unit=row.unit),
                )
                for row in group.rows
            ),
        )
        for group in sheet.groups
    )
    return Section("calibration", sheet.title, sheet.text, (Table(columns, groups),))


def _setting(row: CalibrationRow) -> tuple[Cell, ...]:
    return (
        Cell(row.what),
        Cell(row.value, strong=True),
        Cell(small=row.origin),
        Cell(fill="value", unit=row.unit),
    )


def calibration_data(plan: Plan) -> DataTable:
    """Every setting, with an empty place for what was typed in."""
    head = ("sensor", "setting", "value", "origin", "unit", "typed_in")
    rows = tuple(
        (group.title, row.what, row.value, row.origin, row.unit, "")
        for group in calibration_sheet(plan).groups
        for row in group.rows
    )
    return DataTable("calibration", head, rows)
