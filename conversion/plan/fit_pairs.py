"""Which bodies are held against which obstacles, and how much clearance each such pair wants."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from conversion.fit import AnyBody, Kind, Wanted, wanted_between
from conversion.fit.bodies import FIXED
from conversion.fit.wanted import FIXED_PART, PRACTICE
from conversion.linkage import CableLinkage, Linkage
from conversion.linkage.turning import dot
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


def passes_through(linkage: Linkage, body: AnyBody, standing: Standing) -> bool:
    """Whether a body belongs on both sides of a bulkhead, or beyond it: a cable runs through in its outer."""
    if not isinstance(linkage, CableLinkage) or not standing.flats:
        return False
    beyond = any(float(dot(linkage.module_pivot - flat.point_mm, flat.toward_pedal)) < 0.0 for flat in standing.flats)
    return body.kind is Kind.LINK or (beyond and body.kind in (Kind.LEVER, Kind.MODULE))


@dataclass(frozen=True, eq=False)
class Pair:
    """A body and a solid of an obstacle that it is held against.

    Attributes:
        body: What belongs to the linkage.
        obstacle: The obstacle.
        solid: One of its solids, or the recess that takes its place.
        in_recess: True for the recess.
    """

    body: AnyBody
    obstacle: Standing
    solid: AnyBody
    in_recess: bool = False

    @property
    def can_meet(self) -> bool:
        """False where both move alike."""
        return self.still or self.body.moves_with != self.solid.moves_with

    @property
    def still(self) -> bool:
        """True where neither moves."""
        return self.body.moves_with == FIXED and self.solid.moves_with == FIXED

    @cached_property
    def wanted(self) -> Wanted:
        """The clearance between the two."""
        if self.obstacle.wanted is not None:
            return self.obstacle.wanted
        if self.solid.kind is Kind.HEAT and self.body.kind not in HOT:
            return FIXED_PART
        wanted = wanted_between(self.body.kind, self.solid.kind)
        return STANDS_STILL if self.still and wanted == FIXED_PART else wanted
