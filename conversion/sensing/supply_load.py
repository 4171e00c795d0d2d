"""What the tracks draw from the control unit's sensor supplies."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.description import Description, Missing
from conversion.description.parts import PullForm, Track
from conversion.quantities import Quantity
from conversion.sensing.gather import Sensor, sensor_input

_NO_LOAD = "what the supply has to give cannot be added up"


@dataclass(frozen=True, slots=True)
class SupplyLoad:
    """One sensor supply with the tracks that it feeds.

    Attributes:
        name: Of the supply, as the control unit's part calls it.
        draws_a: Device and track -> greatest current that it draws. [A]
        missing: What is not known of tracks that are left out of ``draws_a``.
        limit_a: Least current that the supply can surely give; None where it is not known. [A]
    """

    name: str
    draws_a: dict[tuple[str, str], float]
    missing: tuple[Missing, ...]
    limit_a: float | None

    @property
    def total_a(self) -> float:
        """Greatest current of all tracks together. [A]"""
        return sum(self.draws_a.values())


def supply_loads(description: Description) -> tuple[SupplyLoad, ...]:
    """Each sensor supply of the control unit with what hangs on it, in the order written."""
    unit = description.control_unit
    if unit is None:
        return ()
    loads = []
    for name, supply in unit[1].supplies.items():
        draws: dict[tuple[str, str], float] = {}
        missing: list[Missing] = []
        for sensor, reference, track in _fed(description, supply.roles):
            try:
                draws[reference, track] = track_current_a(description, sensor, track)
            except Missing as figure:
                missing.append(figure)
        loads.append(SupplyLoad(name, draws, tuple(missing), supply.limit.low if supply.limit else None))
    return tuple(loads)


def track_current_a(description: Description, sensor: Sensor, track: str) -> float:
    r"""Greatest current that one track draws from its supply, over all tolerances.

    .. math:: I = V (1 / R_{track} + \sum 1 / R_{pull})

    for a potentiometer; a Hall or inductive track draws what its papers say, and its pull resistors on top.

    Args:
        description: The parts.
        sensor: ``pedal`` or ``throttle``.
        track: Its name.

    Returns:
        The current. [A]

    Raises:
        Missing: A figure is not known, or no supply feeds the track.
    """
    holder = description.pedal_module if sensor == "pedal" else description.throttle_body
    assert holder is not None, "asked only of a sensor that is there"
    reference, part = holder
    form = part.tracks[track]  # type: ignore[index]
    supply = supply_of(description, sensor, track)
    accepts = sensor_input(description, sensor)
    pulls = [form.pull, accepts.tracks[track].pull if accepts and track in accepts.tracks else None]
    by_pulls = sum(
        supply.high / pull.resistance.low for pull in pulls if isinstance(pull, PullForm) and pull.resistance
    )
    return _own_current_a(description, reference, track, form, supply.high) + by_pulls


def supply_of(description: Description, sensor: Sensor, track: str) -> Quantity:
    """Voltage of the supply that feeds a track.

    Raises:
        Missing: No supply feeds it, or its voltage is not known.
    """
    role = f"{sensor}.{track}.supply"
    unit = description.control_unit
    assert unit is not None, "asked only where there is a control unit"
    for name, supply in unit[1].supplies.items():
        if role in supply.roles:
            return description.part_need(supply.voltage, _NO_LOAD, unit[0], "supplies", name, "voltage")
    place = description.part_place(unit[0], "supplies")
    raise Missing(f"{unit[0]}: supplies", place, f"no supply of {unit[0]} feeds '{role}', so {_NO_LOAD}")


def _own_current_a(description: Description, reference: str, name: str, form: Track, supply_v: float) -> float:
    path = ("tracks", name)
    if form.principle == "potentiometer":
        return supply_v / description.part_need(form.resistance, _NO_LOAD, reference, *path, "resistance").low
    return description.part_need(form.supply_current, _NO_LOAD, reference, *path, "supply_current").high


def _fed(description: Description, roles: list[str]) -> list[tuple[Sensor, str, str]]:
    """Sensor, device and name of every described track that one of the roles feeds."""
    holders: list[tuple[Sensor, str, dict[str, Track]]] = []
    for sensor, holder in (("pedal", description.pedal_module), ("throttle", description.throttle_body)):
        if holder is not None:
            holders.append((sensor, holder[0], dict(holder[1].tracks)))  # type: ignore[arg-type]
    return [
        (sensor, reference, track)
        for sensor, reference, tracks in holders
        for track in tracks
        if f"{sensor}.{track}.supply" in roles
    ]
