"""How the readings of each measured point fit, as rows that terminal, pack and programs share."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.plan.tape.points import TapeResult
from conversion.quantities import show


@dataclass(frozen=True, slots=True)
class ReadingFact:
    """One reading of a measured point.

    Attributes:
        text: What was read, from where.
        dimension: ``length`` or ``angle``.
        off: What was read less what fits the point. [mm] or [rad]
        allowed: How far it may be off, its mark's own tolerance included. [mm] or [rad]
        again: Whether it is the one to take again.
    """

    text: str
    dimension: str
    off: float
    allowed: float
    again: bool

    @property
    def agrees(self) -> bool:
        """Whether it fits within its tolerance."""
        return abs(self.off) <= self.allowed


def reading_facts(result: TapeResult) -> tuple[ReadingFact, ...]:
    """Every reading of a point, in the order written."""
    located = result.located
    return tuple(
        ReadingFact(
            reading.text,
            "angle" if reading.kind == "angle" else "length",
            float(located.residuals[index]),
            reading.tolerance,
            result.suspicion.reading == index,
        )
        for index, reading in enumerate(located.readings)
    )


def place_text(result: TapeResult) -> str:
    """Where the point lies, and how surely, in words."""
    parts = (
        f"{show(float(at), 'length')} ± {show(float(off), 'length') if np.isfinite(off) else 'not held'}"
        for at, off in zip(result.located.point_mm, result.located.worst_mm, strict=True)
    )
    return ", ".join(parts)
