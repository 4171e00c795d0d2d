"""What the system drawing calls the function of a wire and a kind of device."""

from __future__ import annotations

from conversion.wiring import Wire

_FUNCTIONS = {
    "brake.make": "brake contacts", "brake.break": "brake contacts", "clutch.signal": "clutch contact",
    "lamp.drive": "warning lamp", "relay.drive": "relay coil", "feed.30": "permanent feed", "feed.15": "ignition feed",
    "feed.87": "relayed feed", "feed.in": "feed", "feed.coil": "coil feed", "ground.31": "ground", "screen": "screen",
    "other.additional": "additional",
}  # fmt: skip
_PARTS_OF_SENSORS = {"idle": "idle contact", "kickdown": "kick-down contact", "motor": "motor"}


def function_of(wire: Wire) -> str:
    """What a wire belongs to, without telling its conductors apart."""
    role = wire.roles[0]
    sensor, _, rest = role.partition(".")
    if sensor in ("pedal", "throttle"):
        part = rest.split(".")[0]
        if part in _PARTS_OF_SENSORS:
            return f"{sensor} {_PARTS_OF_SENSORS[part]}"
        tracks = sorted({each.split(".")[1] for each in wire.roles if each.startswith(f"{sensor}.")})
        return f"{sensor} track {tracks[0]}" if len(tracks) == 1 else f"{sensor} tracks {' + '.join(tracks)}"
    return _FUNCTIONS.get(role, "own connections")


def kind_words(kind: str) -> str:
    """A kind of device in words.

    Example:
        >>> kind_words("brake-switch"), kind_words("other")
        ('brake switch', 'other device')
    """
    return "other device" if kind == "other" else kind.replace("-", " ")
