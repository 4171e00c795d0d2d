"""Colours and sizes that a wire gets where the description says nothing.

Common practice, no source: they are a start that the builder overrides, not a result. A size of habit stays only where
what the wire carries, or its way, is not known.
"""

from __future__ import annotations

from conversion.description.roles import group_of

_SIZE_MM2 = {
    "sensor supply": 0.5, "sensor ground": 0.5, "sensor signal": 0.5, "contact": 0.5, "motor": 1.5,
    "switch": 0.75, "lamp": 0.75, "relay": 0.75, "feed": 1.0, "ground": 1.5, "screen": 0.5, "other": 0.75,
}  # fmt: skip

_COLOUR = {
    "sensor supply": "RD", "sensor ground": "BN", "sensor signal": "GN", "contact": "GY", "switch": "VT",
    "lamp": "PK", "relay": "TQ", "ground": "BK", "screen": "BK", "other": "WH",
}  # fmt: skip
_BY_ROLE = {
    "throttle.motor.plus": "BU", "throttle.motor.minus": "BUWH", "brake.make": "VT", "brake.break": "VTWH",
    "clutch.signal": "VTYE", "feed.30": "OG", "feed.15": "OGYE", "feed.87": "OGBU", "feed.in": "OGRD",
    "feed.coil": "OGGN",
}  # fmt: skip
# The sensor tells pedal from throttle, the second colour tells the tracks apart.
_TRACK_STRIPE = {
    ("pedal", "a"): "", ("pedal", "b"): "WH", ("pedal", "c"): "BK",
    ("throttle", "a"): "YE", ("throttle", "b"): "GY", ("throttle", "c"): "VT",
}  # fmt: skip

# Building order: the tracks first, since everything else keeps away from them.
ORDER = (
    "sensor supply", "sensor ground", "sensor signal", "screen", "contact", "motor", "switch", "lamp",
    "relay", "feed", "ground", "other",
)  # fmt: skip


def default_size_mm2(role: str) -> float:
    """Conductor cross-section by the group of the role. [mm²]"""
    return _SIZE_MM2[group_of(role)]


def default_colour(role: str) -> str:
    """Colour by role, in codes of IEC 60757; the two tracks of a sensor never look alike."""
    if role in _BY_ROLE:
        return _BY_ROLE[role]
    colour = _COLOUR[group_of(role)]
    words = role.split(".")
    if len(words) == 3 and (words[0], words[1]) in _TRACK_STRIPE:
        return colour + _TRACK_STRIPE[words[0], words[1]]
    return colour
