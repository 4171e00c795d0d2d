"""Which bodies are held against which obstacles, and how much clearance each such pair wants."""

from __future__ import annotations

from conversion.fit import AnyBody, Kind, Wanted, wanted_between
from conversion.fit.bodies import FIXED
from conversion.fit.wanted import FIXED_PART, PRACTICE
from conversion.plan.fit_obstacles import Standing

UNDERFOOT = ("floor", "floor mat", "carpet")
STANDS_STILL = Wanted(0.0, "both stand still, and may touch but not run into each other", PRACTICE)
HOT = (Kind.LEVER, Kind.LINK, Kind.MODULE)
"""What heat harms: a cable, a plastic lever, a sensor."""


def held_against(body: AnyBody, standing: Standing, floor_hinged: bool) -> bool:
    """Whether a body could meet an obstacle where that would matter."""
    if standing.behind_bulkhead:
        return False
    if body.kind is Kind.SHOE:
        return standing.kind not in ("shoe", *UNDERFOOT)
    if body.kind is Kind.PEDAL and standing.kind == "shoe":
        return False
    # A pedal that is hinged on the floor begins there.
    return not (floor_hinged and body.name == "pedal arm" and standing.kind in UNDERFOOT)


def wanted_for(body: AnyBody, standing: Standing, moves_with: str = FIXED) -> Wanted:
    """The clearance between a body and an obstacle."""
    if standing.wanted is not None:
        return standing.wanted
    obstacle = standing.bodies[0].kind
    if obstacle is Kind.HEAT and body.kind not in HOT:
        return FIXED_PART
    wanted = wanted_between(body.kind, obstacle)
    if body.moves_with == FIXED and moves_with == FIXED and wanted == FIXED_PART:
        return STANDS_STILL
    return wanted
