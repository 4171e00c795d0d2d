"""Friction of the pedal and of the module's lever: as described, or a stated default."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.description import Description
from conversion.description.parts import PedalModule
from conversion.quantities import Quantity

PEDAL_DEFAULT_NM = 0.10
LEVER_DEFAULT_NM = 0.05
WHY_DEFAULT = (
    "a dry plain bush of 10 mm radius at the pedal, 5 mm at the lever, pressed with 50 N at a coefficient of 0.2 "
    "(common practice, no source)"
)
"""Where the defaults come from: moment = coefficient · force · radius."""


@dataclass(frozen=True, slots=True)
class Friction:
    """A moment of friction, its greatest.

    Attributes:
        moment_nm: What the return is judged with. [N·m]
        device: Device whose part file has it; empty for the pedal.
        path: Where it stands, or would.
        described: False where the default was taken.
    """

    moment_nm: float
    device: str
    path: tuple[str, ...]
    described: bool


def frictions(description: Description) -> tuple[Friction, Friction]:
    """Of the pedal about its axis and of the lever about its own."""
    form = description.conversion.linkage
    assert form is not None, "asked only where a linkage is described"
    part = description.parts[form.module.device]
    assert isinstance(part, PedalModule), "the linkage's device is checked when the description is read"
    return (
        _taken(form.pedal.friction, PEDAL_DEFAULT_NM, "", ("linkage", "pedal", "friction")),
        _taken(part.lever.friction, LEVER_DEFAULT_NM, form.module.device, ("lever", "friction")),
    )


def _taken(figure: Quantity | None, default: float, device: str, path: tuple[str, ...]) -> Friction:
    if figure is None:
        return Friction(default, device, path, described=False)
    return Friction(figure.high, device, path, described=True)
