"""Expected values as a checklist prints them, also where the plan cannot have them."""

from __future__ import annotations

import math
from collections.abc import Callable

from conversion.description import Missing
from conversion.quantities import Quantity, show


class Limited(str):
    """An expected value as it is printed, that still knows within which limits a reading passes.

    Attributes:
        low: Least value that passes, in the base unit of its dimension.
        high: Greatest value that passes.
        dimension: What is measured.

    Example:
        >>> text = Limited("below 0.5 ohm", 0.0, 0.5, "resistance")
        >>> f"{text}.", text.high
        ('below 0.5 ohm.', 0.5)
    """

    __slots__ = ("dimension", "high", "low")
    low: float
    high: float
    dimension: str

    def __new__(cls, text: str, low: float, high: float, dimension: str) -> Limited:
        self = super().__new__(cls, text)
        self.low, self.high, self.dimension = low, high, dimension
        return self


class CannotSay(Exception):
    """An expected value that does not exist, for a reason other than an unknown figure; the text ends a sentence."""


def said(compute: Callable[[], str]) -> str:
    """An expected value, or which figure is missing for it.

    Example:
        >>> from conversion.description import Place
        >>> def unknown() -> str:
        ...     raise Missing("linkage.rod.length", Place("conversion.yaml", 1, 1), "the travel cannot be computed")
        >>> said(unknown)
        'cannot be said: linkage.rod.length is not known'
    """
    try:
        return compute()
    except (Missing, CannotSay) as missing:
        return reason(missing)


class Unsaid(str):
    """Why something cannot be said, in the place of what is expected."""

    __slots__ = ()


def reason(missing: Missing | CannotSay) -> Unsaid:
    """Why something cannot be said."""
    why = f"{missing.path} {missing.state}" if isinstance(missing, Missing) else str(missing)
    return Unsaid(f"cannot be said: {why}")


def figure(value: float, dimension: str, why_not: str = "the linkage does not close there") -> str:
    """A computed value in its base unit, rounded for print.

    Raises:
        CannotSay: The value is not a number, or infinite.
    """
    if not math.isfinite(value):
        raise CannotSay(why_not)
    return show(value, dimension)


def with_limits(nominal: float, low: float, high: float, dimension: str) -> Limited:
    """A value with what is accepted around it.

    Example:
        >>> with_limits(0.94, 0.86, 1.03, "voltage"), with_limits(5.0, 5.0, 5.0, "voltage")
        ('0.94 V (0.86 V to 1.03 V)', '5.00 V')
    """
    middle, least, greatest = (figure(value, dimension) for value in (nominal, low, high))
    text = middle if least == greatest == middle else f"{middle} ({least} to {greatest})"
    return Limited(text, low, high, dimension)


def between(low: float, high: float, dimension: str) -> str:
    """A range.

    Example:
        >>> between(0.45, 4.65, "voltage")
        '0.45 V to 4.65 V'
    """
    return f"{figure(low, dimension)} to {figure(high, dimension)}"


def span(low: float, high: float, dimension: str) -> str:
    """A range, or one value where its ends print the same.

    Example:
        >>> span(0.0, 0.001, "voltage"), span(0.4, 0.5, "voltage")
        ('0.00 V', '0.40 V to 0.50 V')
    """
    least, greatest = figure(low, dimension), figure(high, dimension)
    return least if least == greatest else f"{least} to {greatest}"


def of(quantity: Quantity) -> Limited:
    """A described figure with its tolerance."""
    return with_limits(quantity.nominal, quantity.low, quantity.high, quantity.dimension)


def window(quantity: Quantity) -> str:
    """A described window, whose middle means nothing."""
    return between(quantity.low, quantity.high, quantity.dimension)
