"""How figures and gaps are worded in the sections, in one manner everywhere."""

from __future__ import annotations

from collections.abc import Callable

from conversion.description import Missing
from conversion.pack.blocks import Block, Gap
from conversion.plan.measuring import how_to_measure
from conversion.quantities import number, show, unit_of


def span(low: float, high: float, dimension: str) -> str:
    """Least and greatest value, the unit once.

    Example:
        >>> span(0.45, 4.65, "voltage"), span(2.0, 2.0, "length")
        ('0.45 to 4.65 V', '2.0 mm')
    """
    least, greatest = number(low, dimension), number(high, dimension)
    if least == greatest:
        return show(low, dimension)
    unit = unit_of(dimension)
    return f"{least} to {greatest}{'' if unit in ('°', '') else ' '}{unit}"


def planned(values: tuple[float, float, float], dimension: str) -> str:
    """A nominal value with the least and the greatest that the tolerances allow.

    Example:
        >>> planned((62.0, 61.0, 63.0), "length"), planned((62.0, 62.0, 62.0), "length")
        ('62.0 mm (61.0 to 63.0 mm)', '62.0 mm')
    """
    nominal, least, greatest = values
    if least == greatest:
        return show(nominal, dimension)
    return f"{show(nominal, dimension)} ({span(least, greatest, dimension)})"


def gap_of(what: str, missing: Missing) -> Gap:
    """What stands where something would stand that rests on a missing figure."""
    way = how_to_measure(missing.path.rpartition(": ")[2].split("."))
    return Gap(
        what,
        f"It rests on {missing.path}, which {missing.state}: {missing.why}.",
        f"{way} Write it at {missing.place} and make the pack again.",
    )


def or_gap(what: str, make: Callable[[], tuple[Block, ...]]) -> tuple[Block, ...]:
    """The blocks, or what stands in their place while a figure that they rest on is not known."""
    try:
        return make()
    except Missing as missing:
        return (gap_of(what, missing),)
