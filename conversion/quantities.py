"""Physical figures as a builder writes them: a magnitude with its unit, a tolerance or a range, and an evidence.

``1.2 kohm ± 20 %``, ``0.30 V..0.95 V``, ``182 mm ± 1 mm, measured`` become a :class:`Quantity` in the base unit of
their dimension: SI, except millimetres for length, square millimetres for area, radians for angle and degrees
Celsius for temperature. Nothing is rounded here; :func:`show` rounds once, where a document is made.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal, get_args

Evidence = Literal["measured", "documented", "assumed"]
EVIDENCES: tuple[str, ...] = get_args(Evidence)

_DEGREE = math.pi / 180.0
_INCH_MM = 25.4
_POUND_KG = 0.45359237
_STANDARD_GRAVITY = 9.80665

# Dimension -> unit as written -> (factor to the base unit). The first unit of each is the one shown as an example.
UNITS: dict[str, dict[str, float]] = {
    "length": {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": _INCH_MM, "ft": 12 * _INCH_MM},
    "angle": {"°": _DEGREE, "deg": _DEGREE, "rad": 1.0},
    "voltage": {"V": 1.0, "mV": 1e-3, "kV": 1e3},
    "resistance": {
        "ohm": 1.0, "Ω": 1.0, "\u2126": 1.0, "mohm": 1e-3, "mΩ": 1e-3, "m\u2126": 1e-3, "kohm": 1e3, "kΩ": 1e3,
        "k\u2126": 1e3, "Mohm": 1e6, "MΩ": 1e6, "M\u2126": 1e6,
    },
    "current": {"A": 1.0, "mA": 1e-3, "uA": 1e-6, "µA": 1e-6, "μA": 1e-6},
    "time": {"s": 1.0, "ms": 1e-3, "min": 60.0},
    "mass": {"kg": 1.0, "g": 1e-3, "t": 1e3, "lb": _POUND_KG},
    "force": {"N": 1.0, "kN": 1e3, "kgf": _STANDARD_GRAVITY, "lbf": _POUND_KG * _STANDARD_GRAVITY},
    "stiffness": {"N/mm": 1.0, "N/m": 1e-3, "kN/m": 1.0},
    "moment": {"N·m": 1.0, "N*m": 1.0, "N m": 1.0, "Nm": 1.0, "N·mm": 1e-3, "N*mm": 1e-3, "Nmm": 1e-3},
    "angular stiffness": {
        "N·m/°": 1 / _DEGREE, "N·m/deg": 1 / _DEGREE, "N*m/deg": 1 / _DEGREE, "Nm/deg": 1 / _DEGREE,
        "Nm/°": 1 / _DEGREE, "N·m/rad": 1.0, "N*m/rad": 1.0, "Nm/rad": 1.0,
    },
    "ratio": {"%": 0.01},
    "area": {"mm²": 1.0, "mm2": 1.0},
    "temperature": {"°C": 1.0, "degC": 1.0},
}  # fmt: skip

# Example shown when something else was written, and decimals printed, per dimension.
_EXAMPLES: dict[str, str] = {
    "length": "182 mm ± 1 mm", "angle": "16° ± 0.5°", "voltage": "5.00 V ± 0.05 V",
    "resistance": "1.2 kohm ± 20 %", "current": "20 mA", "time": "120 ms", "mass": "1650 kg", "force": "45 N",
    "stiffness": "0.8 N/mm", "moment": "0.25 N·m", "angular stiffness": "0.01 N·m/°", "ratio": "15 % ± 1 %",
    "area": "0.5 mm²", "temperature": "60 °C",
}  # fmt: skip


class QuantityError(ValueError):
    """A figure that cannot be understood; the message says what was read and what would be right."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """One figure: nominal value and limits in the base unit of its dimension.

    Attributes:
        nominal: The value itself, or the middle of a range.
        low: Least value within the tolerance.
        high: Greatest value within the tolerance.
        dimension: A key of :data:`UNITS`.
        evidence: Where the figure came from; None when its file's default applies.
        text: As written, for documents.
    """

    nominal: float
    low: float
    high: float
    dimension: str
    evidence: Evidence | None = None
    text: str = ""

    @property
    def limits(self) -> tuple[float, float]:
        """Least and greatest value within the tolerance, in the base unit."""
        return self.low, self.high

    @property
    def has_tolerance(self) -> bool:
        """Whether the figure is anything but exact."""
        return self.high > self.low

    def contains(self, value: float) -> bool:
        """Whether a value in the base unit lies within the limits."""
        return self.low <= value <= self.high


_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_MAGNITUDE = re.compile(rf"({_NUMBER})\s*(.*)", re.DOTALL)
_AWG = re.compile(r"(?:AWG\s*(\d+)|(\d+)\s*AWG)", re.IGNORECASE)
_PLUS_MINUS = re.compile(r"±|\+\s*/\s*-|\+-")


def parse(text: str, dimension: str) -> Quantity:
    """Read a figure of a given dimension.

    Args:
        text: Such as ``182 mm ± 1 mm, measured``; ``±`` or ``+/-``; a range is written ``0.30 V..0.95 V``.
        dimension: A key of :data:`UNITS`.

    Returns:
        The quantity in the base unit of its dimension.

    Raises:
        QuantityError: The text is no figure of this dimension.

    Example:
        >>> q = parse("1.2 kohm ± 20 %", "resistance")
        >>> q.nominal, round(q.low, 6), round(q.high, 6)
        (1200.0, 960.0, 1440.0)
        >>> parse("0.30 V .. 0.95 V, documented", "voltage").evidence
        'documented'
    """
    body, evidence = _split_evidence(text.strip())
    if not body:
        raise QuantityError(f"nothing written; a figure such as '{_EXAMPLES[dimension]}' is needed")
    if ".." in body:
        low, high = _range(body, dimension)
        nominal = (low + high) / 2
    else:
        nominal, low, high = _toleranced(body, dimension)
    if not all(math.isfinite(value) for value in (nominal, low, high)):
        raise QuantityError(f"'{text}' is too large to be a figure")
    return Quantity(nominal, low, high, dimension, evidence, text.strip())


def _split_evidence(text: str) -> tuple[str, Evidence | None]:
    body, comma, word = text.rpartition(",")
    word = word.strip().lower()
    if comma and word in EVIDENCES:
        return body.strip(), word  # type: ignore[return-value]
    if comma and word[:1].isalpha():
        raise QuantityError(f"'{word}' is no evidence; write one of {', '.join(EVIDENCES)} after the comma")
    return text, None


def _range(body: str, dimension: str) -> tuple[float, float]:
    left, _, right = body.partition("..")
    if _PLUS_MINUS.search(body):
        raise QuantityError(f"'{body}' has both a range and a tolerance; write one of them")
    high, unit = _magnitude(right.strip(), dimension)
    low, _ = _magnitude(left.strip(), dimension, default_unit=unit)
    if low > high:
        raise QuantityError(f"the range '{body}' runs downwards; write the smaller figure first")
    return low, high


def _toleranced(body: str, dimension: str) -> tuple[float, float, float]:
    parts = _PLUS_MINUS.split(body)
    if len(parts) > 2:
        raise QuantityError(f"'{body}' has more than one tolerance")
    tolerance_text = parts[1].strip() if len(parts) == 2 else None
    # '12 ± 1 mm': the unit stands once, at the end.
    trailing = _MAGNITUDE.fullmatch(tolerance_text) if tolerance_text else None
    default = trailing.group(2).strip() if trailing and trailing.group(2).strip() in UNITS[dimension] else None
    nominal, unit = _magnitude(parts[0].strip(), dimension, default_unit=default)
    if tolerance_text is None:
        return nominal, nominal, nominal
    if not tolerance_text:
        raise QuantityError(f"'{body}' ends with ± and no tolerance")
    if tolerance_text.endswith("%") and dimension != "ratio":
        share, _ = _magnitude(tolerance_text, "ratio")
        if dimension == "temperature":
            raise QuantityError("a tolerance in % of a temperature means nothing; write it in °C")
        spread = abs(nominal) * share
    else:
        spread, _ = _magnitude(tolerance_text, dimension, default_unit=unit)
    if spread < 0:
        raise QuantityError(f"the tolerance in '{body}' is negative")
    return nominal, nominal - spread, nominal + spread


def _magnitude(text: str, dimension: str, default_unit: str | None = None) -> tuple[float, str]:
    gauge = _AWG.fullmatch(text) if dimension == "area" else None
    if gauge:
        return awg_area_mm2(int(gauge.group(1) or gauge.group(2))), "mm²"
    example = _EXAMPLES[dimension]
    if re.match(r"[+-]?\d+,\d", text):
        raise QuantityError(f"'{text}' has a decimal comma; write a point, such as '{example}'")
    match = _MAGNITUDE.fullmatch(text)
    if not match:
        raise QuantityError(f"'{text}' is no figure; {_article(dimension)} is needed, such as '{example}'")
    number, unit = float(match.group(1)), " ".join(match.group(2).split())
    if not unit:
        if default_unit is None:
            raise QuantityError(f"'{text}' has no unit; {_article(dimension)} is needed, such as '{example}'")
        unit = default_unit
    factor = UNITS[dimension].get(unit)
    if factor is None:
        other = _dimension_of(unit)
        if other:
            raise QuantityError(f"'{text}' is {_article(other)}; {_article(dimension)} is needed, such as '{example}'")
        known = ", ".join(dict.fromkeys(UNITS[dimension]))
        raise QuantityError(f"'{unit}' is no unit of {dimension}; known here: {known}")
    return number * factor, unit


def _dimension_of(unit: str) -> str | None:
    return next((name for name, units in UNITS.items() if unit in units), None)


def _article(dimension: str) -> str:
    if dimension == "ratio":
        return "a share in %"
    return f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"


def awg_area_mm2(gauge: int) -> float:
    r"""Cross-section of a solid conductor by American Wire Gauge.

    .. math:: A = \pi/4 \, (0.127 \cdot 92^{(36-n)/39})^2

    Args:
        gauge: Gauge number n, 0 to 40.

    Returns:
        Cross-section of bare copper. [mm²]

    Raises:
        QuantityError: The gauge lies outside 0 to 40.

    Example:
        >>> round(awg_area_mm2(20), 3)
        0.518

    References:
        ASTM B258, standard nominal diameters of solid round wires.
    """
    if not 0 <= gauge <= 40:
        raise QuantityError(f"AWG {gauge} is outside 0 to 40")
    return math.pi / 4 * (0.127 * 92 ** ((36 - gauge) / 39)) ** 2


def example_of(dimension: str) -> str:
    """A figure of this dimension as a builder would write it.

    Example:
        >>> example_of("force")
        '45 N'
    """
    return _EXAMPLES[dimension]


# How each dimension is printed: unit shown, factor from the base unit, decimals.
_SHOWN: dict[str, tuple[str, float, int]] = {
    "length": ("mm", 1.0, 1), "angle": ("°", 1 / _DEGREE, 1), "voltage": ("V", 1.0, 2),
    "resistance": ("ohm", 1.0, 1), "current": ("A", 1.0, 2), "time": ("s", 1.0, 2), "mass": ("kg", 1.0, 2),
    "force": ("N", 1.0, 1), "stiffness": ("N/mm", 1.0, 3), "moment": ("N·m", 1.0, 3),
    "angular stiffness": ("N·m/rad", 1.0, 3), "ratio": ("%", 100.0, 1), "area": ("mm²", 1.0, 2),
    "temperature": ("°C", 1.0, 0), "volts per mm": ("V/mm", 1.0, 4), "plain": ("", 1.0, 3),
    "volume": ("cm³", 1e-3, 2),
    "small resistance": ("mohm", 1e3, 0), "cut": ("mm", 1.0, 0), "crimp": ("mm", 1.0, 2),
}  # fmt: skip


def show(value: float, dimension: str) -> str:
    """A value in the base unit as a document prints it: the one place where figures are rounded.

    Example:
        >>> show(1200.0, "resistance"), show(0.28, "angle"), show(0.0412, "current"), show(0.153, "ratio")
        ('1.20 kohm', '16.0°', '41 mA', '15.3 %')
    """
    if not math.isfinite(value):
        return "none"
    unit, factor, decimals = _SHOWN[dimension]
    shown = value * factor
    if dimension == "resistance" and abs(shown) >= 1e6:
        return f"{shown / 1e6:.2f} Mohm"
    if dimension == "resistance" and abs(shown) >= 1e3:
        return f"{shown / 1e3:.2f} kohm"
    if dimension == "current" and abs(shown) < 1:
        return f"{_no_minus_zero(shown * 1e3, 0)} mA"
    if dimension == "time" and abs(shown) < 1:
        return f"{_no_minus_zero(shown * 1e3, 0)} ms"
    if dimension == "mass" and abs(shown) >= 10:
        return f"{_no_minus_zero(shown, 0)} kg"
    if dimension == "stiffness" and abs(shown) >= 10:
        return f"{_no_minus_zero(shown, 0)} N/mm"
    body = _no_minus_zero(shown, decimals)
    return f"{body}{'' if unit in ('°', '') else ' '}{unit}"


def number(value: float, dimension: str) -> str:
    """Like :func:`show` without the unit, for table cells whose heading names it."""
    if not math.isfinite(value):
        return "none"
    _, factor, decimals = _SHOWN[dimension]
    return _no_minus_zero(value * factor, decimals)


def unit_of(dimension: str) -> str:
    """The unit in which :func:`number` prints a dimension."""
    return _SHOWN[dimension][0]


def _no_minus_zero(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text[1:] if text.startswith("-") and float(text) == 0 else text
