"""What every kind of linkage has and gives, so that the rest of the room need not know which kind it is."""

from __future__ import annotations

from abc import abstractmethod
from dataclasses import dataclass, fields, replace
from typing import Any, ClassVar, Literal, Self, TypeVar

import numpy as np

from conversion.linkage.turning import Array

# A one-way link that asks for a lever angle this little below the rest stop has taken hold. [rad]
TAKEN_HOLD_RAD = 1e-9

EventKind = Literal["lock", "reversal", "no-solution", "slack", "unwrapped", "lift-off", "run-off"]


class Linkage:
    """A pedal, a module's lever, and what joins them. Each kind is a frozen dataclass that adds its own figures.

    Every array may carry leading axes, (samples, 3) for (3,), for many linkages at once.

    Attributes:
        pedal_pivot: A point of the pedal axis. [mm]
        pedal_axis: Unit vector along it.
        pedal_sense: +1 if the pedal turns right-handed about pedal_axis when pressed, else −1.
        module_pivot: A point of the axis of the module's lever. [mm]
        module_axis: Unit vector along it.
        lever_sense: +1 if the lever turns right-handed about module_axis toward full, else −1.
        VECTORS: Names of the fields that hold x, y and z.
        UNITS: Those of them that are unit vectors.
        NUMBERS: Names of the fields that hold one number and may carry a tolerance.
        POSITIVE: Those of them that must be more than zero.
        ADJUSTED: Name of the field that is set at fitting.
        one_way: True if the link can open the lever but not bring it back: a cable or a contact.
        can_part: False where pedal and lever are one body.
    """

    pedal_pivot: Array
    pedal_axis: Array
    pedal_sense: Array
    module_pivot: Array
    module_axis: Array
    lever_sense: Array

    VECTORS: ClassVar[tuple[str, ...]]
    UNITS: ClassVar[tuple[str, ...]] = ("pedal_axis", "module_axis")
    SENSES: ClassVar[tuple[str, ...]] = ("pedal_sense", "lever_sense")
    NUMBERS: ClassVar[tuple[str, ...]]
    POSITIVE: ClassVar[tuple[str, ...]] = ()
    ADJUSTED: ClassVar[str]
    one_way: ClassVar[bool] = False
    can_part: ClassVar[bool] = True

    def __post_init__(self) -> None:
        for name in arrays_of(self):
            object.__setattr__(self, name, np.asarray(getattr(self, name), dtype=np.float64))
        for name in self.VECTORS:
            if getattr(self, name).shape[-1:] != (3,):
                raise ValueError(f"{name} has shape {getattr(self, name).shape}; it must end in 3 (x, y, z)")
        for name in self.UNITS:
            if np.any(np.abs(np.linalg.norm(getattr(self, name), axis=-1) - 1.0) > 1e-6):
                raise ValueError(f"{name} must be a unit vector")
        for name in self.SENSES:
            if np.any(np.abs(getattr(self, name)) != 1.0):
                raise ValueError(f"{name} must be +1 or -1")
        for name in self.POSITIVE:
            if np.any(getattr(self, name) <= 0.0):
                raise ValueError(f"{name} must be positive")

    @property
    def pressing_axis(self) -> Array:
        """Axis about which pressing the pedal is a right-handed turn, (..., 3)."""
        return self.pedal_axis * self.pedal_sense[..., None]

    @property
    def opening_axis(self) -> Array:
        """Axis about which the lever's way to full is a right-handed turn, (..., 3)."""
        return self.module_axis * self.lever_sense[..., None]

    @property
    def is_one(self) -> bool:
        """False if any figure has leading axes, that is, if these are many linkages at once."""
        return all(getattr(self, name).ndim == (name in self.VECTORS) for name in arrays_of(self))


def arrays_of(linkage: Linkage) -> tuple[str, ...]:
    """Names of the fields of a linkage that hold figures."""
    held = (*linkage.VECTORS, *linkage.SENSES, *linkage.NUMBERS)
    return tuple(field.name for field in fields(linkage) if field.name in held)  # type: ignore[arg-type]


AnyLinkage = TypeVar("AnyLinkage", bound=Linkage)


