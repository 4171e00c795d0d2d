"""Cross-sections that brackets are made of."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Section:
    """Cross-section of a member.

    Attributes:
        name: In the words of the trade.
        width_mm: Across its width axis. [mm]
        height_mm: Across its height axis. [mm]
        area_mm2: Of metal. [mm²]
        bent_in_width_mm4: Second moment of area against bending sideways, along the width. [mm⁴]
        bent_in_height_mm4: The same along the height. [mm⁴]
        least_mm4: The least about any axis, which governs a load from any side. [mm⁴]
    """

    name: str
    width_mm: float
    height_mm: float
    area_mm2: float
    bent_in_width_mm4: float
    bent_in_height_mm4: float
    least_mm4: float


def flat_bar(width_mm: float, thickness_mm: float) -> Section:
    """A solid flat bar.

    Example:
        >>> flat_bar(25.0, 6.0).bent_in_height_mm4
        450.0
    """
    _positive(width=width_mm, thickness=thickness_mm)
    wide, thin = thickness_mm * width_mm**3 / 12, width_mm * thickness_mm**3 / 12
    name = f"flat bar {width_mm:g} × {thickness_mm:g}"
    return Section(name, width_mm, thickness_mm, width_mm * thickness_mm, wide, thin, min(wide, thin))


def square_tube(width_mm: float, wall_mm: float) -> Section:
    """A square tube with sharp corners.

    Raises:
        ValueError: no size, or walls that leave no hole.

    Example:
        >>> square_tube(20.0, 2.0).area_mm2
        144.0
    """
    _positive(width=width_mm, wall=wall_mm)
    hollow = width_mm - 2 * wall_mm
    if hollow <= 0.0:
        raise ValueError(f"walls of {wall_mm:g} mm leave no hole in a tube of {width_mm:g} mm")
    moment = (width_mm**4 - hollow**4) / 12
    name = f"square tube {width_mm:g} × {wall_mm:g}"
    return Section(name, width_mm, width_mm, width_mm**2 - hollow**2, moment, moment, moment)


def equal_angle(leg_mm: float, thickness_mm: float) -> Section:
    """An angle with two equal legs and sharp corners.

    Bent along a leg it twists unless it is held; the least moment, about the axis across its corner, is given too.

    Raises:
        ValueError: no size, or legs no longer than they are thick.
    """
    _positive(leg=leg_mm, thickness=thickness_mm)
    if thickness_mm >= leg_mm:
        raise ValueError(f"an angle with legs of {leg_mm:g} mm cannot be {thickness_mm:g} mm thick")
    rest = leg_mm - thickness_mm
    one, two = leg_mm * thickness_mm, rest * thickness_mm
    area = one + two
    # Legs: one along the width at the bottom, the other standing on it.
    low, high = thickness_mm / 2, thickness_mm + rest / 2
    centre = (one * low + two * high) / area
    moment = (
        leg_mm * thickness_mm**3 / 12
        + one * (low - centre) ** 2
        + thickness_mm * rest**3 / 12
        + two * (high - centre) ** 2
    )
    product = one * (leg_mm / 2 - centre) * (low - centre) + two * (low - centre) * (high - centre)
    name = f"angle {leg_mm:g} × {leg_mm:g} × {thickness_mm:g}"
    return Section(name, leg_mm, leg_mm, area, moment, moment, moment - abs(product))


def _positive(**sizes_mm: float) -> None:
    for name, size in sizes_mm.items():
        if not size > 0.0:
            raise ValueError(f"a {name} of {size} mm is not a size")
