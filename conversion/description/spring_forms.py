"""Return springs: extension, compression and torsion springs on the pedal or on the lever."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts import Described
from conversion.description.places import Point
from conversion.description.validation import Count


class SpringBase(Described):
    """What every return spring has."""

    acts_on: Literal["pedal", "lever"] = Field(description="The half that it returns.")
    strands: Count = Field(1, description="Strands wound together; they count as one spring.", ge=1, le=8)


class Coil(Described):
    """A coil spring by what a caliper reads; its rate follows, to some per cent."""

    words_of: ClassVar[str] = "a spring's coil"
    wire: fig.Length = Field(description="Diameter of the round wire.")
    outside: fig.Length = Field(description="Outer diameter of the coil.")
    coils: Count = Field(
        description="Coils that work: all of an extension spring's body; two fewer than are counted of a compression "
        "spring with closed ends.",
        ge=1,
        le=200,
    )
    steel: Literal["spring", "stainless"] = Field("spring", description="What the wire is drawn from.")

    @model_validator(mode="after")
    def _wound(self) -> Coil:
        if self.wire is not None and self.outside is not None and self.outside.low <= 2.0 * self.wire.high:
            raise ValueError("a coil's outside must be more than two wires across")
        return self


class CoilSpring(SpringBase):
    """What extension and compression springs have besides."""

    rate: fig.Stiffness = None
    coil: Coil | None = Field(None, description="Instead of its rate: wire, outside and number of coils.")

    @model_validator(mode="after")
    def _one_rate(self) -> CoilSpring:
        if len({"rate", "coil"} & self.model_fields_set) != 1:
            raise ValueError("a coil spring needs either its 'rate' or its 'coil', not both")
        return self


class ExtensionSpring(CoilSpring):
    """A spring that pulls between a fixed point and the pedal or lever."""

    words_of: ClassVar[str] = "an extension spring"
    type: Literal["extension"]
    fixed_end: Point
    moving_end: Point = Field(description="On the pedal or lever, that half on its rest stop.")
    free_length: fig.Length = Field(description="Hook to hook without load.")
    initial_tension: fig.Force = Field(None, description="Force before the coils part.")
    longest: fig.Length = Field(None, description="Hook to hook, as far as it may be drawn.")


class CompressionSpring(CoilSpring):
    """A spring that pushes between a fixed point and the pedal or lever."""

    words_of: ClassVar[str] = "a compression spring"
    type: Literal["compression"]
    fixed_end: Point
    moving_end: Point = Field(description="On the pedal or lever, that half on its rest stop.")
    free_length: fig.Length
    shortest: fig.Length = Field(None, description="End to end with its coils touching.")


class TorsionSpring(SpringBase):
    """A spring wound about the axis of its half."""

    words_of: ClassVar[str] = "a torsion spring"
    type: Literal["torsion"]
    rest_moment: fig.Moment = Field(description="Returning moment at the rest stop.")
    rate: fig.AngularStiffness


Spring = Annotated[ExtensionSpring | CompressionSpring | TorsionSpring, Field(discriminator="type")]
