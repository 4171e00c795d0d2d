"""How dangerous it is that two conductors are joined, or that one is not where it belongs."""

from __future__ import annotations

from conversion.bench.wired.nets import Net

JOINED = ("battery on sensor", "motor", "short circuit", "signals", "sensor", "sensor on body", "other", "grounds")
"""What may be joined that must not be, worst first.

A feed, or a load that hangs on one, on a conductor of a sensor; anything on a lead of the throttle's motor; a feed on
a return; two outputs of sensors; any other two conductors of sensors; a conductor of a sensor on the body; any other
two; two returns.
"""

_SENSOR = frozenset({"sensor supply", "sensor ground", "sensor signal", "contact", "screen"})
_HOT = frozenset({"feed", "source", "switch", "lamp", "relay"})
_RETURN = frozenset({"ground"})
_VITAL_GROUPS = frozenset({*_SENSOR - {"screen"}, "motor", "feed", "source", "ground"})


def danger_of_joining(one: Net, other: Net) -> str:
    """The word of :data:`JOINED` for two nets that have become one."""
    groups = one.groups, other.groups

    def are(first: frozenset[str], second: frozenset[str]) -> bool:
        return bool((groups[0] & first and groups[1] & second) or (groups[1] & first and groups[0] & second))

    motor = frozenset({"motor"})
    if are(_SENSOR, _HOT | motor):
        return "battery on sensor"
    if groups[0] & motor or groups[1] & motor:
        return "motor"
    if are(_HOT, _RETURN):
        return "short circuit"
    if are(frozenset({"sensor signal"}), frozenset({"sensor signal"})):
        return "signals"
    if are(_SENSOR, _SENSOR):
        return "sensor"
    if are(_SENSOR, _RETURN):
        return "sensor on body"
    return "grounds" if groups[0] | groups[1] == _RETURN else "other"


def is_vital(net: Net) -> bool:
    """Whether pedal, throttle, brake or power depends on a net; lamp, relay, clutch and the builder's own do not."""
    return bool(net.groups & _VITAL_GROUPS) or any(role.startswith("brake.") for role in net.roles)
