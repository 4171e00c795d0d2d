"""The pedal that stays, the module's place, and the kinds of links between them."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts import Described
from conversion.description.places import Direction, Point
from conversion.description.rod_forms import FirstRod, Rod, SecondRod
from conversion.description.validation import Flag, Name

Turn = Literal["clockwise", "anticlockwise"]


class Stop(Described):
    """A stop of the pedal: found in the car or to be made."""

    words_of: ClassVar[str] = "a stop"
    origin: Literal["existing", "made"]
    lockable: Flag = Field(False, description="Whether it can be locked once set.")
    load: fig.PositiveForce = Field(None, description="Force at the pad that it is made to carry.")


class FullStop(Stop):
    """The stop that ends the pedal's travel."""

    at: fig.Length = Field(None, description="Pad travel at which it acts, along the arc from the rest stop.")
    set_at: fig.PositiveAngle = Field(
        None, description="Instead: the lever angle at which it is set at fitting; the pad travel follows."
    )

    @model_validator(mode="after")
    def _one_way(self) -> FullStop:
        if len({"at", "set_at"} & self.model_fields_set) != 1:
            raise ValueError("a full stop needs either 'at' (pad travel) or 'set_at' (lever angle), not both")
        return self


class Pedal(Described):
    """The pedal that stays, in vehicle axes: x forward, y left, z up (ISO 8855); any origin."""

    words_of: ClassVar[str] = "the pedal"
    mount: Literal["pendant", "floor-hinged"]
    pivot: Point = Field(description="A point on the pedal's axis.")
    axis: Direction = Field((0.0, 1.0, 0.0), description="Direction of the axis.")
    pad: Point = Field(description="Centre of the pad at rest.")
    presses: Turn | None = Field(
        None,
        description="Which way it turns when pressed, seen along the axis arrow; default: pad forward and down.",
    )
    rest_stop: Stop
    full_stop: FullStop
    mass: fig.Mass = Field(None, description="Of the moving pedal.")
    centre_of_mass: Point | None = Field(None, description="At rest.")
    friction: fig.Moment = Field(None, description="Friction moment at the pedal's axis.")


class RodPedal(Pedal):
    """A pedal with a rod's ball joint on it."""

    words_of: ClassVar[str] = "a pedal with a rod"
    rod_pin: Point = Field(description="Centre of the rod's ball joint on the pedal, at rest.")


class CablePedal(Pedal):
    """A pedal that a control cable is hung on."""

    words_of: ClassVar[str] = "a pedal with a cable"
    cable_pin: Point = Field(description="Where the inner is held on the pedal, at rest.")


class ModulePlace(Described):
    """Where the module sits and which way its lever turns."""

    words_of: ClassVar[str] = "the module's place"
    device: Name = Field(description="The pedal module's reference.")
    pivot: Point = Field(description="A point on the lever's axis.")
    axis: Direction = Field((0.0, 1.0, 0.0), description="Direction of the lever's axis.")
    opens: Turn = Field(description="Which way the lever turns from rest to full, seen along the axis arrow.")
    lever_material: Literal["metal", "plastic"] | None = Field(None, description="What its lever is made of.")
    lever_fixing: Literal["as made", "clamped", "drilled", "welded"] | None = Field(
        None, description="How the link is fixed to the lever."
    )
    bracket_stiffness: fig.Stiffness = Field(
        None, description="Force along the link, at the place where it meets the lever, for each mm that gives there."
    )


class LeverPlace(ModulePlace):
    """A module whose lever carries a ball joint."""

    words_of: ClassVar[str] = "the place of a module with a rod"
    lever_pin: Point = Field(description="Centre of the rod's ball joint while the lever is on its own rest stop.")


class RodLinkageForm(Described):
    """A rod in space from the pedal to the module's lever."""

    words_of: ClassVar[str] = "a linkage by a rod"
    kind: Literal["rod"]
    pedal: RodPedal
    rod: Rod
    module: LeverPlace


class OverTravelSpring(Described):
    """A spring in the cable that gives way once the lever has met its stop."""

    words_of: ClassVar[str] = "an over-travel spring"
    from_lever: fig.PositiveAngle = Field(description="Lever angle at which the lever is stopped.")
    preload: fig.Force = Field(description="Pull at which it begins to give way.")
    rate: fig.Stiffness


