"""How well a share of samples tells a chance: the interval of Clopper and Pearson."""

from __future__ import annotations

from dataclasses import dataclass
from math import lgamma, log, log1p

import numpy as np


@dataclass(frozen=True, slots=True)
class Chance:
    """How often something happened in a number of samples, and what chance that stands for.

    Attributes:
        happened: In how many samples.
        samples: Out of how many.
        least: Lower end of the confidence interval of the chance.
        most: Its upper end; not zero even where it never happened.
        confidence: Of the interval.
    """

    happened: int
    samples: int
    least: float
    most: float
    confidence: float

    @property
    def share(self) -> float:
        """Share of the samples in which it happened."""
        return self.happened / self.samples


def chance(happened: int, samples: int, confidence: float = 0.95) -> Chance:
    r"""The chance of an event, with the exact interval of Clopper and Pearson.

    .. math:: \sum_{j \ge k} \binom{n}{j} p_{least}^j (1 - p_{least})^{n-j} = \frac{\alpha}{2}
        = \sum_{j \le k} \binom{n}{j} p_{most}^j (1 - p_{most})^{n-j}

    Exact means that the interval holds the true chance at least as often as it says; it errs on the wide side,
    which is the right one where the event is that a stop is missed.

    Args:
        happened: k, from 0 to samples.
        samples: n, positive.
        confidence: 1 − α, between 0 and 1.

    Returns:
        The share with its interval.

    Raises:
        ValueError: an argument is outside its range.

    Example:
        Never in 1000 samples may still be about 4 in 1000:

        >>> round(chance(0, 1000).most, 5)
        0.00368

    References:
        C. J. Clopper, E. S. Pearson, The use of confidence or fiducial limits illustrated in the case of the
        binomial, Biometrika 26 (1934).
    """
    if not 0 <= happened <= samples or samples <= 0:
        raise ValueError(f"{happened} of {samples} samples is no share")
    if not 0.0 < confidence < 1.0:
        raise ValueError("confidence must lie between 0 and 1")
    tail = (1.0 - confidence) / 2.0
    # Exchanging what happened and what did not turns the lower limit into an upper one.
    return Chance(
        happened, samples, 1.0 - _most(samples - happened, samples, tail), _most(happened, samples, tail), confidence
    )


def _most(happened: int, samples: int, tail: float) -> float:
    """The chance at which ``happened`` or less is as rare as ``tail``."""
    if happened == samples:
        return 1.0
    counts = np.arange(happened, 0, -1, dtype=np.float64)
    # Each term of the sum from the one above it, so that no large factorial is ever formed.
    steps = np.concatenate([[0.0], np.cumsum(np.log(counts / (samples - counts + 1.0)))])
    first = lgamma(samples + 1) - lgamma(happened + 1) - lgamma(samples - happened + 1)
    below, above = happened / samples, 1.0
    while above - below > 1e-14 * above:
        middle = (below + above) / 2
        odds = log1p(-middle) - log(middle)
        top = first + happened * log(middle) + (samples - happened) * log1p(-middle)
        rarity = float(np.sum(np.exp(top + steps + odds * np.arange(happened + 1))))
        if middle in (below, above):
            break
        below, above = (middle, above) if rarity > tail else (below, middle)
    return (below + above) / 2
