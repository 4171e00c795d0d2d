"""Position sensor tracks: principle, output, resistances, pull resistors."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any, ClassVar, Literal

from pydantic import (
    BeforeValidator,
    Field,
    InstanceOf,
    model_validator,
)

from conversion.description import figures as fig
from conversion.description.parts.base import Described
from conversion.description.roles import ground_for_earth


class PullForm(Described):
    """A resistor from a signal to ground or to the track's supply."""

    words_of: ClassVar[str] = "a pull resistor"
    to: Annotated[
        Literal["ground", "supply"], BeforeValidator(ground_for_earth), fig.AlsoWritten({"const": "earth"})
    ] = Field(description="Where the resistor pulls an open signal.")
    resistance: fig.Resistance = Field(description="Its resistance.")


@dataclass(frozen=True)
class NoPull:
    """Said in so many words that there is no pull resistor."""


def _pull_or_none(value: Any) -> Any:
    if isinstance(value, str):
        word = value.strip().lower()
        if word == "none":
            return NO_PULL
        if word == fig.UNKNOWN:
            return None
        raise ValueError("a pull resistor is a mapping with 'to' and 'resistance', or 'none', or 'unknown'")
    return value


NO_PULL = NoPull()
Pull = Annotated[
    PullForm | InstanceOf[NoPull] | None,
    BeforeValidator(_pull_or_none),
    fig.AlsoWritten({"enum": ["none", fig.UNKNOWN]}),
]


class OutputPoint(Described):
    """One row of a track's table: lever angle and output there."""

    words_of: ClassVar[str] = "a point of the output"
    at: fig.AngleOrShare = Field(
        description="Lever angle from the module's own rest stop; of a throttle body, the opening in %."
    )
    output: fig.OutputLevel = Field(description="Share of the supply in %, or volts (see 'at_supply').")


class Output(Described):
    """A track's unloaded output: a straight line from rest to full, or a table of points."""

    words_of: ClassVar[str] = "a track's output"
    rest: fig.OutputLevel = Field(None, description="At the module's own rest stop (throttle: closed plate).")
    full: fig.OutputLevel = Field(None, description="Where the sweep ends (throttle: open plate).")
    points: list[OutputPoint] | None = Field(None, description="Instead of a line: at least two points.")
    at_supply: fig.PositiveVoltage = Field(
        None, description="Supply at which outputs in volts were read; makes them a share of the supply."
    )

    @model_validator(mode="after")
    def _line_or_table(self) -> Output:
        line = {"rest", "full"} & self.model_fields_set
        if self.points is None and line != {"rest", "full"}:
            raise ValueError("an output needs both 'rest' and 'full', or a table of 'points'")
        if self.points is not None:
            if line:
                raise ValueError("an output is a line ('rest' and 'full') or a table ('points'), not both")
            if len(self.points) < 2:
                raise ValueError("a table of the output needs at least two points")
            angles = [point.at.nominal for point in self.points if point.at is not None]
            if any(later <= earlier for earlier, later in pairwise(angles)):
                raise ValueError("the points of the output must rise in lever angle")
        levels = [self.rest, self.full, *(point.output for point in self.points or [])]
        if any(level is not None and level.dimension == "voltage" for level in levels) and self.at_supply is None:
            raise ValueError("outputs in volts need 'at_supply', the supply at which they were read")
        for level in levels:
            if level is not None and level.dimension == "ratio" and level.high > 1.0:
                raise ValueError(f"an output of '{level.text}' rises above the supply")
        return self


_DIGITAL = {"sent", "pwm", "can", "lin", "psi5", "spi", "digital", "i2c", "spc"}


def _analogue(value: Any) -> Any:
    if isinstance(value, str) and value.strip().lower() in _DIGITAL:
        raise ValueError(
            f"a sensor of the principle '{value}' sends digital messages, not volts; treadle cannot judge it. "
            "Use a module with analogue tracks (potentiometer, hall or inductive)"
        )
    return value


class Track(Described):
    """One independent output of a position sensor."""

    words_of: ClassVar[str] = "a sensor track"
    principle: Annotated[Literal["potentiometer", "hall", "inductive"], BeforeValidator(_analogue)]
    output: Output
    resistance: fig.Resistance = Field(None, description="Potentiometer: end to end, between supply and ground.")
    source_resistance: fig.SmallResistance = Field(
        None,
        description="In the signal path inside the module: wiper and protection, or a Hall output's own.",
    )
    supply_current: fig.Current = Field(None, description="Hall or inductive: what the track draws from its supply.")
    series: fig.SmallResistance = Field(None, description="Resistor that the builder puts in the signal wire.")
    pull: Pull = Field(None, description="Pull resistor at the module's end, or 'none'.")