class Cable(Described):
    """A control cable: its inner, and where the outer ends on either side."""

    words_of: ClassVar[str] = "the cable"
    pedal_outer_end: Point = Field(description="Where the inner enters the outer near the pedal.")
    module_outer_end: Point = Field(description="Where the inner leaves the outer near the module.")
    slack: fig.LengthOrZero = Field(
        None, description="Inner that must be drawn, the pedal at rest, before the lever moves."
    )
    set_at_rest: fig.Angle = Field(
        None, description="Instead: lever angle to which the adjuster is set at fitting, the pedal at rest."
    )
    over_travel: OverTravelSpring | None = Field(
        None, description="A spring in the cable that gives way once the lever has met a stop of its own."
    )

    @model_validator(mode="after")
    def _one_way(self) -> Cable:
        if len({"slack", "set_at_rest"} & self.model_fields_set) != 1:
            raise ValueError("a cable needs either 'slack' or 'set_at_rest', not both")
        return self


class Quadrant(Described):
    """The round or eccentric piece on the module's lever that the inner lies in."""

    words_of: ClassVar[str] = "the quadrant"
    groove_radius: fig.Length = Field(description="To the middle of the inner as it lies in the groove.")
    groove_centre: Point | None = Field(
        None, description="Centre of the groove at the lever's rest stop; default: the lever's axis (a round one)."
    )
    nipple: Point = Field(description="Where the inner is held, the lever on its own rest stop.")


class CableLinkageForm(Described):
    """A control cable from the pedal to a quadrant on the module's lever."""

    words_of: ClassVar[str] = "a linkage by a cable"
    kind: Literal["cable"]
    pedal: CablePedal
    cable: Cable
    quadrant: Quadrant
    module: ModulePlace


class Contact(Described):
    """A roller on one body that runs on a face of the other."""

    words_of: ClassVar[str] = "the contact"
    roller_on: Literal["pedal", "lever"] = Field(description="Which body carries the roller.")
    roller_centre: Point = Field(description="At rest of the body that carries it.")
    roller_radius: fig.Length = Field(description="Of the roller.")
    face_point: Point = Field(description="Middle of the face, at rest of the body that carries it.")
    face_normal: Direction = Field(description="Square out of the face, toward the roller.")
    face_radius: fig.Length = Field(None, description="Of a face arched toward the roller; default: flat.")
    face_half_length: fig.Length = Field(None, description="From the middle of the face to where it ends, either way.")
    set_at_rest: fig.Angle = Field(
        None, description="Lever angle to which packing or screw is set at fitting, the pedal at rest."
    )


class ContactLinkageForm(Described):
    """A roller or pad that pushes the lever without a joint."""

    words_of: ClassVar[str] = "a linkage by a contact"
    kind: Literal["contact"]
    pedal: Pedal
    contact: Contact
    module: ModulePlace


class Crank(Described):
    """A bell-crank between two rods."""

    words_of: ClassVar[str] = "the bell-crank"
    pivot: Point = Field(description="A point on its axis.")
    axis: Direction = Field((0.0, 1.0, 0.0), description="Direction of its axis.")
    pin_in: Point = Field(description="Ball joint of the first rod on it, the pedal at rest.")
    pin_out: Point = Field(description="Ball joint of the second rod on it, the pedal at rest.")


class BellCrankLinkageForm(Described):
    """Two rods in series over a bell-crank; the first is as long as its pins are apart at rest."""

    words_of: ClassVar[str] = "a linkage over a bell-crank"
    kind: Literal["bell-crank"]
    pedal: RodPedal
    crank: Crank
    first_rod: FirstRod | None = Field(
        None, description="What is known of the first rod, from the pedal to the bell-crank."
    )
    rod: SecondRod = Field(description="The second rod, from the bell-crank to the lever.")
    module: LeverPlace


class OwnPedalModule(Described):
    """The module whose own pedal is kept."""

    words_of: ClassVar[str] = "a module with its own pedal"
    device: Name = Field(description="The pedal module's reference.")
    set_at_rest: fig.Angle = Field(
        None, description="Lever angle at which an added rest stop holds the pedal; default: the module's own stop."
    )


class DirectLinkageForm(Described):
    """The module's own pedal, kept: the pedal is its lever, and turns about its axis."""

    words_of: ClassVar[str] = "a module's own pedal as linkage"
    kind: Literal["direct"]
    pedal: Pedal
    module: OwnPedalModule


LinkageForm = Annotated[
    RodLinkageForm | CableLinkageForm | ContactLinkageForm | BellCrankLinkageForm | DirectLinkageForm,
    Field(discriminator="kind"),
]
