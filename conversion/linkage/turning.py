"""Points that turn about an axis, and the arc that the pad of a pedal runs on.

Everything in the linkage room is a body turning about a fixed axis: the pedal, the lever of the module, the
points on them where springs and rods are held. Vehicle axes follow ISO 8855 (x forward, y left, z up),
lengths are millimetres, angles radians, and a turn is positive by the right-hand rule about the axis.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def dot(left: ArrayLike, right: ArrayLike) -> Array:
    """Scalar product over the last axis of two arrays of vectors, (..., 3) each; shape (...).

    Example:
        >>> float(dot([1.0, 2.0, 3.0], [4.0, 5.0, 6.0]))
        32.0
    """
    # Several times as fast as multiplying and adding up, which makes an array of all products first.
    return np.asarray(np.einsum("...i,...i->...", np.asarray(left, float), np.asarray(right, float)))


def cross(left: ArrayLike, right: ArrayLike) -> Array:
    """Vector product over the last axis of two arrays of vectors, (..., 3) each; shape (..., 3).

    Example:
        >>> cross([1.0, 0.0, 0.0], [0.0, 1.0, 0.0]).tolist()
        [0.0, 0.0, 1.0]
    """
    # Of few vectors several times as fast as numpy's own, which first finds out about axes and sizes.
    a, b = np.asarray(left, float), np.asarray(right, float)
    found = np.empty(np.broadcast_shapes(a.shape, b.shape))
    found[..., 0] = a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1]
    found[..., 1] = a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2]
    found[..., 2] = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return found


def foot_of(pivot: Array, axis: Array, point: Array) -> Array:
    """The point of an axis that is nearest to a point, (3,). [mm]

    Args:
        pivot: A point of the axis. [mm]
        axis: Its direction, of length 1.
        point: The point beside it. [mm]

    Example:
        >>> foot_of(np.zeros(3), np.array([0.0, 1.0, 0.0]), np.array([3.0, 4.0, 0.0])).tolist()
        [0.0, 4.0, 0.0]
    """
    arm = point - pivot
    return np.asarray(pivot + arm - across(axis, arm))


def across(axis: ArrayLike, vector: ArrayLike) -> Array:
    """The part of a vector that is perpendicular to a unit axis, (..., 3).

    Example:
        >>> across([0.0, 0.0, 1.0], [3.0, 4.0, 5.0]).tolist()
        [3.0, 4.0, 0.0]
    """
    axis, vector = np.asarray(axis, float), np.asarray(vector, float)
    return vector - dot(axis, vector)[..., None] * axis


def length(vector: ArrayLike) -> Array:
    """Length of each vector of an array (..., 3); shape (...).

    Example:
        >>> float(length([3.0, 0.0, 4.0]))
        5.0
    """
    return np.sqrt(dot(vector, vector))


def wrapped(angle_rad: ArrayLike) -> Array:
    """The same direction between −π and π. [rad]

    Example:
        >>> round(float(wrapped(1.5 * np.pi)) / np.pi, 12)
        -0.5
    """
    return np.arctan2(np.sin(angle_rad), np.cos(angle_rad))


def turned(point_mm: ArrayLike, pivot_mm: ArrayLike, axis: ArrayLike, angle_rad: ArrayLike) -> Array:
    r"""Place of a point after its body has turned about an axis.

    .. math:: X = P + x_\parallel + x_\perp \cos\alpha + (u \times x_\perp) \sin\alpha, \quad x = X_0 - P

    Args:
        point_mm: The point at angle zero; (3,) or (samples, 3). [mm]
        pivot_mm: Any point of the axis; (3,) or (samples, 3). [mm]
        axis: Unit vector along the axis; (3,) or (samples, 3).
        angle_rad: Turn, right-handed about the axis; (positions,) or (samples, positions). [rad]

    Returns:
        (positions, 3) or (samples, positions, 3). [mm]

    Example:
        >>> turned([100, 0, 0], [0, 0, 0], [0, 0, 1], [0.0, np.pi / 2]).round(9).tolist()
        [[100.0, 0.0, 0.0], [0.0, 100.0, 0.0]]
    """
    pivot, axis = np.asarray(pivot_mm, float), np.asarray(axis, float)
    arm = np.asarray(point_mm, float) - pivot
    radial = across(axis, arm)
    angle = np.asarray(angle_rad, float)[..., None]
    centre = pivot + arm - radial
    sideways = cross(axis, radial)
    return centre[..., None, :] + radial[..., None, :] * np.cos(angle) + sideways[..., None, :] * np.sin(angle)


def pad_radius_mm(pedal_pivot_mm: ArrayLike, pedal_axis: ArrayLike, pad_centre_mm: ArrayLike) -> Array:
    """Distance of the pad's centre from the pedal axis: the radius of the arc on which pad travel is
    measured.

    Args:
        pedal_pivot_mm: Any point of the pedal axis; (..., 3). [mm]
        pedal_axis: Unit vector along it; (..., 3).
        pad_centre_mm: Centre of the pad's face; (..., 3). [mm]

    Returns:
        (...). [mm]

    Example:
        >>> float(pad_radius_mm([0, 0, 0], [0, 1, 0], [-60, 25, -240])) == (60**2 + 240**2) ** 0.5
        True
    """
    arm = np.asarray(pad_centre_mm, float) - np.asarray(pedal_pivot_mm, float)
    return length(across(pedal_axis, arm))


def pad_travel_mm(pedal_angle_rad: ArrayLike, radius_mm: ArrayLike) -> Array:
    """Arc length that the pad has moved from the pedal's rest stop, angle times radius. [mm]

    Example:
        >>> float(pad_travel_mm(0.2, 250.0))
        50.0
    """
    return np.multiply(pedal_angle_rad, radius_mm, dtype=np.float64)


def pedal_angle_rad(travel_mm: ArrayLike, radius_mm: ArrayLike) -> Array:
    """Pedal angle at which the pad has moved so far along its arc; the inverse of :func:`pad_travel_mm`.
    [rad]

    Example:
        >>> float(pedal_angle_rad(50.0, 250.0))
        0.2
    """
    return np.divide(travel_mm, radius_mm, dtype=np.float64)
