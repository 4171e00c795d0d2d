"""Band of the lever angle from the tolerances of a linkage, to first order, worst case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.kinds import AnyLinkage, Linkage, arrays_of, stacked, with_figures
from conversion.linkage.solving import adjusted_at_rest, driven_at_rest, solve
from conversion.linkage.turning import Array, length

COMPONENTS = ("x", "y", "z")


@dataclass(frozen=True)
class LeverBand:
    """Lever angle over the travel with its worst case; shapes (positions,).

    Attributes:
        lever_rad: With every figure as described. [rad]
        lever_min_rad: With every tolerance at its end that turns the lever back. [rad]
        lever_max_rad: With every tolerance at its end that turns the lever toward full. [rad]
        part_rad: For each tolerance, the larger excursion that it makes alone: which input matters most.
            [rad]
    """

    lever_rad: Array
    lever_min_rad: Array
    lever_max_rad: Array
    part_rad: Mapping[str, Array]


def lever_band(
    linkage: Linkage,
    tolerances: Mapping[str, tuple[float, float]],
    pedal_angle_rad: ArrayLike,
    set_at_rest_rad: tuple[float, float] | None = None,
) -> LeverBand:
    r"""Least and greatest lever angle with each figure anywhere in its tolerance: first-order worst case.

    .. math:: \varphi_{max} = \varphi
        + \sum_i \max(\varphi(x_i - m_i) - \varphi,\; \varphi(x_i + n_i) - \varphi,\; 0)

    and likewise for the minimum. Each figure is moved to either end on its own, all of them in one batch, and
    the excursions are added.

    Args:
        linkage: One linkage of any kind, no leading axes.
        tolerances: For a number such as ``rod_length_mm`` or a component such as ``module_pivot.x`` or
            ``pedal_axis.z``, how far the figure may lie below and above, both not negative. Points and lengths
            in mm; of an axis, the part of its unit vector, which is brought back to length one. Figures count
            as independent.
        pedal_angle_rad: (positions,). [rad]
        set_at_rest_rad: Where the link is adjusted at fitting until the lever stands right with the pedal at
            rest: least and greatest lever angle that this leaves. Every moved figure then gets the setting
            that brings the lever to the nominal angle, so that only what it does over the travel remains, and the
            setting itself counts as one figure, ``set_at_rest``. [rad]

    Returns:
        The band; nan at positions where the linkage, or it with one figure moved, cannot close.

    Raises:
        ValueError: an unknown figure, a negative tolerance, or many linkages at once.

    Note:
        Adding excursions leaves out what two figures do together, which is of second order: small beside the
        band for tolerances of a few per cent of the lever, not so near a dead centre. A sampled study shows
        it.

    Example:
        >>> from conversion.linkage.geometry import RodLinkage
        >>> linkage = RodLinkage(
        ...     pedal_pivot=[0, 0, 0], pedal_axis=[0, 0, 1], pedal_sense=1, pedal_pin_at_rest=[0, 60, 0],
        ...     module_pivot=[200, 0, 0], module_axis=[0, 0, 1], lever_sense=1,
        ...     lever_pin_at_rest_stop=[200, 60, 0], rod_length_mm=200)
        >>> band = lever_band(linkage, {"rod_length_mm": (1.0, 1.0)}, [0.0])
        >>> bounds = (band.lever_min_rad, band.lever_rad, band.lever_max_rad)
        >>> [round(float(60 * bound[0]), 2) for bound in bounds]
        [-1.0, 0.0, 1.0]
    """
    if not linkage.is_one:
        raise ValueError("lever_band takes one linkage, not many along a leading axis")
    pedal = np.atleast_1d(np.asarray(pedal_angle_rad, dtype=np.float64))
    nominal = solve(linkage, pedal).lever_angle_rad
    changes, names = [], list(tolerances)
    if tolerances:
        moved = _moved_one_at_a_time(linkage, tolerances)
        if set_at_rest_rad is not None:
            moved = adjusted_at_rest(moved, driven_at_rest(linkage))
        changes.append(solve(moved, pedal).lever_angle_rad.reshape(len(tolerances), 2, pedal.size) - nominal)
    if set_at_rest_rad is not None:
        names.append("set_at_rest")
        setting = adjusted_at_rest(stacked(linkage, 2), np.array(set_at_rest_rad))
        changes.append((solve(setting, pedal).lever_angle_rad - nominal)[None])
    if not changes:
        return LeverBand(nominal, nominal.copy(), nominal.copy(), {})
    change = np.concatenate(changes)
    down, up = np.minimum(change.min(axis=1), 0.0), np.maximum(change.max(axis=1), 0.0)
    parts = np.maximum(-down, up)
    return LeverBand(
        nominal,
        nominal + down.sum(axis=0),
        nominal + up.sum(axis=0),
        dict(zip(names, parts, strict=True)),
    )


def setting_range(
    linkage: Linkage, tolerances: Mapping[str, tuple[float, float]], set_at_rest_rad: tuple[float, float]
) -> tuple[float, float, float]:
    """What setting the link at rest asks of its adjuster: as planned, and least and greatest in the worst case.

    Args:
        linkage: One linkage of any kind, as it is set.
        tolerances: As :func:`lever_band` takes them.
        set_at_rest_rad: Least and greatest lever angle that the setting leaves. [rad]

    Returns:
        Of the figure that the kind names as ADJUSTED: length of a rod, slack of a cable, packing of a contact, in
        mm; lever angle of a module's own pedal in rad. Excursions of all figures are added, to first order.

    Raises:
        ValueError: as :func:`lever_band`.

    Example:
        A rod 200 mm long between parallel arms; its pin 1 mm off along the rod asks for 1 mm more or less:

        >>> from conversion.linkage.geometry import RodLinkage
        >>> linkage = RodLinkage(
        ...     pedal_pivot=[0, 0, 0], pedal_axis=[0, 0, 1], pedal_sense=1, pedal_pin_at_rest=[0, 60, 0],
        ...     module_pivot=[200, 0, 0], module_axis=[0, 0, 1], lever_sense=1,
        ...     lever_pin_at_rest_stop=[200, 60, 0], rod_length_mm=200)
        >>> setting_range(linkage, {"pedal_pin_at_rest.x": (1.0, 1.0)}, (0.0, 0.0))
        (200.0, 199.0, 201.0)
    """
    name = linkage.ADJUSTED
    nominal = float(getattr(linkage, name))
    ends = adjusted_at_rest(stacked(linkage, 2), np.array(set_at_rest_rad))
    changes = [getattr(ends, name)[None] - nominal]
    if tolerances:
        moved = adjusted_at_rest(_moved_one_at_a_time(linkage, tolerances), driven_at_rest(linkage))
        changes.append(getattr(moved, name).reshape(len(tolerances), 2) - nominal)
    change = np.concatenate(changes)
    down, up = np.minimum(change.min(axis=1), 0.0).sum(), np.maximum(change.max(axis=1), 0.0).sum()
    return nominal, nominal + float(down), nominal + float(up)


def _moved_one_at_a_time(linkage: AnyLinkage, tolerances: Mapping[str, tuple[float, float]]) -> AnyLinkage:
    """Two linkages a tolerance along a leading axis: the figure at its lower end, then at its upper end."""
    many = stacked(linkage, 2 * len(tolerances))
    values = {name: getattr(many, name) for name in arrays_of(many)}
    for i, (figure, (minus, plus)) in enumerate(tolerances.items()):
        if not (minus >= 0.0 and plus >= 0.0):
            raise ValueError(f"tolerance of {figure} is ({minus}, {plus}); neither may be negative")
        name, _, component = figure.partition(".")
        if figure in linkage.NUMBERS:
            values[name][2 * i : 2 * i + 2] += (-minus, plus)
        elif name in linkage.VECTORS and component in COMPONENTS:
            values[name][2 * i : 2 * i + 2, COMPONENTS.index(component)] += (-minus, plus)
        else:
            raise ValueError(f"{figure!r} is not a figure of a {type(linkage).__name__}, such as 'module_pivot.x'")
    for name in linkage.UNITS:
        values[name] /= length(values[name])[:, None]
    return with_figures(many, values)
