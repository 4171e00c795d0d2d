"""Which conductors run between a sensor and the control unit, role by role, through splices where there are some."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import zip_longest

from conversion.description import Description, Terminal
from conversion.plan import Plan
from conversion.wiring import End, SplicePoint, Wire, Wiring


@dataclass(frozen=True, slots=True)
class Row:
    """One line across the sheet: a wire, the two wires that meet at a splice, or terminals without a wire.

    Attributes:
        role: What it is for.
        left: Terminal at the sensor; None where the line only begins at a splice.
        right: Terminal at the control unit; None where the line ends at a splice.
        whole: The wire that joins both; None where there is a splice, or nothing.
        splice: Name of the splice on the line.
        near: The wire from the sensor to the splice.
        far: The wire from the splice to the control unit.
    """

    role: str
    left: Terminal | None = None
    right: Terminal | None = None
    whole: Wire | None = None
    splice: str | None = None
    near: Wire | None = None
    far: Wire | None = None

    @property
    def wires(self) -> tuple[Wire, ...]:
        """The wires drawn on this line, left to right."""
        return tuple(wire for wire in (self.whole, self.near, self.far) if wire is not None)


class Conductors:
    """The lines between two devices, each wire on one line only.

    Attributes:
        rows: Lines of each role, in the order in which the roles were given; a role whose terminals have a line
            already, since they serve another role as well, has none.
    """

    def __init__(self, plan: Plan, sensor: str, unit: str | None, roles: Iterable[str]) -> None:
        self._description = plan.description
        self._sensor, self._unit = sensor, unit
        self._placed: set[Terminal] = set()
        self._drawn: set[str] = set()
        self.rows: dict[str, tuple[Row, ...]] = {}
        for role in roles:
            found = [*self._wired(plan.wiring, role), *self._bare(role)]
            self.rows[role] = tuple(found)

    def terminal_of(self, device: str | None, role: str) -> Terminal | None:
        """The terminal of a device that bears a role."""
        return terminal_of(self._description, device, role)

    def _wired(self, wiring: Wiring, role: str) -> list[Row]:
        rows = []
        near: dict[str, list[Wire]] = defaultdict(list)
        far: dict[str, list[Wire]] = defaultdict(list)
        for wire in wiring.of_role(role):
            left, right = self._end(wire, self._sensor), self._end(wire, self._unit)
            splice = next((end.name for end in (wire.start, wire.end) if isinstance(end, SplicePoint)), None)
            if wire.tag in self._drawn:
                continue
            if left and right:
                rows.append(self._kept(Row(role, left, right, whole=wire)))
            elif splice and left:
                near[splice].append(wire)
            elif splice and right:
                far[splice].append(wire)
        for splice in dict.fromkeys((*near, *far)):
            for one, other in zip_longest(near[splice], far[splice]):
                left = self._end(one, self._sensor) if one else None
                right = self._end(other, self._unit) if other else None
                rows.append(self._kept(Row(role, left, right, splice=splice, near=one, far=other)))
        return rows

    def _bare(self, role: str) -> list[Row]:
        """Terminals that bear the role and are on no line yet."""
        left, right = (
            terminal if terminal not in self._placed else None
            for terminal in (self.terminal_of(self._sensor, role), self.terminal_of(self._unit, role))
        )
        return [self._kept(Row(role, left, right))] if left or right else []

    def _kept(self, row: Row) -> Row:
        self._placed.update(end for end in (row.left, row.right) if end is not None)
        self._drawn.update(wire.tag for wire in row.wires)
        return row

    @staticmethod
    def _end(wire: Wire, device: str | None) -> Terminal | None:
        return next((end for end in (wire.start, wire.end) if _is_on(end, device)), None)  # type: ignore[return-value]


def terminal_of(description: Description, device: str | None, role: str) -> Terminal | None:
    """The terminal of a device that bears a role; None without one."""
    places = description.parts[device].places_of(role) if device else []
    return description.terminal(device, *places[0]) if device and places else None


def _is_on(end: End, device: str | None) -> bool:
    return isinstance(end, Terminal) and end.device == device