def stacked(linkage: AnyLinkage, samples: int) -> AnyLinkage:
    """The same linkage ``samples`` times along a leading axis, every field writable on its own."""
    copies = {name: np.repeat(getattr(linkage, name)[None, ...], samples, axis=0) for name in arrays_of(linkage)}
    return with_figures(linkage, copies)


def with_figures(linkage: AnyLinkage, figures: dict[str, Array]) -> AnyLinkage:
    """The linkage with some of its figures exchanged."""
    changed: Any = replace(linkage, **figures)  # type: ignore[type-var]
    return changed


@dataclass(frozen=True)
class Watch:
    """A figure whose sign tells of something that a linkage must not do.

    Attributes:
        kind: What it tells of; see :class:`~conversion.linkage.events.Event`.
        value: It happens where this changes sign, or for a stretch, while this is negative; (positions,).
        happens: For a stretch: where it happens; None for what happens at one pedal angle.
        where: Which part of the linkage, in words; empty where there is only one.
        touching: A value that only comes down to this without changing sign counts as well.
    """

    kind: EventKind
    value: Array
    happens: np.ndarray | None = None
    where: str = ""
    touching: float = 0.0

    def at(self, where: str) -> Self:
        """The same, of a named part."""
        return replace(self, where=where)


@dataclass(frozen=True)
class Motion:
    """Every position of a linkage. Shapes are (positions,), or (samples, positions) for many linkages.

    Attributes:
        linkage: What was solved.
        pedal_angle_rad: From the pedal's rest stop, positive pressed. [rad]
        lever_angle_rad: From the module's rest stop, positive toward full; nan where the linkage cannot
            close. A one-way link leaves the lever on its rest stop, at zero, until it takes hold. [rad]
        exists: True where the linkage closes.
    """

    linkage: Linkage
    pedal_angle_rad: Array
    lever_angle_rad: Array
    exists: np.ndarray

    @property
    def driven_rad(self) -> Array:
        """Lever angle that the link asks for: below zero while a one-way link has not taken hold. [rad]"""
        return self.lever_angle_rad

    @property
    def holds(self) -> np.ndarray:
        """True where the link turns the lever; False while a one-way link has not taken hold, (..., positions)."""
        if not self.linkage.one_way:
            return self.exists
        return self.exists & ~(self.driven_rad < -TAKEN_HOLD_RAD)

    @property
    @abstractmethod
    def ratio(self) -> Array:
        """Lever angle gained for each pedal angle, positive toward full."""

    @property
    @abstractmethod
    def pedal_pin_mm(self) -> Array:
        """Where the link leaves the pedal, (..., positions, 3). [mm]"""

    @property
    @abstractmethod
    def lever_pin_mm(self) -> Array:
        """Where the link meets the lever, (..., positions, 3). [mm]"""

    @property
    @abstractmethod
    def pedal_arm_mm(self) -> Array:
        """Moment about the pedal axis for each newton in the link; its sign that of the ratio at its end. [mm]"""

    @property
    @abstractmethod
    def lever_arm_mm(self) -> Array:
        """Moment about the lever's axis for each newton in the link. [mm]"""

    @property
    def transmission_lever_rad(self) -> Array:
        """Between the link and the tangent's normal at the lever, best at π/2; nan where the kind has none. [rad]"""
        return np.full(self.lever_angle_rad.shape, np.nan)

    @property
    def transmission_pedal_rad(self) -> Array:
        """The same at the pedal. [rad]"""
        return np.full(self.lever_angle_rad.shape, np.nan)

    @property
    def link_moment_nm(self) -> Array:
        """Moment about the pedal axis, toward rest, of a spring that is part of the link itself. [N·m]"""
        return np.zeros(self.lever_angle_rad.shape)

    @abstractmethod
    def link_lines_mm(self) -> tuple[Array, ...]:
        """Lines of the link for a drawing, (..., positions, points, 3) each. [mm]"""

    @abstractmethod
    def quantities(self) -> dict[str, Array]:
        """What is special to this kind, (..., positions) each, the unit in the name."""

    @abstractmethod
    def watched(self) -> tuple[Watch, ...]:
        """What must be looked for over the travel; the same number of them at any pedal angles."""

    def why_none(self) -> tuple[Literal["", "short", "long"], str]:
        """For one position that does not close: what the rod is, and which rod where there are two."""
        return "", ""
