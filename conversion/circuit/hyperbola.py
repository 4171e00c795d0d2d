r"""The volts as a function of one conductance, for every conductance and not only for the rungs of a ladder.

.. math:: V(g) = V_0 + \frac{g \, \Delta}{1 + g z}

All nodes share one denominator. So each volt, and each sum of volts that a check is made of, runs one way as g grows,
and reaches a given value at one g that is solved for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from conversion.circuit.linear_part import SMALLEST_OHM, exact_responses, weights
from conversion.circuit.network import Array, Indices
from conversion.circuit.standing import find_standing, meets_air

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating


@dataclass(frozen=True)
class Hyperbola:
    """Of each of several pairs of nodes at each position, as far as the linear part holds.

    Attributes:
        start: V₀, without the conductance, NaN where undetermined; (positions, observed). [V]
        slope: Δ, volts for each siemens at first; (pairs, positions, observed). [V/S]
        ohm: z, resistance seen between the two nodes; (pairs, positions). [Ω]
        least: Conductance down to which it holds, negative where what is there is taken away; (pairs, positions). [S]
        most: Conductance up to which it holds, infinite where a dead short is still on it; (pairs, positions). [S]
    """

    start: Array
    slope: Array
    ohm: Array
    least: Array
    most: Array

    def volts(self, siemens: ArrayLike) -> Array:
        """At a conductance of each pair, (pairs,) or (pairs, positions); (pairs, positions, observed). [V]"""
        g = np.asarray(siemens, dtype=float)
        g = np.broadcast_to(g[:, None] if g.ndim == 1 else g, self.ohm.shape)
        return np.asarray(self.start + weights(self.ohm, g)[..., None] * self.slope)

    def siemens_at(self, factors: ArrayLike, level: ArrayLike) -> Array:
        """The conductance at which a sum of the observed volts reaches a level.

        Args:
            factors: Of each observed node; (observed,).
            level: What is reached; (), or (positions,). [V]

        Returns:
            NaN where no conductance for which the hyperbola holds reaches it; (pairs, positions). [S]
        """
        weighed = np.asarray(factors, dtype=float)
        with np.errstate(divide="ignore", invalid="ignore"):
            weight = (np.asarray(level) - self.start @ weighed) / (self.slope @ weighed)
            found = siemens_of(weight, self.ohm)
        return np.where((found >= self.least) & (found <= self.most), found, np.nan)


def siemens_of(weight: Array, ohm: Array) -> Array:
    """The conductance g of a weight g / (1 + g z); NaN for a weight that no conductance has. [S]

    Example:
        >>> siemens_of(np.array([0.5, 1.0, 2.0]), np.array([1.0, 1.0, 1.0]))
        array([ 1., inf, nan])
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        share = weight * ohm
        found = weight / (1.0 - share)
    return np.where(share > 1.0, np.nan, np.where(share == 1.0, np.inf, found))


def find_hyperbola(base: Operating, a: Indices, b: Indices, observed: Indices) -> Hyperbola:
    """The hyperbolas of these pairs of nodes, with the bounds between which no bend turns and no rail is lost."""
    part = base.linear
    rows = np.concatenate([observed, np.arange(part.nodes, len(part.level))])
    seen = exact_responses(part, base.solved, a, b, rows)
    standing = find_standing(base, seen)
    low = np.maximum(standing.low, standing.fed_low)
    high = np.minimum(standing.high, standing.fed_high)
    free = meets_air(base, a, b)
    there = base.items.pairs[:, a, b].T
    with np.errstate(divide="ignore", invalid="ignore"):
        # At −1 / z the volts would grow beyond all bounds; an output can bring that before nothing is left.
        pole = np.where(seen.ohm > 0.0, -1.0 / seen.ohm, -np.inf)
        least = np.where(np.isinf(low), pole, low / (1.0 - low * seen.ohm))
        most = np.where(high * seen.ohm >= 1.0, np.inf, high / (1.0 - high * seen.ohm))
    least = np.where(free, 0.0, np.maximum(least, -there))
    most = np.where(free | (seen.ohm < -SMALLEST_OHM), 0.0, most)
    slope = np.moveaxis(-seen.push[: len(observed)] * seen.between, 0, 2)
    return Hyperbola(base.volts[:, observed], slope, seen.ohm, least, most)
