"""How small a round bundle a set of wires can be laid into: circles packed in a circle."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from conversion.loom.sites import Array, lay_three, lay_two, site_arrangements
from conversion.loom.squeezing import MOST_SQUEEZED, squeeze, wide_outside

Counts = NDArray[np.int64]

# Two and three circles are laid exactly; marks such a beginning where the index of a layer stands else.
_FEW = {2: lay_two, 3: lay_three}
_FEW_LAID = -1_000_000

# So many of the thinnest wires may lie in the middle of thicker ones.
_MOST_INSIDE = 12


@dataclass(frozen=True, eq=False, slots=True)
class Packing:
    """Wires laid into a circle.

    Attributes:
        diameter_mm: Of the circle round all of them; 0 where there is none. [mm]
        centres_mm: Where each lies, about the middle of the circle, in the order given. Shape (wires, 2). [mm]
    """

    diameter_mm: float
    centres_mm: Array


def pack_circles(diameters_mm: Iterable[float]) -> Packing:
    r"""Lay circles into a circle as small as layers, clusters and filled gaps allow.

    The circles are sorted by size. The first two or three are laid exactly, or the first few take an arrangement of
    :func:`~conversion.loom.sites.site_arrangements`, scaled until they fit, or the last few lie in the middle; the
    others follow in layers about them, each layer a stretch of the sorted list. A layer of radii
    :math:`r_1 \ge r_2 \ge \ldots` about a core of radius :math:`R_0` has its centres at

    .. math:: c = \max\left(R_0 + r_1, \; \frac{r_1}{\sin(\pi r_1 / \sum r)}\right), \qquad R = c + r_1

    and the best of all ways to cut the list into layers is found exactly. Every such arrangement stays one when a
    circle is taken away or made smaller; so another or a thicker wire never makes the bundle thinner. Where circles of
    different size would lie closer in :func:`~conversion.loom.squeezing.wide_outside`, which grows with every wire as
    well, and pushing them about finds room for all of them there, that circle is taken.

    Args:
        diameters_mm: Outer diameters; positive. [mm]

    Returns:
        A packing without overlaps, the same for the same circles in any order.

    Raises:
        ValueError: A diameter is not positive.

    Note:
        Never below the true optimum, since the circles really lie there. Of 1 to 20 equal circles at most 3 % above
        the published optima; of different ones about a tenth above what a long search finds.

    Example:
        >>> [round(pack_circles([2.0] * n).diameter_mm, 3) for n in (1, 2, 3, 4, 7)]
        [2.0, 4.0, 4.309, 4.828, 6.0]
    """
    radii = np.asarray(tuple(diameters_mm), dtype=np.float64) / 2.0
    if radii.size == 0:
        return Packing(0.0, np.zeros((0, 2)))
    if not np.all(radii > 0):
        raise ValueError("a wire's diameter must be positive")
    order = np.argsort(-radii, kind="stable")
    outside, laid = _pack(tuple(radii[order].tolist()))
    centres = np.empty_like(laid)
    centres[order] = laid
    return Packing(2.0 * outside, centres)


@lru_cache(maxsize=4096)
def _pack(radii: tuple[float, ...]) -> tuple[float, Array]:
    """Outside radius and centres of circles given with the largest first."""
    sorted_radii = np.array(radii)
    # Leaving this out for many can only make them wider, so that a wire more still never makes them thinner.
    few_enough = len(radii) <= MOST_SQUEEZED
    inside, best, cut = _layers(sorted_radii, with_inside=few_enough)
    outsides = best[inside, len(radii) - inside]
    chosen = int(np.argmin(outsides))
    outside = float(outsides[chosen])
    laid = _lay(sorted_radii, int(inside[chosen]), best[chosen], cut[chosen])
    if few_enough and len(radii) > max(_FEW) and (wide := wide_outside(sorted_radii)) < outside:
        closer = squeeze(sorted_radii, laid, wide / outside, wide)
        if closer is not None:
            return wide, closer
    return outside, laid


def _layers(radii: Array, *, with_inside: bool) -> tuple[Counts, Array, Counts]:
    """The least outside radius of every beginning of the list, and where its last layer begins.

    Returns:
        How many of the last circles lie in the middle, per row; least radius of the first ``i`` circles about them,
        shape (rows, circles + 1); index at which the outermost layer begins, or -1 - number of an arrangement, or
        that they are few.
    """
    count = len(radii)
    rows = np.arange(min(_MOST_INSIDE, count - 1) + 1 if with_inside else 1)
    best = np.full((len(rows), count + 1), np.inf)
    cut = np.zeros((len(rows), count + 1), dtype=np.int64)
    best[0, 0] = 0.0
    if len(rows) > 1:
        best[1:, 0] = radii[count - rows[1:]] * _equal_outside()[rows[1:]]
    for number, sites in enumerate(site_arrangements()):
        fill = min(count, len(sites.radii))
        scale = np.maximum.accumulate(radii[:fill] / sites.radii[:fill])
        outside = scale * sites.reach[:fill]
        better = outside < best[0, 1 : fill + 1]
        best[0, 1 : fill + 1][better] = outside[better]
        cut[0, 1 : fill + 1][better] = -1 - number
    for few, lay in _FEW.items():
        if few <= count:
            best[0, few], cut[0, few] = lay(radii[:few])[0], _FEW_LAID
    sums = np.concatenate(([0.0], np.cumsum(radii)))
    # A layer that would reach beyond what all circles fit into is no part of the best way to lay them.
    most = np.pi / np.arcsin(radii / np.maximum(_ceiling(radii) - radii, radii))
    stops = np.maximum(np.searchsorted(sums, sums[:-1] + most * radii, side="right"), np.arange(2, count + 2))
    for begin, (largest, stop) in enumerate(zip(radii.tolist(), stops.tolist(), strict=True)):
        here = best[:, begin]
        if (best[:, begin + 1] <= here).all():
            continue  # A layer that begins one later lies about the same core and is no thicker.
        # At least two, so that one thick wire among thin ones is not set beyond the middle of its own layer.
        turn = np.minimum(np.pi * largest / (sums[begin + 1 : stop] - sums[begin]), np.pi / 2.0)
        outside = np.maximum(largest / np.sin(turn), here[:, None] + largest) + largest
        if begin == 0:
            outside[0, 0] = largest
        beyond = best[:, begin + 1 : stop]
        better = outside < beyond
        np.copyto(beyond, outside, where=better)
        np.copyto(cut[:, begin + 1 : stop], begin, where=better)
    return rows, best, cut


def _ceiling(radii: Array) -> float:
    """A circle into which layers of six, twelve, eighteen ... fit, were all as thick as the thickest."""
    layers = math.ceil((math.sqrt(12.0 * len(radii) - 3.0) - 3.0) / 6.0)
    return float(radii[0]) * (2 * max(layers, 1) + 1) * (1.0 + 1e-9)


@cache
def _equal_outside() -> Array:
    """Outside radius of 0, 1, 2, ... circles of radius 1 that may lie in the middle."""
    return _layers(np.ones(_MOST_INSIDE), with_inside=False)[1][0]


def _lay(radii: Array, inside: int, best: Array, cut: Counts) -> Array:
    """The centres that go with the least outside radius, found backwards from the outermost layer."""
    centres = np.zeros((len(radii), 2))
    end = len(radii) - inside
    if inside:
        _, equal = _pack((1.0,) * inside)
        centres[end:] = radii[end] * equal
    while end > 0:
        begin = int(cut[end])
        if begin == _FEW_LAID:
            centres[:end] = _FEW[end](radii[:end])[1]
            break
        if begin < 0:
            sites = site_arrangements()[-1 - begin]
            centres[:end] = sites.centres[:end] * np.max(radii[:end] / sites.radii[:end])
            break
        centre = best[end] - radii[begin]
        if begin or end > 1 or inside:
            angles = np.arcsin(np.minimum(radii[begin:end] / centre, 1.0))
            free = (2.0 * np.pi - 2.0 * float(angles.sum())) / len(angles)
            at = np.cumsum(2.0 * angles + free) - angles
            centres[begin:end] = centre * np.column_stack((np.cos(at), np.sin(at)))
        end = begin
    return centres
