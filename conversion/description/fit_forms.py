"""What takes room: the thickness of what moves, what may be in its way, the recess, and the bracket's members."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from conversion.description import figures as fig
from conversion.description.face_forms import BracketFace
from conversion.description.fit_shapes import Block, Shaped
from conversion.description.parts import Described
from conversion.description.places import Direction, Point
from conversion.description.validation import Flag, Name, Text

ObstacleKind = Literal[
    "bulkhead", "floor", "floor mat", "carpet", "shoe", "column", "brake pedal", "other pedal", "cross member", "tank",
    "fuel or brake line", "loom", "heat source", "other",
]  # fmt: skip
"""What an obstacle is; it decides how much clearance is wanted."""
ASKED_FOR: tuple[ObstacleKind, ...] = (
    "bulkhead", "floor", "floor mat", "carpet", "shoe", "column", "brake pedal",
)  # fmt: skip
"""What every footwell has, so that it must be described or be said to be absent."""


class Pad(Described):
    """The pedal's pad, whose face's centre is the linkage's ``pedal.pad``."""

    words_of: ClassVar[str] = "the pad"
    width: fig.Length = Field(description="Across, along the pedal's axis.")
    height: fig.Length = Field(description="Along the arm.")
    thickness: fig.Length = Field(description="Behind the face, away from the driver.")
    faces: Direction | None = Field(
        None, description="Out of its face, toward the driver, at rest; default: against the way that it is pressed."
    )


class LeverBody(Described):
    """The module's lever, from its axis to the pin."""

    words_of: ClassVar[str] = "the lever's body"
    thickness: fig.Length = Field(description="Its largest thickness, across or along; the boss at the pin included.")
    past_pin: fig.Length = Field(None, description="How far it goes on past the pin's centre; default: half of that.")
    hole: fig.Length = Field(None, description="Diameter of the hole for the pin; for the template.")
    bore: fig.Length = Field(None, description="Diameter of the hole at the axis; for the template.")

    @model_validator(mode="after")
    def _holds_its_holes(self) -> LeverBody:
        wide, past, wrong = self.thickness, self.past_pin, []
        for said, hole in (("hole", self.hole), ("bore", self.bore)):
            if hole is not None and wide is not None and hole.nominal >= wide.nominal:
                wrong.append(
                    f"a {said} of {hole.text} breaks through a lever of {wide.text}; give the lever more 'thickness' "
                    f"or the {said} less than that"
                )
        if self.hole is not None and past is not None and self.hole.nominal >= 2 * past.nominal:
            wrong.append(
                f"a hole of {self.hole.text} breaks through the lever's end, {past.text} past the pin's centre; "
                "'past_pin' must be more than half the hole"
            )
        if wrong:
            raise ValueError("; and ".join(wrong))
        return self


class LinkBody(Described):
    """The rod or the inner, and the nuts and ball joints at its ends."""

    words_of: ClassVar[str] = "the link's body"
    diameter: fig.Length = Field(description="Of the rod, or of the inner of a cable.")
    end_diameter: fig.Length = Field(
        None, description="Largest diameter over ball joints and lock nuts; default: that of the rod."
    )
    end_length: fig.Length = Field(None, description="From a ball's centre to the end of the lock nut; default 30 mm.")


class Outer(Described):
    """The outer of a control cable, which lies still between its two ends."""

    words_of: ClassVar[str] = "the cable's outer"
    diameter: fig.Length = Field(description="Over its jacket, or over its ferrules where those are thicker.")
    through: list[Point] = Field(
        default_factory=list,
        description="Places that its middle line passes, from the pedal's end to the module's; default: straight.",
    )


class ShoeOnPad(Described):
    """The driver's shoe, as it lies on the pad and goes with it."""

    words_of: ClassVar[str] = "the shoe on the pad"
    width: fig.Length = Field(description="Of the widest shoe that is to drive the car.")
    ahead: fig.Length = Field(description="From the pad's centre to the tip of the toe, along the pad's face.")
    behind: fig.Length = Field(
        description="From the pad's centre back toward the heel, as far as the sole follows the pad."
    )
    height: fig.Length = Field(description="From the sole to the top of the toe cap.")


