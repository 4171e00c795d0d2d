"""The kinds of parts besides the control unit: pedal module, throttle body, switches, lamp, feeds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Literal

from pydantic import Field, field_validator, model_validator

from conversion.description import figures as fig
from conversion.description.parts.base import Described, Role
from conversion.description.parts.ends import DrawForm
from conversion.description.parts.housings import CavityForm, Housing
from conversion.description.parts.tracks import Track
from conversion.description.validation import Count, Name, Text
from conversion.quantities import Evidence


class Part(Described):
    """What every part file has."""

    words_of: ClassVar[str] = "a part"
    letters: ClassVar[tuple[str, ...]] = ()
    title: Text
    evidence: Evidence = Field("assumed", description="Where figures without an evidence of their own came from.")
    note: Text | None = None
    housings: dict[Name, Housing] = Field(min_length=1)
    draws: dict[Role, DrawForm] = Field(
        default_factory=dict, description="What it takes through its feeds, by the role of the terminal."
    )

    @model_validator(mode="after")
    def _draws_through_its_terminals(self) -> Part:
        borne = {role for _, _, cavity in self.cavities() for role in cavity.roles}
        stranger = next((role for role in self.draws if role not in borne), None)
        if stranger is not None:
            raise ValueError(f"no terminal has the role '{stranger}' that something is drawn through")
        return self

    def cavities(self) -> Iterator[tuple[str, str, CavityForm]]:
        """Housing name, cavity name and form of every described cavity, in order."""
        for housing_name, housing in self.housings.items():
            for cavity_name, cavity in housing.cavities.items():
                yield housing_name, cavity_name, cavity

    def places_of(self, role: str) -> list[tuple[str, str]]:
        """Housing and cavity names of the terminals that bear a role."""
        return [(housing, name) for housing, name, cavity in self.cavities() if role in cavity.roles]


class SensingPart(Part):
    """A part with position sensor tracks."""

    moved_by: ClassVar[str] = "angle"
    tracks: dict[Literal["a", "b", "c"], Track] = Field(min_length=1)

    @field_validator("tracks")
    @classmethod
    def _points_fit(cls, tracks: dict[str, Track]) -> dict[str, Track]:
        wanted = {"angle": "lever angles, such as '12°'", "ratio": "openings, such as '25 %'"}[cls.moved_by]
        for name, track in tracks.items():
            for point in track.output.points or []:
                if point.at is not None and point.at.dimension != cls.moved_by:
                    raise ValueError(f"the points of track {name} are given at {wanted}; '{point.at.text}' is not")
        return tracks


class ModuleSprings(Described):
    """Return springs inside the module, taken together and sharing the moment equally."""

    words_of: ClassVar[str] = "a module's springs"
    count: Count = Field(description="Separate springs, each with its own anchor; strands of one spring are one.", le=8)
    rest_moment: fig.Moment = Field(description="Returning moment of all together at the lever's rest stop.")
    full_moment: fig.Moment = Field(description="The same at the end of the swing.")
    inside: Literal["position sensor", "module"] = Field(
        description="Whether they are springs of the sensor itself or return springs of a complete pedal module."
    )


class Lever(Described):
    """The module's lever: how far it swings between its own stops, and how it returns."""

    words_of: ClassVar[str] = "a module's lever"
    swing: fig.PositiveAngle = Field(description="Between the module's own stops.")
    full_at: fig.PositiveAngle = Field(
        None, description="Lever angle at which the output 'full' is reached; default: the end of the swing."
    )
    friction: fig.Moment = Field(None, description="Friction moment at the lever's axis.")
    springs: ModuleSprings | None = None


class ContactForm(Described):
    """A switch contact inside a pedal module."""

    words_of: ClassVar[str] = "a contact of the module"
    closes: Literal["above", "below"] = Field(description="On which side of the lever angle it is closed.")
    at: fig.Angle = Field(description="Lever angle at which it changes.")


