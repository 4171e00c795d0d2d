"""Which bodies are held against which obstacles, and how much clearance each such pair wants."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from conversion.fit import AnyBody, Kind, Wanted, wanted_between
from conversion.fit.bodies import FIXED
from conversion.fit.wanted import FIXED_PART, PRACTICE
from conversion.linkage import CableLinkage, ContactLinkage, DirectLinkage, Linkage
from conversion.linkage.turning import dot
from conversion.plan.fitting.bodies import MODULE, OUTER
from conversion.plan.fitting.obstacles import Standing

UNDERFOOT = ("floor", "floor mat", "carpet")
STANDS_STILL = Wanted(0.0, "both stand still, and may touch but not run into each other", PRACTICE)
BESIDE = Wanted(2.0, "what hangs on the lever turns beside the module and must not rub on it", PRACTICE)
HOT = (Kind.LEVER, Kind.LINK, Kind.MODULE)
"""What heat harms: a cable, a plastic lever, a sensor."""


def held_against(body: AnyBody, standing: Standing, floor_hinged: bool) -> bool:
    """Whether a body could meet an obstacle where that would matter."""
    if standing.behind_bulkhead:
        return False
    if standing.path[0] == "members" and body.moves_with == FIXED:
        return False  # the bracket is fastened to the module
    if body.kind is Kind.SHOE:
        return standing.kind not in ("shoe", *UNDERFOOT)
    if body.kind is Kind.PEDAL and standing.kind == "shoe" and standing.turn is None:
        return False  # the foot that stands beside this pedal is to press it; one on another pedal is not
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

    def widened(self, by_mm: float) -> Pair:
        """The same pair, the obstacle taken as so much more uncertain, for a body whose own place is not exact. [mm]"""
        more = replace(self.obstacle, uncertain_mm=self.obstacle.uncertain_mm + by_mm)
        return replace(self, obstacle=more)

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


def own_pairs(linkage: Linkage, bodies: Sequence[AnyBody]) -> list[Pair]:
    """Bodies of the linkage that could meet each other; what is fastened to each other is left out.

    Those are arm and pad, a link and what its ends are on, and the lever and its module. Where the module's own pedal
    is kept nothing is judged: it was made to go together.
    """
    if isinstance(linkage, DirectLinkage):
        return []
    by_name = {body.name: body for body in bodies}
    module = by_name.get(MODULE)
    far = [body for body in bodies if body.name in _FAR_FROM_PEDAL or body.name.startswith("second rod")]
    if isinstance(linkage, ContactLinkage):
        far = [body for body in far if body.kind is not Kind.LEVER]
    pairs = [_own(body, other, None) for body in bodies if body.kind is Kind.PEDAL for other in (module, *far) if other]
    links = [body for body in bodies if body.kind is Kind.LINK and body.moves_with != FIXED]
    return pairs + [_own(body, module, BESIDE) for body in links if module is not None]


_FAR_FROM_PEDAL = ("lever", "bell-crank", "cable at the quadrant", OUTER)
_WRITTEN = {MODULE: "module", "lever": "lever", "bell-crank": "crank", OUTER: "outer"}


def _own(body: AnyBody, other: AnyBody, wanted: Wanted | None) -> Pair:
    """The one as what moves, the other as an obstacle to it."""
    path = ("bodies", _WRITTEN.get(other.name, "link"))
    return Pair(body, Standing(other.name, path, "other", (other,), (other,), (), wanted, 0.0, False), other)
