"""Part files: reusable descriptions of pedal modules, throttle bodies, control units, switches, lamps and feeds.

A part is what the builder holds in the hand; where it sits in the car and what it is joined to stands in the
conversion. Figures are typed by dimension; what is not known yet is written ``unknown``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any, ClassVar, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    InstanceOf,
    RootModel,
    model_validator,
)

from conversion.description import figures as fig
from conversion.description.roles import canonical_role, ground_for_earth, is_role, nearest_role
from conversion.description.validation import Count, Flag, Name, Text
from conversion.quantities import Evidence


class Described(BaseModel):
    """Base of everything that is described: unknown words are errors, values are fixed once read."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)
    words_of: ClassVar[str] = "a description"


def _known_role(text: str) -> str:
    word = canonical_role(text)
    if not is_role(word):
        near = nearest_role(word)
        hint = f"did you mean '{near}'?" if near else "own connections are written 'other.NAME'."
        raise ValueError(f"'{text}' is no role of a terminal; {hint}")
    return word


Role = Annotated[str, AfterValidator(_known_role)]

EMPTY = "empty"


def _cavity_from_text(value: Any) -> Any:
    """``pedal.a.signal``, ``pedal.a.supply + pedal.b.supply`` and ``empty`` stand for the longer form."""
    if not isinstance(value, str):
        return value
    if value.strip().lower() == EMPTY:
        return {"empty": "true"}
    return {"roles": [word.strip() for word in value.split("+")]}


class CavityForm(Described):
    """One place in a housing and what the terminal in it is for."""

    words_of: ClassVar[str] = "a cavity"
    roles: list[Role] = Field(
        default_factory=list, description="What the terminal is for; several roles share one terminal."
    )
    holds: Count = Field(1, description="How many conductors the terminal takes.", ge=1, le=2000)
    empty: Flag = Field(False, description="No terminal sits in this place.")
    unused: Text | None = Field(None, description="Why a terminal that is there is left without a wire.")

    @model_validator(mode="after")
    def _says_one_thing(self) -> CavityForm:
        said = bool(self.roles) + self.empty + (self.unused is not None)
        if said != 1:
            raise ValueError("a cavity needs one of: roles, 'empty: true', or 'unused: REASON'")
        if len(set(self.roles)) < len(self.roles):
            raise ValueError("the same role stands twice in this cavity")
        return self


Cavity = Annotated[
    CavityForm,
    BeforeValidator(_cavity_from_text),
    fig.AlsoWritten({"type": "string", "description": "A role, roles joined by '+', or 'empty'."}),
]


class Housing(Described):
    """The shell that holds the terminals of a part, with its places in rows as they are seen."""

    words_of: ClassVar[str] = "a housing"
    positions: Count = Field(description="How many places the housing has.", ge=1, le=5000)
    rows: list[list[Name]] | None = Field(
        None,
        description="Names of the places, row by row, as seen from 'seen_from'. Default: one row, 1 to positions.",
    )
    seen_from: Literal["wire side", "mating side"] = Field(
        "wire side", description="The side from which 'rows' were read."
    )
    cavities: dict[Name, Cavity] = Field(description="What is in each place.")

    @property
    def face(self) -> list[list[str]]:
        """Names of the places, row by row, as seen from ``seen_from``."""
        return self.rows or [[str(number) for number in range(1, self.positions + 1)]]

    @property
    def names(self) -> list[str]:
        """Names of all places in reading order."""
        return [name for row in self.face for name in row]

    @model_validator(mode="after")
    def _counts_agree(self) -> Housing:
        names = self.names
        if len(names) != self.positions:
            raise ValueError(f"the rows name {len(names)} places but the housing has {self.positions} positions")
        if len(set(names)) < len(names):
            twice = next(name for name in names if names.count(name) > 1)
            raise ValueError(f"place '{twice}' stands twice in the rows")
        strangers = [name for name in self.cavities if name not in set(names)]
        if strangers:
            raise ValueError(
                f"place '{strangers[0]}' is not in this housing of {self.positions} positions ({_few(names)})"
            )
        return self


def _few(names: list[str]) -> str:
    return ", ".join(names) if len(names) <= 12 else f"{names[0]} to {names[-1]}"


class PullForm(Described):
    """A resistor from a signal to ground or to the track's supply."""

    words_of: ClassVar[str] = "a pull resistor"
    to: Annotated[
        Literal["ground", "supply"], BeforeValidator(ground_for_earth), fig.AlsoWritten({"const": "earth"})
    ] = Field(description="Where the resistor pulls an open signal.")
    resistance: fig.Resistance = Field(description="Its resistance.")


