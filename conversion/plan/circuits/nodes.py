"""Names of the nodes of a sensing circuit inside the devices, by what their terminals are for."""

from __future__ import annotations

from conversion.description import Description, Terminal
from conversion.description.parts import ControlUnit, SensingPart, Supply
from conversion.description.roles import group_of
from conversion.plan.circuits.parts import BATTERY, CHASSIS, GROUND


class Nodes:
    """Nodes inside the devices of one description."""

    def __init__(self, description: Description) -> None:
        self._description = description
        unit = description.control_unit
        self.unit = unit[0] if unit else ""
        self._part = unit[1] if unit else None
        shared = self._part is not None and self._part.motor_ground == "shared with sensors"
        self.sensor_ground = f"sensor ground of {self.unit}" if shared else GROUND
        """Where the sensors return to inside the control unit; its own node where the motor returns there too."""

    def supply(self, name: str) -> str:
        """Node of a sensor supply inside the control unit."""
        return f"supply {name} of {self.unit}"

    def supply_of(self, role: str) -> str | None:
        """Name of the sensor supply that a role is fed by."""
        supplies = self._part.supplies if self._part else {}
        return next((name for name, supply in supplies.items() if role in supply.roles), None)

    def terminal(self, device: str, role: str) -> Terminal | None:
        """The device's terminal for a role."""
        places = self._description.parts[device].places_of(role)
        return self._description.terminal(device, *places[0]) if places else None

    def inside(self, terminal: Terminal) -> str:
        """Node of a terminal inside its device."""
        part = self._description.parts[terminal.device]
        roles = part.housings[terminal.housing].cavities[terminal.cavity].roles
        own = f"{terminal.name} inside"
        if isinstance(part, ControlUnit):
            return next((node for role in roles if (node := self._in_unit(role))), own)
        if isinstance(part, SensingPart):
            return own
        for role in roles:
            group = group_of(role)
            if role == "ground.point" or (isinstance(part, Supply) and group == "ground"):
                return CHASSIS
            if group in ("feed", "source"):
                return BATTERY
        return own

    def end(self, device: str, role: str) -> str:
        """Node of a sensor's track for a role: its terminal's inner side, or one to which nothing leads."""
        terminal = self.terminal(device, role)
        return f"{device} {role}" if terminal is None else self.inside(terminal)

    def _in_unit(self, role: str) -> str | None:
        group = group_of(role)
        if group == "sensor ground":
            return self.sensor_ground
        if group == "ground":
            return GROUND
        if group == "sensor supply":
            name = self.supply_of(role)
            return self.supply(name) if name is not None else None
        return None
