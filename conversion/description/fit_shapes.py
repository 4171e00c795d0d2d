"""Shapes of what stands in the way, each measured with a tape in vehicle axes."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import Field, model_validator

from conversion.description import figures as fig
from conversion.description.outlines import ClosedCorners, OpenCorners
from conversion.description.parts import Described
from conversion.description.places import Direction, Point
from conversion.quantities import Quantity

FORWARD, UP = (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)
SHAPES = ("plane", "sheet", "bar", "block", "outline")


class Plane(Described):
    """A plane without end, all behind it solid."""

    words_of: ClassVar[str] = "a plane"
    point: Point = Field(description="Any point of it.")
    outward: Direction = Field(description="Square to it, out of the solid.")


class Bar(Described):
    """A round bar with round ends, such as a steering column."""

    words_of: ClassVar[str] = "a bar"
    start: Point = Field(description="Middle of one end.")
    end: Point = Field(description="Middle of the other end.")
    radius: fig.Length = Field(description="Of the bar.")

    @model_validator(mode="after")
    def _has_length(self) -> Bar:
        one, other = (_numbers(point) for point in (self.start, self.end))
        if one is not None and one == other:
            raise ValueError("both ends of the bar are the same point")
        return self


class Block(Described):
    """A block with straight edges."""

    words_of: ClassVar[str] = "a block"
    centre: Point = Field(description="Its middle.")
    size: Annotated[list[fig.Length], Field(min_length=3, max_length=3)] = Field(
        description="Its length, width and height: along `along`, across, and along `up`."
    )
    along: Direction = Field(FORWARD, description="Direction of its length.")
    up: Direction = Field(UP, description="Roughly the direction of its height.")

    @model_validator(mode="after")
    def _has_axes(self) -> Block:
        if abs(sum(one * other for one, other in zip(self.along, self.up, strict=True))) > 0.999:
            raise ValueError("'along' and 'up' of a block point the same way; give two that differ")
        return self


class AcrossTheCar(Described):
    """What is told by corners in the side plane and reaches across the car."""

    from_y: fig.Position = Field(description="One end across the car, to the left.")
    to_y: fig.Position = Field(description="The other end.")

    @model_validator(mode="after")
    def _has_width(self) -> AcrossTheCar:
        if self.from_y is not None and self.to_y is not None and self.from_y.nominal == self.to_y.nominal:
            raise ValueError(f"'from_y' and 'to_y' are both {self.from_y.text}, so it has no thickness")
        return self


class Outline(AcrossTheCar):
    """A solid by its outline in the side plane."""

    words_of: ClassVar[str] = "an outline"
    corners: ClosedCorners = Field(description="Around it, in order, each `[forward, up]`.")


class BentSheet(AcrossTheCar):
    """The face of a bulkhead with bends across the car."""

    words_of: ClassVar[str] = "a sheet"
    corners: OpenCorners = Field(description="Along its face on the pedal's side, in order, each `[forward, up]`.")


class Shaped(Described):
    """Something with one shape."""

    plane: Plane | None = Field(None, description="A plane without end.")
    sheet: BentSheet | None = Field(None, description="Of a bulkhead: flat parts with bends across the car.")
    bar: Bar | None = Field(None, description="A round bar.")
    block: Block | None = Field(None, description="A block.")
    outline: Outline | None = Field(None, description="An outline in the side plane.")

    @model_validator(mode="after")
    def _one_shape(self) -> Shaped:
        given = [name for name in SHAPES if name in self.model_fields_set]
        if len(given) != 1:
            have = f"it has {len(given)}: {', '.join(given)}" if given else "it has none"
            raise ValueError(f"an obstacle needs one shape, of {', '.join(SHAPES)}; {have}")
        return self


def _numbers(point: list[Quantity | None] | object) -> list[float] | None:
    """Coordinates of a point that is given by them; None of one from a tape or not known."""
    if not isinstance(point, list):
        return None
    known = [figure.nominal for figure in point if figure is not None]
    return known if len(known) == 3 else None
