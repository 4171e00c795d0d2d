"""Return springs: extension, compression and torsion springs on the pedal or on the lever."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from conversion.description import figures as fig
from conversion.description.parts import Described
from conversion.description.places import Point
from conversion.description.validation import Count


class SpringBase(Described):
    """What every return spring has."""

    acts_on: Literal["pedal", "lever"] = Field(description="The half that it returns.")
    strands: Count = Field(1, description="Strands wound together; they count as one spring.", ge=1, le=8)


class ExtensionSpring(SpringBase):
    """A spring that pulls between a fixed point and the pedal or lever."""

    words_of: ClassVar[str] = "an extension spring"
    type: Literal["extension"]
    fixed_end: Point
    moving_end: Point = Field(description="On the pedal or lever, that half on its rest stop.")
    free_length: fig.Length = Field(description="Hook to hook without load.")
    rate: fig.Stiffness
    initial_tension: fig.Force = Field(None, description="Force before the coils part.")
    longest: fig.Length = Field(None, description="Hook to hook, as far as it may be drawn.")


class CompressionSpring(SpringBase):
    """A spring that pushes between a fixed point and the pedal or lever."""

    words_of: ClassVar[str] = "a compression spring"
    type: Literal["compression"]
    fixed_end: Point
    moving_end: Point = Field(description="On the pedal or lever, that half on its rest stop.")
    free_length: fig.Length
    rate: fig.Stiffness
    shortest: fig.Length = Field(None, description="End to end with its coils touching.")


class TorsionSpring(SpringBase):
    """A spring wound about the axis of its half."""

    words_of: ClassVar[str] = "a torsion spring"
    type: Literal["torsion"]
    rest_moment: fig.Moment = Field(description="Returning moment at the rest stop.")
    rate: fig.AngularStiffness


Spring = Annotated[ExtensionSpring | CompressionSpring | TorsionSpring, Field(discriminator="type")]