class PedalModule(SensingPart):
    """A pedal position module with its lever."""

    words_of: ClassVar[str] = "a pedal module"
    letters: ClassVar[tuple[str, ...]] = ("B",)
    kind: Literal["pedal-module"]
    lever: Lever
    idle_contact: ContactForm | None = None
    kickdown_contact: ContactForm | None = None


class Unpowered(Described):
    """Where the plate rests when the motor has no power."""

    words_of: ClassVar[str] = "the unpowered plate"
    opening: fig.Share = Field(description="Opening on which the springs leave the plate; slightly open is usual.")
    springs: Count = Field(description="Separate springs that bring it there, from above and from below.", ge=0, le=8)


class Motor(Described):
    """The throttle body's motor."""

    words_of: ClassVar[str] = "a throttle motor"
    resistance: fig.Resistance = Field(None, description="Between its terminals.")
    current: fig.Current = Field(None, description="Greatest current that the control unit drives through it.")


class ThrottleBody(SensingPart):
    """An electronic throttle body: motor, plate and position tracks."""

    words_of: ClassVar[str] = "a throttle body"
    letters: ClassVar[tuple[str, ...]] = ("M",)
    moved_by: ClassVar[str] = "ratio"
    kind: Literal["throttle-body"]
    motor: Motor
    unpowered: Unpowered | None = None


class BrakeSwitch(Part):
    """A brake switch with one or two contacts."""

    words_of: ClassVar[str] = "a brake switch"
    letters: ClassVar[tuple[str, ...]] = ("S",)
    kind: Literal["brake-switch"]


class ClutchSwitch(Part):
    """A clutch switch."""

    words_of: ClassVar[str] = "a clutch switch"
    letters: ClassVar[tuple[str, ...]] = ("S",)
    kind: Literal["clutch-switch"]


class IgnitionSwitch(Part):
    """The ignition switch or another switch that the driver turns the feeds on with."""

    words_of: ClassVar[str] = "an ignition switch"
    letters: ClassVar[tuple[str, ...]] = ("S",)
    kind: Literal["ignition-switch"]


class StopSwitch(Part):
    """A switch that cuts the control unit's feed and so shuts the engine off."""

    words_of: ClassVar[str] = "a stop switch"
    letters: ClassVar[tuple[str, ...]] = ("S",)
    kind: Literal["stop-switch"]


class WarningLamp(Part):
    """The warning lamp that the control unit lights on a fault."""

    words_of: ClassVar[str] = "a warning lamp"
    letters: ClassVar[tuple[str, ...]] = ("P",)
    kind: Literal["warning-lamp"]


class Fuse(Part):
    """A fuse in its holder."""

    words_of: ClassVar[str] = "a fuse"
    letters: ClassVar[tuple[str, ...]] = ("F",)
    kind: Literal["fuse"]
    rating: fig.Current


class Relay(Part):
    """A relay with a make contact."""

    words_of: ClassVar[str] = "a relay"
    letters: ClassVar[tuple[str, ...]] = ("K", "Q")
    kind: Literal["relay"]
    coil_resistance: fig.Resistance = None
    contact_rating: fig.Current = None


class GroundPoint(Part):
    """A stud on the body or engine where returns come together."""

    words_of: ClassVar[str] = "a ground point"
    letters: ClassVar[tuple[str, ...]] = ("X",)
    kind: Literal["ground-point", "earth-point"]


class Supply(Part):
    """The battery or another source."""

    words_of: ClassVar[str] = "a supply"
    letters: ClassVar[tuple[str, ...]] = ("G",)
    kind: Literal["supply"]


class OtherPart(Part):
    """A device of the builder's own, joined by ``other.NAME`` roles."""

    words_of: ClassVar[str] = "another device"
    letters: ClassVar[tuple[str, ...]] = ("A", "B", "E", "K", "M", "P", "R", "S", "T", "X")
    kind: Literal["other"]