class Bodies(Described):
    """How thick everything is that moves or belongs to the linkage; the linkage tells where it is."""

    words_of: ClassVar[str] = "the bodies"
    pedal_arm: fig.Length = Field(description="Largest thickness of the pedal's arm, across or along.")
    pad: Pad = Field(description="The pad that the foot presses.")
    lever: LeverBody | None = Field(None, description="Not needed where the module's own pedal is kept.")
    link: LinkBody | None = Field(None, description="Not needed for a contact or where the module's own pedal is kept.")
    outer: Outer | None = Field(None, description="The outer of a cable; only a cable has one.")
    crank: fig.Length = Field(None, description="Largest thickness of a bell-crank's arms.")
    module: Block | None = Field(None, description="The module's body without its lever.")
    shoe: ShoeOnPad | None = Field(None, description="The shoe on the pad; it counts as a shoe described.")
    heel: Block | None = Field(None, description="The heel where it stands on the floor; it does not move.")


class OtherTravel(Described):
    """The movement of another pedal; all room that it takes counts as an obstacle."""

    words_of: ClassVar[str] = "another pedal's travel"
    pivot: Point = Field(description="A point on its axis.")
    axis: Direction = Field((0.0, 1.0, 0.0), description="Direction of its axis.")
    pad: Point = Field(description="Centre of its pad's face at rest.")
    presses: Literal["clockwise", "anticlockwise"] = Field(
        description="Which way it turns when pressed, seen along the axis arrow."
    )
    at_pad: fig.Length = Field(description="Travel of its pad along the arc, with the brakes badly worn or bled dry.")


class Obstacle(Shaped):
    """Something that may be in the way. It has one shape: plane, sheet, bar, block or outline."""

    words_of: ClassVar[str] = "an obstacle"
    kind: ObstacleKind = Field(description="What it is; decides the clearance that is wanted.")
    clearance: fig.Length = Field(None, description="Wanted instead of the default for its kind.")
    moves: Literal["fixed", "pedal"] = Field("fixed", description="`pedal` if it goes with the accelerator pedal.")
    travel: OtherTravel | None = Field(None, description="Of another pedal, or of a shoe that goes with one.")
    thickness: fig.Length = Field(None, description="Of a bulkhead's sheet; needed for its recess.")
    behind_bulkhead: Flag = Field(
        False, description="Whether it lies on the other side of the bulkhead, where only a recess could meet it."
    )

    @model_validator(mode="after")
    def _can_be_so(self) -> Obstacle:
        if "sheet" in self.model_fields_set and self.kind != "bulkhead":
            raise ValueError(f"a 'sheet' is a bulkhead; give the {self.kind} a plane, bar, block or outline")
        if self.thickness is not None and self.kind != "bulkhead":
            raise ValueError(f"'thickness' belongs to a bulkhead; the shape of the {self.kind} says how thick it is")
        if (self.travel is not None or self.moves == "pedal") and {"plane", "sheet"} & self.model_fields_set:
            raise ValueError("a plane or sheet has no end and cannot move; describe it as bar, block or outline")
        if self.travel is not None and self.kind not in ("brake pedal", "other pedal", "shoe"):
            raise ValueError(
                f"'travel' belongs to a brake pedal or other pedal, or a shoe on it, not to the {self.kind}"
            )
        if self.travel is not None and self.moves == "pedal":
            raise ValueError("an obstacle moves with the accelerator pedal or has a travel of its own, not both")
        if self.behind_bulkhead and (self.kind == "bulkhead" or self.travel is not None or self.moves == "pedal"):
            raise ValueError("what lies behind the bulkhead stands still and is no bulkhead itself")
        return self


class RecessForm(Described):
    """The recess in the bulkhead that is to be made where the bulkhead is in the way."""

    words_of: ClassVar[str] = "the recess"
    thickness: fig.Length = Field(description="Of its sheet.")
    inside_radius: fig.Length = Field(description="Of its bends, on the inside.")
    k_factor: fig.Share = Field(None, description="Place of the layer that keeps its length; default 44 %.")
    flange: fig.Length = Field(None, description="From the outside of a wall to the flange's edge; default 20 mm.")
    margin: fig.Length = Field(None, description="More opening on every side than is needed; default 3 mm.")
    play: fig.Length = Field(None, description="Between box and hole, on every side; default 1 mm.")
    depth_step: fig.Length = Field(None, description="The depth is rounded up to a multiple of it; default 1 mm.")
    corners: Literal["welded", "folded"] = Field("welded", description="How the walls meet.")
    tab: fig.Length = Field(None, description="Of a folded corner; default 12 mm.")
    hole: fig.Length = Field(None, description="Diameter of the mounting holes; default 5.5 mm.")
    pitch: fig.Length = Field(None, description="Largest distance of neighbouring holes; default 60 mm.")