@dataclass(frozen=True)
class NoPull:
    """Said in so many words that there is no pull resistor."""


def _pull_or_none(value: Any) -> Any:
    if isinstance(value, str):
        word = value.strip().lower()
        if word == "none":
            return NO_PULL
        if word == fig.UNKNOWN:
            return None
        raise ValueError("a pull resistor is a mapping with 'to' and 'resistance', or 'none', or 'unknown'")
    return value


NO_PULL = NoPull()
Pull = Annotated[
    PullForm | InstanceOf[NoPull] | None,
    BeforeValidator(_pull_or_none),
    fig.AlsoWritten({"enum": ["none", fig.UNKNOWN]}),
]


class OutputPoint(Described):
    """One row of a track's table: lever angle and output there."""

    words_of: ClassVar[str] = "a point of the output"
    at: fig.Angle = Field(description="Lever angle from the module's own rest stop.")
    output: fig.OutputLevel = Field(description="Share of the supply in %, or volts (see 'at_supply').")


class Output(Described):
    """A track's unloaded output: a straight line from rest to full, or a table of points."""

    words_of: ClassVar[str] = "a track's output"
    rest: fig.OutputLevel = Field(None, description="At the module's own rest stop (throttle: closed plate).")
    full: fig.OutputLevel = Field(None, description="Where the sweep ends (throttle: open plate).")
    points: list[OutputPoint] | None = Field(None, description="Instead of a line: at least two points.")
    at_supply: fig.PositiveVoltage = Field(
        None, description="Supply at which outputs in volts were read; makes them a share of the supply."
    )

    @model_validator(mode="after")
    def _line_or_table(self) -> Output:
        line = {"rest", "full"} & self.model_fields_set
        if self.points is None and line != {"rest", "full"}:
            raise ValueError("an output needs both 'rest' and 'full', or a table of 'points'")
        if self.points is not None:
            if line:
                raise ValueError("an output is a line ('rest' and 'full') or a table ('points'), not both")
            if len(self.points) < 2:
                raise ValueError("a table of the output needs at least two points")
            angles = [point.at.nominal for point in self.points if point.at is not None]
            if any(later <= earlier for earlier, later in pairwise(angles)):
                raise ValueError("the points of the output must rise in lever angle")
        levels = [self.rest, self.full, *(point.output for point in self.points or [])]
        if any(level is not None and level.dimension == "voltage" for level in levels) and self.at_supply is None:
            raise ValueError("outputs in volts need 'at_supply', the supply at which they were read")
        for level in levels:
            if level is not None and level.dimension == "ratio" and level.high > 1.0:
                raise ValueError(f"an output of '{level.text}' rises above the supply")
        return self


_DIGITAL = {"sent", "pwm", "can", "lin", "psi5", "spi", "digital", "i2c", "spc"}


def _analogue(value: Any) -> Any:
    if isinstance(value, str) and value.strip().lower() in _DIGITAL:
        raise ValueError(
            f"a sensor of the principle '{value}' sends digital messages, not volts; treadle cannot judge it. "
            "Use a module with analogue tracks (potentiometer, hall or inductive)"
        )
    return value


class Track(Described):
    """One independent output of a position sensor."""

    words_of: ClassVar[str] = "a sensor track"
    principle: Annotated[Literal["potentiometer", "hall", "inductive"], BeforeValidator(_analogue)]
    output: Output
    resistance: fig.Resistance = Field(None, description="Potentiometer: end to end, between supply and ground.")
    source_resistance: fig.SmallResistance = Field(
        None,
        description="In the signal path inside the module: wiper and protection, or a Hall output's own.",
    )
    supply_current: fig.Current = Field(None, description="Hall or inductive: what the track draws from its supply.")
    series: fig.SmallResistance = Field(None, description="Resistor that the builder puts in the signal wire.")
    pull: Pull = Field(None, description="Pull resistor at the module's end, or 'none'.")


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


class Part(Described):
    """What every part file has."""

    words_of: ClassVar[str] = "a part"
    letters: ClassVar[tuple[str, ...]] = ()
    title: Text
    evidence: Evidence = Field("assumed", description="Where figures without an evidence of their own came from.")
    note: Text | None = None
    housings: dict[Name, Housing] = Field(min_length=1)

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

    tracks: dict[Literal["a", "b", "c"], Track] = Field(min_length=1)


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
    kind: Literal["throttle-body"]
    motor: Motor
    unpowered: Unpowered | None = None


