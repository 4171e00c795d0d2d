"""The solver of a contact: lever angle at which roller and face touch, in closed form, for many at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.closure import closure_numbers, pedal_terms
from conversion.linkage.contact import ContactLinkage
from conversion.linkage.contact_motion import ContactMotion
from conversion.linkage.geometry import RodLinkage
from conversion.linkage.turning import Array, across, cross, dot, length, turned

# Rounding allowed in the discriminant, relative to the square of the lengths that go into it.
ROUNDING = 1e-13
# Positions that are computed together: few enough for what lies between to stay in the cache of one core.
BLOCK = 12288


def solve_contact(linkage: ContactLinkage, pedal_angle_rad: ArrayLike) -> ContactMotion:
    r"""Lever angle at which roller and face just touch, in closed form; never below the module's rest stop.

    .. math:: p \cos\varphi + q \sin\varphi = r, \qquad
        \varphi = \mathrm{atan2}(q, p) + s \, \mathrm{atan2}\big(\sqrt{p^2 + q^2 - r^2},\; r\big)

    Flat face with point P and normal n, roller centre X, radius R with any packing: (X − P)·n = R is linear in
    cos φ and sin φ whichever of the two is on the lever. Arched face with centre C: \|X − C\| = ρ, the closure
    of a rod of length ρ between the two centres. A contact pushes and does not pull, so the gap must open as
    the lever goes toward full, which fixes s: −1 for flat and hollow faces, +1 for arched ones.

    Args:
        linkage: One linkage, or many along leading axes.
        pedal_angle_rad: From the pedal's rest stop; (positions,) or (samples, positions). [rad]

    Returns:
        Angles; where the roller has not yet reached its face the lever stays on its rest stop.

    Example:
        A roller 60 mm above the pedal's axis, a face through the lever's axis, upright, 200 mm ahead, with the
        roller's radius between:

        >>> contact = ContactLinkage(
        ...     [0, 0, 0], [0, 0, -1], [200, 0, 0], [0, 0, -1], [180, 60, 0], [190, 60, 0], [-1, 0, 0], 1, 1, 10.0)
        >>> solve_contact(contact, [0.0]).ratio.round(6).tolist()
        [1.0]

    References:
        Derived here. The equivalent linkage of a cam with round flanks: any textbook on mechanisms.
    """
    pedal = np.atleast_1d(np.asarray(pedal_angle_rad, dtype=np.float64))
    return _solved(linkage, pedal, _solved(linkage, np.zeros(1), None))


def _solved(linkage: ContactLinkage, pedal: Array, rest: ContactMotion | None) -> ContactMotion:
    numbers, side = _flat(linkage) if linkage.is_flat else _arched(linkage)
    many = np.broadcast_shapes(numbers.shape[:-2], side.shape, pedal.shape[:-1])
    positions = pedal.shape[-1]
    rows = np.broadcast_to(numbers, (*many, 3, 3)).reshape(-1, 3, 3)
    sides = np.broadcast_to(side[..., None], (*many, 1)).reshape(-1, 1)
    terms = np.broadcast_to(pedal_terms(pedal), (*many, 3, positions)).reshape(-1, 3, positions)
    driven, reach = np.empty((2, len(rows), positions))
    exists = np.empty((len(rows), positions), dtype=bool)
    step = max(1, BLOCK // max(1, positions))
    for first in range(0, len(rows), step):
        at = slice(first, first + step)
        r, p, q = np.moveaxis(rows[at] @ terms[at], 1, 0)
        square = p * p + q * q
        discriminant = square - r * r
        rounding = ROUNDING * np.sum(rows[at] ** 2, axis=(1, 2))[:, None]
        exists[at] = (discriminant >= -rounding) & (square > rounding)
        angle = np.arctan2(q, p) + sides[at] * np.arctan2(np.sqrt(np.maximum(discriminant, 0.0)), r)
        driven[at] = np.where(exists[at], angle - 2 * np.pi * np.round(angle / (2 * np.pi)), np.nan)
        with np.errstate(divide="ignore", invalid="ignore"):
            np.divide(discriminant, square, out=reach[at])
    driven, reach = driven.reshape(*many, positions), reach.reshape(*many, positions)
    return ContactMotion(linkage, pedal, np.maximum(driven, 0.0), exists.reshape(*many, positions), driven, reach, rest)


def _flat(linkage: ContactLinkage) -> tuple[Array, Array]:
    """r, p and q, (..., 3), each as its factors of 1, cos θ and sin θ, (..., 3); and the side. [mm]"""
    axis, pressing, pivot = linkage.opening_axis, linkage.pressing_axis, linkage.module_pivot
    reach = linkage.roller_radius_mm + linkage.packing_mm
    if linkage.roller_on == "pedal":
        normal = linkage.face_normal
        radial = across(axis, normal)
        sideways, along = cross(axis, radial), normal - radial
        arm = linkage.roller_centre - linkage.pedal_pivot
        turning = across(pressing, arm)
        parts = (linkage.pedal_pivot + arm - turning - pivot, turning, cross(pressing, turning))
        constant = reach + dot(normal, linkage.face_point - pivot)
    else:
        arm = linkage.roller_centre - pivot
        radial = across(axis, arm)
        sideways, along = cross(axis, radial), pivot + arm - radial - linkage.pedal_pivot
        turning = across(pressing, linkage.face_normal)
        parts = (linkage.face_normal - turning, turning, cross(pressing, turning))
        # Point and normal of the face turn together.
        constant = reach + dot(linkage.face_normal, linkage.face_point - linkage.pedal_pivot)
    rows = (
        [(constant if i == 0 else 0.0) - dot(part, along) for i, part in enumerate(parts)],
        [dot(part, radial) for part in parts],
        [dot(part, sideways) for part in parts],
    )
    return _gathered(rows), np.array(-1.0)


def _arched(linkage: ContactLinkage) -> tuple[Array, Array]:
    """The same of the rod between the two centres. [mm²]"""
    centre, hollow, distance = linkage.arch
    on_pedal, on_lever = (
        (linkage.roller_centre, centre) if linkage.roller_on == "pedal" else (centre, linkage.roller_centre)
    )
    closure, _ = closure_numbers(
        RodLinkage(
            pedal_pivot=linkage.pedal_pivot,
            pedal_axis=linkage.pedal_axis,
            pedal_pin_at_rest=on_pedal,
            module_pivot=linkage.module_pivot,
            module_axis=linkage.module_axis,
            lever_pin_at_rest_stop=on_lever,
            lever_sense=linkage.lever_sense,
            pedal_sense=linkage.pedal_sense,
            # Packed until nothing is left there is no contact, which so short a rod says as well.
            rod_length_mm=np.maximum(distance, 1e-9),
        )
    )
    return np.swapaxes(closure, -1, -2) * [[1.0], [-1.0], [-1.0]], hollow


def _gathered(rows: tuple[list[Array], ...]) -> Array:
    shape = np.broadcast_shapes(*(np.shape(entry) for row in rows for entry in row))
    numbers = np.empty((*shape, 3, 3))
    for i, row in enumerate(rows):
        for j, entry in enumerate(row):
            numbers[..., i, j] = entry
    return numbers


def contact_adjusted_at_rest(linkage: ContactLinkage, lever_angle_rad: ArrayLike) -> ContactLinkage:
    """The packing, screw or eccentric set so that roller and face touch with the lever at an angle, the pedal at
    rest."""
    angle = np.asarray(lever_angle_rad, dtype=np.float64)[..., None]

    def on_lever(point: Array) -> Array:
        return turned(point, linkage.module_pivot, linkage.opening_axis, angle)[..., 0, :]

    if linkage.is_flat:
        roller, point, normal = linkage.roller_centre, linkage.face_point, linkage.face_normal
        if linkage.roller_on == "pedal":
            normal = turned(normal, np.zeros(3), linkage.opening_axis, angle)[..., 0, :]
            point = on_lever(point)
        else:
            roller = on_lever(roller)
        return replace(linkage, packing_mm=dot(roller - point, normal) - linkage.roller_radius_mm)
    centre, hollow, _ = linkage.arch
    roller = linkage.roller_centre
    if linkage.roller_on == "pedal":
        centre = on_lever(centre)
    else:
        roller = on_lever(roller)
    apart = length(roller - centre) - np.abs(linkage.face_radius_mm)
    return replace(linkage, packing_mm=hollow * apart - linkage.roller_radius_mm)
