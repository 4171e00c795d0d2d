r"""The closure of a rod linkage as nine numbers.

The pedal pin A turns about the pedal axis by θ, the lever pin B about the lever axis by φ, and the rod keeps
|A − B| = L. Written out, that closure is linear in (1, cos θ, sin θ) and in (1, cos φ, sin φ):

.. math:: F(\theta, \varphi) = |A - B|^2 - L^2
    = [1, \cos\theta, \sin\theta] \; C \; [1, \cos\varphi, \sin\varphi]^T = 0

so nine numbers a linkage hold all its geometry, and each position costs a closed formula instead of a search.
A planar four-bar is the special case of two parallel axes with both pins in one plane.
"""

from __future__ import annotations

import numpy as np

from conversion.linkage.geometry import RodLinkage
from conversion.linkage.turning import Array, across, cross, dot, length, wrapped

# Where the rod stands this close to a dead centre (sine of the transmission angle) when measured, the side on
# which it stands is not known from the measurement.
SIDE_UNKNOWN = 1e-6


def closure_numbers(linkage: RodLinkage) -> tuple[Array, Array]:
    """The nine numbers C of F, (..., 3, 3) [mm²], and the sum of the squared lengths in them, (...) [mm²]."""
    pedal_arm = linkage.pedal_pin_at_rest - linkage.pedal_pivot
    lever_arm = linkage.lever_pin_at_rest_stop - linkage.module_pivot
    a, b = across(linkage.pedal_axis, pedal_arm), across(linkage.module_axis, lever_arm)
    a_side, b_side = cross(linkage.pressing_axis, a), cross(linkage.opening_axis, b)
    # Between the centres of the two circles on which the pins run.
    centres = (linkage.pedal_pivot + pedal_arm - a) - (linkage.module_pivot + lever_arm - b)
    fixed = dot(centres, centres) + dot(a, a) + dot(b, b)
    length_squared = linkage.rod_length_mm**2
    rows = (
        (fixed - length_squared, -2 * dot(centres, b), -2 * dot(centres, b_side)),
        (2 * dot(centres, a), -2 * dot(a, b), -2 * dot(a, b_side)),
        (2 * dot(centres, a_side), -2 * dot(a_side, b), -2 * dot(a_side, b_side)),
    )
    shape = np.broadcast_shapes(*(np.shape(entry) for row in rows for entry in row))
    closure = np.empty((*shape, 3, 3))
    for i, row in enumerate(rows):
        for j, entry in enumerate(row):
            closure[..., i, j] = entry
    return closure, np.broadcast_to(fixed + length_squared, shape)


def pedal_terms(pedal_rad: Array) -> Array:
    """1, cos θ and sin θ of each pedal angle, (..., 3, positions)."""
    return np.stack([np.ones_like(pedal_rad), np.cos(pedal_rad), np.sin(pedal_rad)], axis=-2)


def at_pedal_angles(closure: Array, terms: Array) -> Array:
    """r, p and q of the closure at each pedal angle, (..., 3, positions). [mm²]"""
    return (np.swapaxes(closure, -1, -2) * [[1.0], [-1.0], [-1.0]]) @ terms


def counted_from(closure: Array, direction_rad: Array) -> Array:
    """The closure with lever angles counted from a direction instead of the rest stop."""
    cosine, sine = np.cos(direction_rad)[..., None], np.sin(direction_rad)[..., None]
    p, q = closure[..., 1], closure[..., 2]
    return np.stack([closure[..., 0], p * cosine + q * sine, q * cosine - p * sine], axis=-1)


def measured_side(linkage: RodLinkage, direction_rad: Array, open_rest_rad: Array) -> Array:
    """Branch s = ±1 of each linkage, (...)."""
    rod = linkage.pedal_pin_at_rest - linkage.lever_pin_at_rest_stop
    path = cross(linkage.opening_axis, linkage.lever_pin_at_rest_stop - linkage.module_pivot)
    along_path = dot(rod, path)
    unclear = np.abs(along_path) <= SIDE_UNKNOWN * length(rod) * length(path)
    upper, lower = wrapped(direction_rad + open_rest_rad), wrapped(direction_rad - open_rest_rad)
    nearer = np.where(np.abs(upper) <= np.abs(lower), 1.0, -1.0)
    return np.where(unclear, nearer, np.where(along_path < 0.0, 1.0, -1.0))
