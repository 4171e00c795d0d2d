"""Where the lines of a sensor's sheet run: blocks of rows below one another, and each terminal's own row."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.description import Terminal
from conversion.description.parts import PedalModule, SensingPart
from conversion.description.roles import TRACKS
from conversion.drawings.circuit_rows import Conductors, Row, terminal_of
from conversion.drawings.circuit_sheet import MOST_HEIGHT_MM
from conversion.plan import Plan
from conversion.sensing import Sensor

FIRST_ROW_MM = 25.0
"""Height of the first line: the devices' titles stand above it. [mm]"""

LEAST_HEIGHT_MM = 64.0
"""Room for what moves the tracks, which is drawn beside them. [mm]"""

SENSOR_EDGE = 85.0
"""Where the sensor's outline ends and its terminals sit. [mm]"""

UNIT_EDGE = 142.0
"""Where the control unit's outline begins and its terminals sit. [mm]"""

RIGHT_EDGE = 178.0
"""Where the control unit's outline ends. [mm]"""

_PITCH_MM = 13.0
_GAP_MM = 6.0


@dataclass(frozen=True, slots=True)
class Block:
    """Lines that belong together.

    Attributes:
        kind: ``track``, ``motor``, ``contact`` or ``screen``.
        name: Of the track or contact; the kind's word for others.
        roles: Its lines, from top to bottom.
    """

    kind: str
    name: str
    roles: tuple[str, ...]


@dataclass(frozen=True)
class Places:
    """Heights on the sheet. [mm]

    Attributes:
        blocks: In the order drawn.
        rows: Every line with its height.
        lead: Height at which a role's lead leaves the sensor's symbol.
        own_row: Roles that have a line of their own, and do not share another role's terminal.
        left: The height at which a terminal of the sensor sits.
        right: The height at which a terminal of the control unit sits.
        bottom: Lower edge of both devices.
    """

    blocks: tuple[Block, ...]
    rows: tuple[tuple[Row, float], ...]
    lead: dict[str, float]
    own_row: frozenset[str]
    left: dict[Terminal, float]
    right: dict[Terminal, float]
    bottom: float


def blocks_of(plan: Plan, sensor: Sensor, reference: str, part: SensingPart, unit: str | None) -> tuple[Block, ...]:
    """The blocks of a sensor: motor, tracks, contacts, screen; also a track that only the control unit knows."""

    def borne(*roles: str) -> bool:
        return any(terminal_of(plan.description, device, role) for device in (reference, unit) for role in roles)

    blocks = []
    motor = ("throttle.motor.plus", "throttle.motor.minus")
    if sensor == "throttle":
        blocks.append(Block("motor", "motor", motor))
    for track in TRACKS:
        roles = (f"{sensor}.{track}.supply", f"{sensor}.{track}.signal", f"{sensor}.{track}.ground")
        if track in part.tracks or borne(*roles):
            blocks.append(Block("track", track, roles))
    if isinstance(part, PedalModule):
        for name, form in (("idle", part.idle_contact), ("kickdown", part.kickdown_contact)):
            both = (f"pedal.{name}.signal", f"pedal.{name}.ground")
            if form is not None or borne(*both):
                blocks.append(Block("contact", name, both))
    if terminal_of(plan.description, reference, "screen"):
        blocks.append(Block("screen", "screen", ("screen",)))
    return tuple(blocks)


def place(blocks: tuple[Block, ...], conductors: Conductors) -> Places:
    """Heights for all lines of the blocks, closer together where there are many."""
    lines = sum(max(1, len(conductors.rows[role])) for block in blocks for role in block.roles)
    gaps = _GAP_MM * (len(blocks) - 1)
    pitch = min(_PITCH_MM, (MOST_HEIGHT_MM - FIRST_ROW_MM - gaps - 6.0) / max(lines, 1))
    rows: list[tuple[Row, float]] = []
    lead: dict[str, float] = {}
    left: dict[Terminal, float] = {}
    right: dict[Terminal, float] = {}
    height = FIRST_ROW_MM
    for block in blocks:
        for role in block.roles:
            lead[role] = height
            for row in conductors.rows[role]:
                rows.append((row, height))
                for end, homes in ((row.left, left), (row.right, right)):
                    if end is not None:
                        homes.setdefault(end, height)
                height += pitch
            if not conductors.rows[role]:
                height += pitch
        height += _GAP_MM
    return Places(
        blocks=blocks,
        rows=tuple(rows),
        lead=lead,
        own_row=frozenset(role for role, found in conductors.rows.items() if found),
        left=left,
        right=right,
        bottom=max(height - _GAP_MM - pitch + 8.0, LEAST_HEIGHT_MM),
    )
