"""What is written on circuit drawings: wires, figures and devices, each in one way."""

from __future__ import annotations

from conversion.quantities import EVIDENCES, Quantity, show
from conversion.wiring import Wire

NOT_KNOWN = "not known"


def wire_words(wire: Wire) -> str:
    """Size and colour of a wire, to stand beside its tag."""
    return f"{show(wire.size_mm2, 'area')} {wire.colour}"


def band_words(nominal: float, low: float, high: float, dimension: str) -> str:
    """A figure with its least and greatest value, or alone where these print the same.

    Example:
        >>> band_words(5.0, 4.95, 5.05, "voltage"), band_words(0.0, 0.0, 0.0, "voltage")
        ('5.00 V (4.95 V..5.05 V)', '0.00 V')
    """
    middle, least, most = (show(value, dimension) for value in (nominal, low, high))
    return middle if least == most == middle else f"{middle} ({least}..{most})"


def as_written(figure: Quantity) -> str:
    """A figure in the builder's own writing, without its evidence.

    Example:
        >>> from conversion.quantities import parse
        >>> as_written(parse("7 A, documented", "current"))
        '7 A'
    """
    body, comma, word = figure.text.rpartition(",")
    return body.strip() if comma and word.strip().lower() in EVIDENCES else figure.text
