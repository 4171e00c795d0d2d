"""The sheets of the pedal module and of the throttle body: what moves, its tracks, the wires and the inputs."""

from __future__ import annotations

from collections import defaultdict
from math import isfinite

from conversion.description import Missing, Terminal
from conversion.description.parts import SensingPart
from conversion.description.roles import TRACKS
from conversion.drawings.circuit_inputs import draw_inputs
from conversion.drawings.circuit_inside import draw_inside
from conversion.drawings.circuit_places import RIGHT_EDGE, SENSOR_EDGE, UNIT_EDGE, Places, blocks_of, place
from conversion.drawings.circuit_rows import Conductors, Row
from conversion.drawings.circuit_sheet import SMALL_MM, TEXT_MM, Sheet
from conversion.drawings.circuit_symbols import resistor
from conversion.drawings.circuit_words import NOT_KNOWN, band_words, wire_words
from conversion.drawings.drawing import Drawing
from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.labels import wrapped
from conversion.drawings.svg import Anchor
from conversion.plan import Plan
from conversion.quantities import Quantity, show
from conversion.sensing import Sensor
from conversion.wiring import Wire

_LABEL_AT = 127.0
_VOLTS_END = UNIT_EDGE - 3.0
_SPLICE_AT = 106.5
_SERIES_FROM, _SERIES_TO = 97.0, 104.0
_ENDS = {"pedal": ("rest", "full"), "throttle": ("closed", "open")}
_TITLES = {"pedal": "Circuit of the pedal position", "throttle": "Circuit of the throttle body"}


def sensor_sheet(plan: Plan, sensor: Sensor) -> tuple[Drawing, set[str]] | None:
    """The sheet of one position sensor and the tags of the wires on it; None where no such device is described."""
    description = plan.description
    holder = description.pedal_module if sensor == "pedal" else description.throttle_body
    if holder is None:
        return None
    reference, part = holder
    unit = description.control_unit[0] if description.control_unit else None
    blocks = blocks_of(plan, sensor, reference, part, unit)
    conductors = Conductors(plan, reference, unit, (role for block in blocks for role in block.roles))
    places = place(blocks, conductors)
    sheet = Sheet()
    _draw_wires(sheet, plan, sensor, part, places)
    draw_inside(sheet, plan, reference, part, places)
    _outline(sheet, plan, reference, 3.0, SENSOR_EDGE, places.bottom)
    if unit is not None:
        draw_inputs(sheet, plan, sensor, places)
        _outline(sheet, plan, unit, UNIT_EDGE, RIGHT_EDGE, places.bottom)
    tags = {wire.tag for row, _ in places.rows for wire in row.wires}
    drawing = sheet.finish(
        f"circuit-{sensor}", f"{_TITLES[sensor]}, {reference}", _caption(plan, sensor), places.bottom + 3.0
    )
    return drawing, tags


def _caption(plan: Plan, sensor: Sensor) -> str:
    when = "with the pedal at rest and at full" if sensor == "pedal" else "with the plate closed and open"
    words = (
        f"Volts stand at the control unit's terminals, {when}: nominal, in brackets the least and greatest of all "
        "tolerances; wires count as without resistance."
    )
    try:
        gathered = plan.pedal_tracks if sensor == "pedal" else plan.throttle_tracks
    except Missing as missing:
        return f"{words} {missing}."
    return " ".join([words, *(taken for track in gathered.values() for taken in track.taken)])


def _outline(sheet: Sheet, plan: Plan, reference: str, left: float, right: float, bottom: float) -> None:
    """A device's outline with its reference, title and place at the top."""
    part, device = plan.description.parts[reference], plan.description.conversion.devices[reference]
    sheet.frame(left, 3.0, right, bottom)
    sheet.text((left + 2.0, 7.0), reference, size_mm=3.0, bold=True)
    room = right - left - 3.0
    lines = wrapped(part.title, SMALL_MM, room, 2)
    sheet.texts((left + 2.0, 10.4), [*lines, *wrapped(device.place, SMALL_MM, room, 4 - len(lines))])


