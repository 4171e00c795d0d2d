"""The solver of a contact: lever angle at which roller and face touch, in closed form, for many at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.contact import ContactLinkage
from conversion.linkage.contact_motion import ContactMotion
from conversion.linkage.turning import Array, across, dot, length, turned, wrapped

# Rounding allowed in the discriminant, relative to the square of the lengths that go into it.
ROUNDING = 1e-13


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
    p, q, r, side, scale = _flat(linkage, pedal) if linkage.is_flat else _arched(linkage, pedal)
    square = p * p + q * q
    discriminant = square - r * r
    exists = (discriminant >= -ROUNDING * scale) & (square > ROUNDING * scale)
    opening = np.arctan2(np.sqrt(np.maximum(discriminant, 0.0)), r)
    driven = wrapped(np.arctan2(q, p) + side * opening)
    driven[~exists] = np.nan
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = discriminant / square
    return ContactMotion(linkage, pedal, np.maximum(driven, 0.0), exists, driven, reach, rest)


Terms = tuple[Array, Array, Array, Array, Array]


def _flat(linkage: ContactLinkage, pedal: Array) -> Terms:
    pivot, axis = linkage.module_pivot, linkage.opening_axis
    reach = (linkage.roller_radius_mm + linkage.packing_mm)[..., None]
    if linkage.roller_on == "pedal":
        roller = turned(linkage.roller_centre, linkage.pedal_pivot, linkage.pressing_axis, pedal)
        normal = linkage.face_normal
        radial = across(axis, normal)
        arm = roller - pivot[..., None, :]
        p, q = dot(arm, radial[..., None, :]), dot(arm, np.cross(axis, radial)[..., None, :])
        offset = dot(normal, linkage.face_point - pivot)[..., None]
        r = reach + offset - dot(arm, (normal - radial)[..., None, :])
    else:
        normal = turned(linkage.face_normal, np.zeros(3), linkage.pressing_axis, pedal)
        point = turned(linkage.face_point, linkage.pedal_pivot, linkage.pressing_axis, pedal)
        arm = linkage.roller_centre - pivot
        radial = across(axis, arm)
        p, q = dot(normal, radial[..., None, :]), dot(normal, np.cross(axis, radial)[..., None, :])
        r = reach - dot(normal, pivot[..., None, :] + (arm - radial)[..., None, :] - point)
    return p, q, r, np.array(-1.0), p * p + q * q + r * r


def _arched(linkage: ContactLinkage, pedal: Array) -> Terms:
    centre, hollow, distance = linkage.arch
    on_pedal, on_lever = (
        (linkage.roller_centre, centre) if linkage.roller_on == "pedal" else (centre, linkage.roller_centre)
    )
    moving = turned(on_pedal, linkage.pedal_pivot, linkage.pressing_axis, pedal)
    axis, arm = linkage.opening_axis, on_lever - linkage.module_pivot
    radial = across(axis, arm)
    apart = moving - linkage.module_pivot[..., None, :]
    p, q = 2 * dot(apart, radial[..., None, :]), 2 * dot(apart, np.cross(axis, radial)[..., None, :])
    fixed = dot(apart, apart) + dot(arm, arm)[..., None]
    r = fixed - distance[..., None] ** 2 - 2 * dot(apart, (arm - radial)[..., None, :])
    return p, q, r, hollow[..., None], (fixed + distance[..., None] ** 2) ** 2


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