class TrackInput(Described):
    """What the control unit accepts from one track."""

    words_of: ClassVar[str] = "an input of the control unit"
    valid: fig.Voltage = Field(description="Range that is taken as valid, as a range of volts.")
    rest: fig.Voltage = Field(description="Window for the released pedal (throttle: closed plate).")
    full: fig.Voltage = Field(description="Window for the full pedal (throttle: open plate).")
    pull: Pull = Field(None, description="Resistor inside the control unit from this input, or 'none'.")

    @model_validator(mode="after")
    def _windows(self) -> TrackInput:
        for name in ("valid", "rest", "full"):
            figure = getattr(self, name)
            if figure is not None and figure.high <= figure.low:
                raise ValueError(f"'{name}' is a window and needs two ends, such as '0.30 V..4.80 V'")
        return self


class Agreement(Described):
    """How the control unit compares two tracks."""

    words_of: ClassVar[str] = "an agreement check"
    of: Literal["percent", "volts"] = Field(
        description="Compare the per cent computed from each track, or the volts |a - factor x b|."
    )
    factor: Count = Field(1, description="Volts: b is multiplied by this before comparing.", ge=1, le=10)
    at_most: fig.Difference = Field(description="Greatest difference that passes.")
    at_least: fig.Difference = Field(None, description="Volts: least difference that passes, where one is checked.")
    within: fig.Duration = Field(description="Time after which a disagreement is acted on.")

    @model_validator(mode="after")
    def _units_fit(self) -> Agreement:
        wanted = "ratio" if self.of == "percent" else "voltage"
        for name in ("at_most", "at_least"):
            figure = getattr(self, name)
            if figure is not None and figure.dimension != wanted:
                unit = "%" if wanted == "ratio" else "V"
                raise ValueError(f"'{name}' compares {self.of}, so it is given in {unit}; '{figure.text}' is not")
        return self


class SensorInput(Described):
    """What the control unit accepts from one position sensor, and how it makes per cent of it."""

    words_of: ClassVar[str] = "a sensor that the control unit reads"
    tracks: dict[Literal["a", "b", "c"], TrackInput] = Field(min_length=1)
    takes: Literal["smaller", "larger", "mean", "a"] = Field(
        description="Which track's per cent is acted on when both are valid."
    )
    scale: Literal["learned", "fixed"] = Field(
        description="Rest and full are learned at commissioning, or fixed at the middle of the windows."
    )
    agreement: Agreement | None = None


class SensorSupply(Described):
    """One regulated supply of the control unit and the terminals it appears on."""

    words_of: ClassVar[str] = "a sensor supply"
    voltage: fig.PositiveVoltage
    limit: fig.Current = Field(None, description="Greatest current it can give.")
    roles: list[Role] = Field(min_length=1, description="Roles of the terminals that this supply feeds.")


class Accepts(Described):
    """The position sensors that the control unit reads."""

    words_of: ClassVar[str] = "what the control unit accepts"
    pedal: SensorInput | None = None
    throttle: SensorInput | None = None


Need = Literal[
    "pedal", "throttle", "brake-switch", "clutch-switch", "warning-lamp", "main-relay", "ignition-feed",
    "permanent-feed", "engine-stop", "idle-contact", "kickdown-contact",
]  # fmt: skip


class ControlUnit(Part):
    """An engine control unit: what it reads, supplies, drives and needs around it."""

    words_of: ClassVar[str] = "a control unit"
    letters: ClassVar[tuple[str, ...]] = ("K",)
    kind: Literal["control-unit"]
    accepts: Accepts
    supplies: dict[Name, SensorSupply] = Field(default_factory=dict)
    needs: list[Need] = Field(description="What it needs around it to run the throttle.")
    motor_ground: Literal["separate", "shared with sensors"] | None = Field(
        None, description="Whether its motor driver returns through a ground of its own."
    )


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


AnyPart = Annotated[
    PedalModule | ThrottleBody | ControlUnit | BrakeSwitch | ClutchSwitch | IgnitionSwitch | StopSwitch
    | WarningLamp | Fuse | Relay | GroundPoint | Supply | OtherPart,
    Field(discriminator="kind"),
]  # fmt: skip


class PartFile(RootModel[AnyPart]):
    """A part file: the description of one part."""

    words_of: ClassVar[str] = "a part file"
