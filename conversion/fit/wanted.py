"""How much room is wanted between two kinds of body, each with its reason and source."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.fit.kinds import Kind

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Wanted:
    """A clearance that is wanted.

    Attributes:
        clearance_mm: At least so much. [mm]
        reason: Why.
        source: Where the figure is from.
    """

    clearance_mm: float
    reason: str
    source: str


FIXED_PART = Wanted(5.0, "brackets bend and bushes wear, and the parts must never touch", PRACTICE)
OTHER_PEDAL = Wanted(10.0, "the other pedal rocks sideways under the foot and must not carry this one along", PRACTICE)
FOOT = Wanted(15.0, "a boot is wider than a bare foot and stands askew", PRACTICE)
UNDERFOOT = Wanted(10.0, "a mat creeps and curls, and what it holds down is the throttle", PRACTICE)
LOOSE = Wanted(15.0, "a loom or line moves between its clips and wears through where it is touched", PRACTICE)
HEAT = Wanted(
    50.0, "cable, plastic lever and sensor do not stand the heat of an exhaust", "Formula SAE Rules 2026 v1.0, IC.3.3.1"
)
TANK = Wanted(15.0, "a tank swells and sags as it fills", PRACTICE)

BY_OBSTACLE: dict[Kind, Wanted] = {
    Kind.OTHER_PEDAL: OTHER_PEDAL,
    Kind.SHOE: FOOT,
    Kind.MAT: UNDERFOOT,
    Kind.CARPET: UNDERFOOT,
    Kind.LOOM: LOOSE,
    Kind.LINE: LOOSE,
    Kind.HEAT: HEAT,
    Kind.TANK: TANK,
}


def wanted_between(body: Kind, obstacle: Kind) -> Wanted:
    """The larger of what either kind wants; 5 mm between any two.

    Example:
        >>> wanted_between(Kind.LEVER, Kind.BULKHEAD).clearance_mm
        5.0
        >>> wanted_between(Kind.LINK, Kind.HEAT).clearance_mm
        50.0
    """
    return max((BY_OBSTACLE.get(kind, FIXED_PART) for kind in (body, obstacle)), key=lambda wanted: wanted.clearance_mm)
