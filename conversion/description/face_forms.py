"""The flat face of the bracket that the module is bolted to, as it is to be cut and drilled."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import Field, model_validator

from conversion.description import figures as fig
from conversion.description.outlines import ClosedCorners, SideCorner, holds_circle, known_corners
from conversion.description.parts import Described


class FaceHole(Described):
    """A round hole in the bracket's face."""

    words_of: ClassVar[str] = "a hole"
    at: SideCorner = Field(description="Its centre, `[across, up]`, in the face's own axes.")
    diameter: fig.Length = Field(description="Of the hole.")


class BracketFace(Described):
    """The face that the module is bolted to, seen from the module's side, in axes of its own."""

    words_of: ClassVar[str] = "the bracket's face"
    corners: ClosedCorners = Field(
        description="Around it, in order, each `[across, up]` from any point, such as the module's axis."
    )
    holes: Annotated[list[FaceHole], Field(min_length=1)] = Field(
        description="The module's own holes, measured on the module, and its axis if that goes through."
    )

    @model_validator(mode="after")
    def _can_be_drilled(self) -> BracketFace:
        known = [
            (hole.at[0].nominal, hole.at[1].nominal, hole.diameter.nominal)
            for hole in self.holes
            if hole.at[0] is not None and hole.at[1] is not None and hole.diameter is not None
        ]
        for index, (x, y, size) in enumerate(known):
            for a, b, other in known[:index]:
                if (x - a) ** 2 + (y - b) ** 2 <= ((size + other) / 2) ** 2:
                    raise ValueError(
                        f"the holes at ({a:g}, {b:g}) mm and ({x:g}, {y:g}) mm run into each other; measure again"
                    )
        outline = known_corners(self.corners)
        for x, y, size in known:
            if outline is not None and not holds_circle(outline, (x, y), size / 2):
                raise ValueError(
                    f"the hole of {size:g} mm at ({x:g}, {y:g}) mm does not lie within the face's outline; holes and "
                    "corners count from the same point"
                )
        return self
