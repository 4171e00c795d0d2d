"""Points and directions in vehicle axes: x forward, y left, z up (ISO 8855), any origin.

A point is three lengths, or readings of a tape from marks whose places are known.
"""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts import Described
from conversion.description.validation import Name

DIRECTIONS = {
    "forward": (1.0, 0.0, 0.0), "back": (-1.0, 0.0, 0.0), "left": (0.0, 1.0, 0.0),
    "right": (0.0, -1.0, 0.0), "up": (0.0, 0.0, 1.0), "down": (0.0, 0.0, -1.0),
}  # fmt: skip

Side = Literal["forward", "back", "left", "right", "up", "down"]


def _direction(value: Any) -> Any:
    if isinstance(value, str):
        word = value.strip().lower()
        if word in DIRECTIONS:
            return DIRECTIONS[word]
        raise ValueError(f"'{value}' is no direction; write {', '.join(DIRECTIONS)}, or three numbers [x, y, z]")
    if not isinstance(value, list) or len(value) != 3:
        raise ValueError("a direction is a word such as 'left', or a list of three numbers [forward, left, up]")
    try:
        numbers = tuple(float(item) for item in value)
    except (TypeError, ValueError):
        raise ValueError("a direction's three entries are plain numbers without a unit") from None
    length = sum(number * number for number in numbers) ** 0.5
    if not 1e-9 < length < 1e9:
        raise ValueError("a direction needs a length; [0, 0, 0] points nowhere")
    return tuple(number / length for number in numbers)


Direction = Annotated[
    tuple[float, float, float],
    BeforeValidator(_direction),
    fig.AlsoWritten({"enum": list(DIRECTIONS)}),
]


class TapeAngle(Described):
    """An angle read with a protractor at a mark."""

    words_of: ClassVar[str] = "a protractor reading"
    between: Direction = Field(description="Direction from which the angle is counted, such as 'up'.")
    reads: fig.PositiveAngle = Field(description="Angle between that direction and the line to the point.")


class TapePoint(Described):
    """A point by readings from marks: distances, protractor angles, and coordinates that are known anyway."""

    words_of: ClassVar[str] = "a point from a tape"
    distances: dict[Name, fig.Length] = Field(
        default_factory=dict, alias="from", description="Distance from each mark, by the mark's name."
    )
    angles: dict[Name, TapeAngle] = Field(default_factory=dict, description="Protractor readings, by the mark's name.")
    x: fig.Position = Field(None, description="Forward, where it is known.")
    y: fig.Position = Field(None, description="To the left, where it is known.")
    z: fig.Position = Field(None, description="Up, where it is known.")
    side: Side | None = Field(None, description="On which side of the marks it lies, where two places fit.")

    @model_validator(mode="after")
    def _has_readings(self) -> TapePoint:
        if not self.distances and not self.angles:
            raise ValueError("a point from a tape needs 'from', the distances from marks; or write [forward, left, up]")
        return self


def _point(value: Any) -> Any:
    if isinstance(value, dict) or (isinstance(value, list) and len(value) == 3):
        return value
    raise ValueError(
        "a point is a list of three lengths: [forward, left, up], such as [120 mm, 0 mm, 45 mm], "
        "or a mapping with 'from', the distances from marks"
    )


Coordinates = Annotated[list[fig.Position], Field(min_length=3, max_length=3)]
Point = Annotated[Coordinates | TapePoint, BeforeValidator(_point)]
