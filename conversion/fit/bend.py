"""Folding sheet: how much length a bend takes up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

RIGHT_ANGLE_RAD = float(np.pi / 2)


@dataclass(frozen=True)
class Sheet:
    """Sheet metal and how it is folded.

    Attributes:
        thickness_mm: Of the sheet. [mm]
        inside_radius_mm: Of a bend, on its inside. [mm]
        k_factor: Place of the layer that keeps its length, from the inside, as a share of the thickness: 0.33
            for sharp bends to 0.5 for wide ones.

    Raises:
        ValueError: no thickness, a negative radius, or a K factor outside 0 to 1.
    """

    thickness_mm: float
    inside_radius_mm: float
    k_factor: float = 0.44

    def __post_init__(self) -> None:
        if not self.thickness_mm > 0.0:
            raise ValueError(f"a sheet needs a thickness above zero; this one has {self.thickness_mm} mm")
        if not self.inside_radius_mm >= 0.0:
            raise ValueError(f"a bend cannot have an inside radius of {self.inside_radius_mm} mm")
        if not 0.0 < self.k_factor <= 1.0:
            raise ValueError(f"a K factor lies between 0 and 1, usually 0.33 to 0.5; this one is {self.k_factor}")


def bend_allowance_mm(sheet: Sheet, angle_rad: float = RIGHT_ANGLE_RAD) -> float:
    r"""Length of the flat sheet that a bend takes up.

    .. math:: BA = \alpha \, (r + K t)

    Args:
        sheet: Thickness t, inside radius r, K factor. [mm]
        angle_rad: α, by which the sheet is turned out of the flat. [rad]

    Returns:
        Between the two lines where the flats end. [mm]

    Raises:
        ValueError: the angle is not between 0 and 180°.

    Example:
        >>> round(bend_allowance_mm(Sheet(1.5, 2.0, 0.4)), 4)
        4.0841

    References:
        Machinery's Handbook, in degrees: (π/180) · angle · (r + K t).
    """
    if not 0.0 < angle_rad <= np.pi:
        raise ValueError(f"a bend turns the sheet by more than 0° and at most 180°, not by {np.degrees(angle_rad):g}°")
    return angle_rad * (sheet.inside_radius_mm + sheet.k_factor * sheet.thickness_mm)


def bend_deduction_mm(sheet: Sheet, angle_rad: float = RIGHT_ANGLE_RAD) -> float:
    r"""What is taken off the sum of the two outside lengths of a bend to come to the flat length.

    .. math:: BD = 2 (r + t) \tan(\alpha / 2) - BA

    Args:
        sheet: Thickness t, inside radius r, K factor. [mm]
        angle_rad: α, less than 180°, where the outside lines no longer meet. [rad]

    Raises:
        ValueError: the angle is not between 0 and 180°, or is 180°.

    Example:
        >>> round(bend_deduction_mm(Sheet(1.5, 2.0, 0.4)), 4)
        2.9159
    """
    if not angle_rad < np.pi:
        raise ValueError("a fold of 180° has no outside corner to measure from; use the bend allowance")
    set_back = (sheet.inside_radius_mm + sheet.thickness_mm) * np.tan(angle_rad / 2)
    return float(2 * set_back - bend_allowance_mm(sheet, angle_rad))
