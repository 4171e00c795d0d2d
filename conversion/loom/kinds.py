"""What kind of wire a wire is, for what closes a run to it."""

from __future__ import annotations

from conversion.description.roles import group_of
from conversion.description.run_forms import WireKind
from conversion.wiring import Wire

_KINDS: dict[str, WireKind] = {
    "sensor supply": "sensors", "sensor ground": "sensors", "sensor signal": "sensors", "screen": "sensors",
    "motor": "motor", "feed": "feeds", "source": "feeds", "ground": "grounds",
}  # fmt: skip


def kind_of(wire: Wire) -> WireKind:
    """The kind of a wire, by its first role; a wire that serves a sensor as well counts as the sensor's.

    Example:
        >>> from conversion import resources
        >>> from conversion.wiring import derive_wires
        >>> from conversion.description import read_description
        >>> wires = derive_wires(read_description(resources.harnesses_dir() / "market-van")).wires
        >>> kind_of(wires[0])
        'sensors'
    """
    kinds = [_KINDS.get(group_of(role), "other") for role in wire.roles]
    return "sensors" if "sensors" in kinds else kinds[0]
