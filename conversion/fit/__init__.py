"""Whether it all fits: clearances in space over the travel, swept outlines, the recess, bracket, true scale."""

from __future__ import annotations

from conversion.fit.bodies import (
    AnyBody,
    Body,
    HalfSpace,
    Kind,
    Link,
    box,
    capsule,
    half_space,
    joined,
    prism,
    swept,
)
from conversion.fit.clearance import (
    Clearance,
    clearance_at,
    clearance_of_fixed,
    clearances,
    gap_at_mm,
    least_clearance,
)
from conversion.fit.poses import Poses, Turn
from conversion.fit.wanted import Wanted, wanted_between

__all__ = [
    "AnyBody",
    "Body",
    "Clearance",
    "HalfSpace",
    "Kind",
    "Link",
    "Poses",
    "Turn",
    "Wanted",
    "box",
    "capsule",
    "clearance_at",
    "clearance_of_fixed",
    "clearances",
    "gap_at_mm",
    "half_space",
    "joined",
    "least_clearance",
    "prism",
    "swept",
    "wanted_between",
]
