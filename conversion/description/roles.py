"""What a terminal is for: the vocabulary from which the wires follow.

Two terminals of different devices that bear the same signal role are joined by a wire. ``feed.*`` terminals are
joined to the ``feed.out`` of the device named in their ``fed_from``; ``ground.31`` terminals to a ground point.
Terminal numbers 15, 30, 31 and 87 are those of DIN 72552.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from conversion.description.complaints import nearest

TRACKS = ("a", "b", "c")
SENSORS = ("pedal", "throttle")


@dataclass(frozen=True, slots=True)
class RoleMeaning:
    """One role word: what it means and how it is joined.

    Attributes:
        role: The word.
        meaning: One line for documents.
        group: ``sensor supply``, ``sensor ground``, ``sensor signal``, ``contact``, ``motor``, ``switch``,
            ``lamp``, ``relay``, ``feed``, ``source``, ``ground``, ``screen`` or ``other``.
    """

    role: str
    meaning: str
    group: str


def _sensor_roles() -> list[RoleMeaning]:
    words = []
    for sensor, plain in (("pedal", "pedal position"), ("throttle", "throttle position")):
        for track in TRACKS:
            words += [
                RoleMeaning(f"{sensor}.{track}.supply", f"supply of {plain} track {track}", "sensor supply"),
                RoleMeaning(f"{sensor}.{track}.ground", f"ground of {plain} track {track}", "sensor ground"),
                RoleMeaning(f"{sensor}.{track}.signal", f"output of {plain} track {track}", "sensor signal"),
            ]
    return words


ROLES: dict[str, RoleMeaning] = {
    meaning.role: meaning
    for meaning in (
        *_sensor_roles(),
        RoleMeaning("pedal.idle.signal", "idle-validation contact", "contact"),
        RoleMeaning("pedal.idle.ground", "return of the idle-validation contact", "contact"),
        RoleMeaning("pedal.kickdown.signal", "kick-down contact", "contact"),
        RoleMeaning("pedal.kickdown.ground", "return of the kick-down contact", "contact"),
        RoleMeaning("throttle.motor.plus", "throttle motor, driven positive to open", "motor"),
        RoleMeaning("throttle.motor.minus", "throttle motor, driven negative to open", "motor"),
        RoleMeaning("brake.make", "brake switch contact that closes on braking", "switch"),
        RoleMeaning("brake.break", "brake switch contact that opens on braking", "switch"),
        RoleMeaning("clutch.signal", "clutch switch contact", "switch"),
        RoleMeaning("lamp.drive", "switched low side of the warning lamp", "lamp"),
        RoleMeaning("relay.drive", "switched low side of the main relay's coil", "relay"),
        RoleMeaning("feed.30", "permanent battery feed", "feed"),
        RoleMeaning("feed.15", "feed switched by the ignition switch", "feed"),
        RoleMeaning("feed.87", "feed switched by the main relay", "feed"),
        RoleMeaning("feed.in", "what a fuse, a relay's contact or a switch is fed with", "feed"),
        RoleMeaning("feed.coil", "feed of a relay's coil", "feed"),
        RoleMeaning("feed.out", "what a battery, fuse, relay or switch feeds others with", "source"),
        RoleMeaning("ground.31", "return to the battery's negative side", "ground"),
        RoleMeaning("ground.point", "where ground.31 terminals come together", "ground"),
        RoleMeaning("screen", "screen of the sensor cable, drained at one end", "screen"),
    )
}

_OTHER = re.compile(r"other\.[a-z][a-z0-9_-]*(\.[a-z0-9_-]+)*")


def ground_for_earth(value: object) -> object:
    """Both words of the trade are taken; inside there is one."""
    return re.sub(r"\bearth(ed)?\b", r"ground\1", value) if isinstance(value, str) else value


def canonical_role(text: str) -> str:
    """The role word in its one spelling: lower case, and ground for earth."""
    return str(ground_for_earth(text.strip().lower()))


def is_role(word: str) -> bool:
    """Whether the word is of the vocabulary, or ``other.NAME`` for a connection of the builder's own."""
    return word in ROLES or bool(_OTHER.fullmatch(word))


def nearest_role(word: str) -> str | None:
    """The role word that comes nearest to a mistaken one."""
    return nearest(word, ROLES)


def group_of(role: str) -> str:
    """The group of a role; ``other`` for a connection of the builder's own."""
    return ROLES[role].group if role in ROLES else "other"


def meaning_of(role: str) -> str:
    """One line that says what the role is for."""
    return ROLES[role].meaning if role in ROLES else f"connection of the builder's own ({role[6:]})"
