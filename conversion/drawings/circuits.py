"""The circuit drawings: one sheet a function, and every wire of the conversion on at least one of them."""

from __future__ import annotations

from conversion.drawings.circuit_feeds import feed_sheets, ground_sheets, other_sheets
from conversion.drawings.circuit_sensor import sensor_sheet
from conversion.drawings.circuit_switches import switch_sheets
from conversion.drawings.drawing import Drawing
from conversion.plan import Plan
from conversion.sensing import Sensor


def circuit_drawings(plan: Plan) -> list[Drawing]:
    """The circuits of a conversion, whatever of it is described.

    Sheets come in the order pedal position, throttle body, pedal switches, feeds, grounds, other connections; a
    function that is not described has none. A wire stands once on a sheet; a feed stands both where it comes from
    and at the switch that it serves.
    """
    sensors: tuple[Sensor, ...] = ("pedal", "throttle")
    drawings: list[Drawing] = []
    drawn: set[str] = set()
    for sensor in sensors:
        sheet = sensor_sheet(plan, sensor)
        if sheet is not None:
            drawings.append(sheet[0])
            drawn |= sheet[1]
    for sheets in (switch_sheets, feed_sheets, ground_sheets):
        found, tags = sheets(plan)
        drawings += found
        drawn |= tags
    return drawings + other_sheets(plan, drawn)