class FlatBar(Described):
    """A solid flat bar."""

    words_of: ClassVar[str] = "a flat bar"
    shape: Literal["flat bar"] = Field(description="A solid flat bar.")
    width: fig.Length = Field(description="Of the bar.")
    thickness: fig.Length = Field(description="Of the bar.")


class SquareTube(Described):
    """A square tube."""

    words_of: ClassVar[str] = "a square tube"
    shape: Literal["square tube"] = Field(description="A square tube.")
    width: fig.Length = Field(description="Outside.")
    wall: fig.Length = Field(description="Of the tube.")

    @model_validator(mode="after")
    def _hollow(self) -> SquareTube:
        if self.width is not None and self.wall is not None and 2 * self.wall.nominal >= self.width.nominal:
            raise ValueError(f"walls of {self.wall.text} leave no hole in a tube of {self.width.text}")
        return self


class EqualAngle(Described):
    """An angle with two equal legs."""

    words_of: ClassVar[str] = "an equal angle"
    shape: Literal["angle"] = Field(description="An angle with two equal legs.")
    leg: fig.Length = Field(description="Outside.")
    thickness: fig.Length = Field(description="Of the legs.")

    @model_validator(mode="after")
    def _open(self) -> EqualAngle:
        if self.leg is not None and self.thickness is not None and self.thickness.nominal >= self.leg.nominal:
            raise ValueError(f"legs of {self.leg.text} cannot be {self.thickness.text} thick")
        return self


SectionForm = Annotated[FlatBar | SquareTube | EqualAngle, Field(discriminator="shape")]


class MemberEnd(Described):
    """Where a member of the bracket meets what it is welded or bolted to."""

    words_of: ClassVar[str] = "an end of a member"
    at: Point = Field(description="Where its middle line meets the face.")
    face: Direction = Field(description="Square to that face.")


class Member(Described):
    """A straight member of the bracket between two points."""

    words_of: ClassVar[str] = "a member"
    section: SectionForm = Field(description="What it is cut from.")
    start: MemberEnd = Field(description="Its one end.")
    end: MemberEnd = Field(description="Its other end.")
    width: Direction = Field(description="Roughly the direction of its width.")


class Infill(Described):
    """A member across a corner, both ends the same distance from the corner."""

    words_of: ClassVar[str] = "an infill"
    leg: fig.Length = Field(description="From the corner along the leg to the member.")
    member: fig.Length = Field(description="The member's width, as `measured` says.")
    measured: Literal["along the leg", "across the member"] = Field(
        description="Whether that width was taken along the leg, on the slant, or square across the member."
    )
    corner: fig.PositiveAngle = Field(None, description="Between the legs; default 90°.")

    @model_validator(mode="after")
    def _is_a_corner(self) -> Infill:
        if self.corner is not None and self.corner.high >= 3.1415:
            raise ValueError(f"a corner of {self.corner.text} is none; it lies below 180°")
        return self


class FitForm(Described):
    """Whether it all fits: what takes room, what is in the way, and what is made for it."""

    words_of: ClassVar[str] = "the fit"
    bodies: Bodies = Field(description="How thick everything is that belongs to the linkage.")
    obstacles: dict[Name, Obstacle] = Field(default_factory=dict, description="What may be in the way, by name.")
    absent: dict[ObstacleKind, Text] = Field(
        default_factory=dict, description="Kinds of obstacles that are not there, and why that is so."
    )
    brake_gap: fig.Length = Field(
        None, description="Sideways gap wanted between this pad and the brake's, as a range; default 40 mm..90 mm."
    )
    recess: RecessForm | None = Field(None, description="The recess that is to be made where the bulkhead is too near.")
    members: dict[Name, Member] = Field(default_factory=dict, description="Straight members of the bracket, by name.")
    infills: dict[Name, Infill] = Field(default_factory=dict, description="Members across corners, by name.")
    face: BracketFace | None = Field(None, description="Face of the bracket that the module is bolted to.")
