"""The pedal that stays, the module's place, and the kinds of links between them."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts import Described
from conversion.description.places import Direction, Point
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

    rod_pin: Point = Field(description="Centre of the rod's ball joint on the pedal, at rest.")


class CablePedal(Pedal):
    """A pedal that a control cable is hung on."""

    cable_pin: Point = Field(description="Where the inner is held on the pedal, at rest.")


class ModulePlace(Described):
    """Where the module sits and which way its lever turns."""

    words_of: ClassVar[str] = "the module's place"
    device: Name = Field(description="The pedal module's reference.")
    pivot: Point = Field(description="A point on the lever's axis.")
    axis: Direction = Field((0.0, 1.0, 0.0), description="Direction of the lever's axis.")
    opens: Turn = Field(description="Which way the lever turns from rest to full, seen along the axis arrow.")


class LeverPlace(ModulePlace):
    """A module whose lever carries a ball joint."""

    lever_pin: Point = Field(description="Centre of the rod's ball joint while the lever is on its own rest stop.")


class RodEnd(Described):
    """A ball joint at one end of a rod."""

    words_of: ClassVar[str] = "a rod end"
    bolt: Direction = Field(description="Direction of the bolt that holds the ball, at rest.")
    limit: fig.PositiveAngle = Field(None, description="How far the rod may lean from square to the bolt.")


class RodThread(Described):
    """The thread by which a rod is adjusted."""

    words_of: ClassVar[str] = "a rod's thread"
    diameter: fig.Length = Field(description="Outer diameter of the thread.")
    engaged: fig.Length = Field(description="Thread engaged at each end at the described length.")
    adjust: fig.LengthOrZero = Field(
        None, description="From the shortest to the longest that it can be screwed, the described length in the middle."
    )


class Rod(Described):
    """The rod between pedal and lever, ball joint to ball joint."""

    words_of: ClassVar[str] = "the rod"
    length: fig.Length = Field(None, description="Between the centres of the ball joints.")
    set_at_rest: fig.Angle = Field(
        None,
        description="Lever angle to which the rod is adjusted at fitting, the pedal at rest; the length follows. "
        "A length given as well is compared with it.",
    )
    pedal_end: RodEnd | None = Field(None, description="The ball joint on the pedal.")
    lever_end: RodEnd | None = Field(None, description="The ball joint on the lever.")
    thread: RodThread | None = Field(None, description="The thread by which its length is adjusted.")
    diameter: fig.Length = Field(None, description="Of the rod between its ends; judges buckling.")
    side_load_limit: fig.PositiveForce = Field(
        None, description="Greatest force along its axis that the module's lever may take; many levers are plastic."
    )

    @model_validator(mode="after")
    def _has_length(self) -> Rod:
        if not {"length", "set_at_rest"} & self.model_fields_set:
            raise ValueError("a rod needs its 'length', or 'set_at_rest' where it is adjusted at fitting")
        return self


class RodLinkageForm(Described):
    """A rod in space from the pedal to the module's lever."""

    words_of: ClassVar[str] = "a rod linkage"
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

    words_of: ClassVar[str] = "a cable linkage"
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

    words_of: ClassVar[str] = "a contact linkage"
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

    words_of: ClassVar[str] = "a bell-crank linkage"
    kind: Literal["bell-crank"]
    pedal: RodPedal
    crank: Crank
    rod: Rod = Field(description="The second rod, from the bell-crank to the lever.")
    module: LeverPlace


class OwnPedalModule(Described):
    """The module whose own pedal is kept."""

    words_of: ClassVar[str] = "the module"
    device: Name = Field(description="The pedal module's reference.")
    set_at_rest: fig.Angle = Field(
        None, description="Lever angle at which an added rest stop holds the pedal; default: the module's own stop."
    )


class DirectLinkageForm(Described):
    """The module's own pedal, kept: the pedal is its lever, and turns about its axis."""

    words_of: ClassVar[str] = "a direct linkage"
    kind: Literal["direct"]
    pedal: Pedal
    module: OwnPedalModule


LinkageForm = Annotated[
    RodLinkageForm | CableLinkageForm | ContactLinkageForm | BellCrankLinkageForm | DirectLinkageForm,
    Field(discriminator="kind"),
]