def _draw_wires(sheet: Sheet, plan: Plan, sensor: Sensor, part: SensingPart, places: Places) -> None:
    splices: dict[str, list[float]] = defaultdict(list)
    columns: dict[str, float] = {}
    for row, _ in places.rows:
        if row.splice is not None:
            columns.setdefault(row.splice, _SPLICE_AT + 2.2 * (len(columns) % 3))
    series = _series(sensor, part)
    for row, height in places.rows:
        at = columns.get(row.splice or "", _SPLICE_AT)
        _draw_row(sheet, row, height, at, places)
        if row.role in series and (row.whole or row.near):
            resistor(sheet, (_SERIES_FROM, height), (_SERIES_TO, height))
            # Before a splice the wire's own words stand below.
            words_at = (_SERIES_TO + 3.3, height - 2.2 if row.near else height + 3.6)
            sheet.text(words_at, show(series[row.role].nominal, "resistance"), anchor="end")
        if row.splice is not None:
            splices[row.splice].append(height)
        if row.whole or row.far:
            for number, words in enumerate(_volts(plan, sensor, row.role)):
                sheet.text((_VOLTS_END, height + 3.1 + 3.0 * number), words, anchor="end")
    for name, heights in splices.items():
        x = columns[name]
        sheet.line((x, min(heights)), (x, max(heights)))
        for height in heights:
            sheet.dot((x, height))
        # Right of the splice stand the words of its wire, so a long name goes to the left.
        long = x + text_width_mm(name, TEXT_MM, True) > _SPLICE_AT + 4.8
        anchor: Anchor = "end" if long else "start"
        name_at = (x - 1.0 if long else x + 1.0, min(heights) - 1.2)
        sheet.text(name_at, name, size_mm=TEXT_MM, anchor=anchor, bold=True, room_mm=10.0)
    for homes, edge in ((places.left, SENSOR_EDGE), (places.right, UNIT_EDGE)):
        for terminal, height in homes.items():
            sheet.terminal((edge, height))
            sheet.text((edge + 1.6, height - 1.2), terminal.name, room_mm=8.8)


def _draw_row(sheet: Sheet, row: Row, height: float, splice_at: float, places: Places) -> None:
    left = _turn(sheet, row.left, places.left, height, SENSOR_EDGE, 2.0)
    right = _turn(sheet, row.right, places.right, height, UNIT_EDGE, -2.0)
    if row.whole:
        sheet.line((left, height), (right, height))
        _label(sheet, row.whole, height)
    if row.near:
        sheet.line((left, height), (splice_at, height))
        sheet.text((SENSOR_EDGE + 1.6, height + 3.3), row.near.tag, size_mm=TEXT_MM, bold=True)
        sheet.text((SENSOR_EDGE + 1.6, height + 6.3), wire_words(row.near))
    if row.far:
        sheet.line((splice_at, height), (right, height))
        _label(sheet, row.far, height)
    if not row.wires and row.left:
        sheet.text((SENSOR_EDGE + 12.0, height + 0.8), "no wire")
    if not row.wires and row.right:
        sheet.text((UNIT_EDGE - 2.0, height + 0.8), "no wire", anchor="end")


def _turn(
    sheet: Sheet, end: Terminal | None, homes: dict[Terminal, float], height: float, edge: float, inward: float
) -> float:
    """Where a line meets its device: a second wire of a terminal turns off just before the terminal's own line."""
    if end is None or homes[end] == height:
        return edge
    x = edge + inward
    sheet.line((x, height), (x, homes[end]))
    sheet.dot((x, homes[end]))
    return x


def _label(sheet: Sheet, wire: Wire, height: float) -> None:
    words = wire_words(wire)
    tag_mm, words_mm = text_width_mm(wire.tag, TEXT_MM, True) + 1.2, text_width_mm(words, SMALL_MM)
    start = min(_LABEL_AT, UNIT_EDGE - 1.5 - (tag_mm + words_mm) / 2) - (tag_mm + words_mm) / 2
    sheet.text((start, height - 1.2), wire.tag, size_mm=TEXT_MM, bold=True)
    sheet.text((start + tag_mm, height - 1.2), words)


def _series(sensor: Sensor, part: SensingPart) -> dict[str, Quantity]:
    return {
        f"{sensor}.{name}.signal": track.series
        for name, track in part.tracks.items()
        if track.series is not None and track.series.nominal > 0.0
    }


def _volts(plan: Plan, sensor: Sensor, role: str) -> list[str]:
    """The volts of a node, line by line; nothing for what carries none."""
    _, track, *kind = role.split(".")
    if track not in TRACKS:
        return []
    if kind == ["ground"]:
        return [show(0.0, "voltage")]
    if kind == ["supply"]:
        supply = _supply(plan, role)
        return [band_words(supply.nominal, *supply.limits, "voltage") if supply else f"volts {NOT_KNOWN}"]
    try:
        swept = (plan.pedal if sensor == "pedal" else plan.throttle).tracks
    except Missing:
        return [f"volts {NOT_KNOWN}"]
    if track not in swept:
        return []
    words = []
    for word, index in zip(_ENDS[sensor], (0, -1), strict=True):
        ends = (swept[track].volts, swept[track].volts_min, swept[track].volts_max)
        nominal, low, high = (float(values[index]) for values in ends)
        words.append(f"{word} {band_words(nominal, low, high, 'voltage') if isfinite(nominal) else NOT_KNOWN}")
    return words


def _supply(plan: Plan, role: str) -> Quantity | None:
    """The voltage of the control unit's supply that feeds a role."""
    unit = plan.description.control_unit
    supplies = unit[1].supplies.values() if unit else ()
    return next((supply.voltage for supply in supplies if role in supply.roles), None)
