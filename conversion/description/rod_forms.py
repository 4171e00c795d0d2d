"""Rods with a ball joint at either end: length, joints, thread, and what holds them together."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts import Described
from conversion.description.places import Direction
from conversion.description.validation import Flag


class RodEnd(Described):
    """A ball joint at one end of a rod."""

    words_of: ClassVar[str] = "a rod end"
    bolt: Direction = Field(description="Direction of the bolt that holds the ball, what it sits on being at rest.")
    limit: fig.PositiveAngle = Field(None, description="How far the rod may lean from square to the bolt.")
    held: Literal["both sides", "one side"] | None = Field(
        None, description="Whether the bolt is held on both sides of the ball or sticks out from one."
    )
    bolt_diameter: fig.Length = Field(None, description="Of the bolt where it leaves what holds it.")
    overhang: fig.Length = Field(
        None, description="From the middle of the ball to where the bolt is held, where that is on one side."
    )
    washer: Flag = Field(
        False, description="Whether a captive washer, larger than the joint's housing, keeps the rod on its bolt."
    )


class RodThread(Described):
    """The thread by which a rod is adjusted."""

    words_of: ClassVar[str] = "a rod's thread"
    diameter: fig.Length = Field(description="Outer diameter of the thread.")
    engaged: fig.Length = Field(description="Thread engaged at each end at the described length.")
    adjust: fig.LengthOrZero = Field(
        None, description="From the shortest to the longest that it can be screwed, the described length in the middle."
    )
    locked: Flag = Field(False, description="Whether a lock nut, or something as good, holds it at both ends.")


class RodMade(Described):
    """What every rod has."""

    thread: RodThread | None = Field(None, description="The thread by which its length is adjusted.")
    diameter: fig.Length = Field(None, description="Of the rod between its ends; judges buckling.")


class FirstRod(RodMade):
    """The first of two rods, as long as its pins are apart at rest."""

    words_of: ClassVar[str] = "the first rod"
    pedal_end: RodEnd | None = Field(None, description="The ball joint on the pedal.")
    crank_end: RodEnd | None = Field(None, description="The ball joint on the bell-crank.")


class AdjustedRod(RodMade):
    """A rod that is given its length at fitting; the one that meets the lever."""

    length: fig.Length = Field(None, description="Between the centres of the ball joints.")
    set_at_rest: fig.Angle = Field(
        None,
        description="Lever angle to which the rod is adjusted at fitting, the pedal at rest; the length follows. "
        "A length given as well is compared with it.",
    )
    lever_end: RodEnd | None = Field(None, description="The ball joint on the lever.")
    side_load_limit: fig.PositiveForce = Field(
        None, description="Greatest force along its axis that the module's lever may take; many levers are plastic."
    )

    @model_validator(mode="after")
    def _has_length(self) -> AdjustedRod:
        if not {"length", "set_at_rest"} & self.model_fields_set:
            raise ValueError("a rod needs its 'length', or 'set_at_rest' where it is adjusted at fitting")
        return self


class Rod(AdjustedRod):
    """The rod between pedal and lever, ball joint to ball joint."""

    words_of: ClassVar[str] = "the rod"
    pedal_end: RodEnd | None = Field(None, description="The ball joint on the pedal.")


class SecondRod(AdjustedRod):
    """The second of two rods, from the bell-crank to the lever."""

    words_of: ClassVar[str] = "the second rod"
    crank_end: RodEnd | None = Field(None, description="The ball joint on the bell-crank.")
