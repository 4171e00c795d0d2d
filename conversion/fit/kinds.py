"""What a body is called, which decides how much room it wants."""

from __future__ import annotations

from enum import StrEnum


class Kind(StrEnum):
    """What a body is, which decides how much room it wants."""

    PEDAL = "pedal"
    LEVER = "lever"
    LINK = "link"
    MODULE = "module body"
    BULKHEAD = "bulkhead"
    FLOOR = "floor"
    MAT = "floor mat"
    CARPET = "carpet"
    SHOE = "shoe"
    COLUMN = "column"
    CROSS_MEMBER = "cross member"
    OTHER_PEDAL = "other pedal"
    TANK = "tank"
    LINE = "fuel or brake line"
    LOOM = "loom"
    HEAT = "heat source"
    OTHER = "other"
