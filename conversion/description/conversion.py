"""The conversion file: the vehicle, its devices, the linkage, the springs and the loom."""

from __future__ import annotations

import datetime
import re
from typing import Annotated, Any, ClassVar, Literal

from pydantic import AfterValidator, AliasChoices, BeforeValidator, Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts import Described, Need, Role
from conversion.description.validation import Count, Flag, Name, Text
from conversion.quantities import Evidence

COUNTRIES = {
    "au": "Australia", "ca": "Canada", "de": "Germany", "gb": "Great Britain", "nz": "New Zealand",
    "us": "United States",
}  # fmt: skip
GENERIC_COUNTRY = "generic"

COLOURS = {
    "BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green", "BU": "blue",
    "VT": "violet", "GY": "grey", "WH": "white", "PK": "pink", "TQ": "turquoise",
}  # fmt: skip


def _country(value: str) -> str:
    word = value.strip().lower()
    word = {"uk": "gb"}.get(word, word)
    if word != GENERIC_COUNTRY and word not in COUNTRIES:
        known = ", ".join([*COUNTRIES, GENERIC_COUNTRY])
        raise ValueError(f"'{value}' has no prompts here; known are {known} (ISO 3166-1); write 'generic' for others")
    return word


def _colour(value: str) -> str:
    word = value.strip().upper()
    codes = re.findall("..", word)
    if not 1 <= len(codes) <= 2 or len(word) % 2 or any(code not in COLOURS for code in codes):
        raise ValueError(
            f"'{value}' is no wire colour; write one or two codes of IEC 60757 such as GN or GNWH "
            f"({', '.join(COLOURS)})"
        )
    if len(set(codes)) < len(codes):
        raise ValueError(f"'{value}' names the same colour twice")
    return word


def _date(value: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(value.strip())
    except (ValueError, AttributeError):
        raise ValueError(f"'{value}' is no date; write year-month-day, such as 2026-03-14") from None


Country = Annotated[str, AfterValidator(_country)]
Colour = Annotated[str, AfterValidator(_colour)]
Date = Annotated[datetime.date, BeforeValidator(_date)]


def _three(value: Any) -> Any:
    if not isinstance(value, list) or len(value) != 3:
        raise ValueError("a point is a list of three lengths: [forward, left, up], such as [120 mm, 0 mm, 45 mm]")
    return value


Point = Annotated[list[fig.Position], Field(min_length=3, max_length=3), BeforeValidator(_three)]


_DIRECTIONS = {
    "forward": (1.0, 0.0, 0.0), "back": (-1.0, 0.0, 0.0), "left": (0.0, 1.0, 0.0),
    "right": (0.0, -1.0, 0.0), "up": (0.0, 0.0, 1.0), "down": (0.0, 0.0, -1.0),
}  # fmt: skip


def _direction(value: Any) -> Any:
    if isinstance(value, str):
        word = value.strip().lower()
        if word in _DIRECTIONS:
            return _DIRECTIONS[word]
        raise ValueError(f"'{value}' is no direction; write {', '.join(_DIRECTIONS)}, or three numbers [x, y, z]")
    if not isinstance(value, list) or len(value) != 3:
        raise ValueError("a direction is a word such as 'left', or a list of three numbers [forward, left, up]")
    try:
        numbers = tuple(float(item) for item in value)
    except (TypeError, ValueError):
        raise ValueError("a direction's three entries are plain numbers without a unit") from None
    length = sum(number * number for number in numbers) ** 0.5
    if not 1e-9 < length < 1e9:
        raise ValueError("a direction needs a length; [0, 0, 0] points nowhere")
    return tuple(number / length for number in numbers)


Direction = Annotated[
    tuple[float, float, float],
    BeforeValidator(_direction),
    fig.AlsoWritten({"enum": list(_DIRECTIONS)}),
]


class Vehicle(Described):
    """The car."""

    words_of: ClassVar[str] = "the vehicle"
    identity: Text = Field(description="Which car it is, as its papers name it.")
    mass: fig.Mass = Field(description="Gross vehicle mass; decides the return time that is asked for.")
    supply: fig.PositiveVoltage = Field(description="On-board voltage, as the range it moves in.")
    countries: list[Country] = Field(min_length=1, description="Where it is to be approved and used.")


class Device(Described):
    """One part at one place in the car, under its reference letter and number."""

    words_of: ClassVar[str] = "a device"
    part: Text = Field(description="Part file in the conversion's folder, or 'treadle:NAME' for one that is shipped.")
    place: Text = Field(description="Where it sits, in words.")
    station: Name | None = Field(None, description="The station of the loom at which it is reached.")
    fed_from: Name | dict[Role, Name] | None = Field(
        None, description="The device whose feed.out feeds this one; or one for each feed role."
    )
    grounded_at: Name | None = Field(
        None,
        validation_alias=AliasChoices("grounded_at", "earthed_at"),
        description="The ground point; needed when there are several.",
    )


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
    rod_pin: Point = Field(description="Centre of the rod's ball joint on the pedal, at rest.")
    presses: Literal["clockwise", "anticlockwise"] | None = Field(
        None,
        description="Which way it turns when pressed, seen along the axis arrow; default: pad forward and down.",
    )
    rest_stop: Stop
    full_stop: FullStop
    mass: fig.Mass = Field(None, description="Of the moving pedal.")
    centre_of_mass: Point | None = Field(None, description="At rest.")
    friction: fig.Moment = Field(None, description="Friction moment at the pedal's axis.")


class Rod(Described):
    """The rod between pedal and lever, ball joint to ball joint."""

    words_of: ClassVar[str] = "the rod"
    length: fig.Length = Field(None, description="Between the centres of the ball joints.")
    set_at_rest: fig.Angle = Field(
        None,
        description="Lever angle to which the rod is adjusted at fitting, the pedal at rest; the length follows. "
        "A length given as well is compared with it.",
    )

    @model_validator(mode="after")
    def _has_length(self) -> Rod:
        if not {"length", "set_at_rest"} & self.model_fields_set:
            raise ValueError("a rod needs its 'length', or 'set_at_rest' where it is adjusted at fitting")
        return self


class ModulePlace(Described):
    """Where the module sits and which way its lever turns."""

    words_of: ClassVar[str] = "the module's place"
    device: Name = Field(description="The pedal module's reference.")
    pivot: Point = Field(description="A point on the lever's axis.")
    axis: Direction = Field((0.0, 1.0, 0.0), description="Direction of the lever's axis.")
    lever_pin: Point = Field(description="Centre of the rod's ball joint while the lever is on its own rest stop.")
    opens: Literal["clockwise", "anticlockwise"] = Field(
        description="Which way the lever turns from rest to full, seen along the axis arrow."
    )


class RodLinkageForm(Described):
    """A rod in space from the pedal to the module's lever."""

    words_of: ClassVar[str] = "the linkage"
    kind: Literal["rod"]
    pedal: Pedal
    rod: Rod
    module: ModulePlace


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


class CompressionSpring(SpringBase):
    """A spring that pushes between a fixed point and the pedal or lever."""

    words_of: ClassVar[str] = "a compression spring"
    type: Literal["compression"]
    fixed_end: Point
    moving_end: Point = Field(description="On the pedal or lever, that half on its rest stop.")
    free_length: fig.Length
    rate: fig.Stiffness


class TorsionSpring(SpringBase):
    """A spring wound about the axis of its half."""

    words_of: ClassVar[str] = "a torsion spring"
    type: Literal["torsion"]
    rest_moment: fig.Moment = Field(description="Returning moment at the rest stop.")
    rate: fig.AngularStiffness


Spring = Annotated[ExtensionSpring | CompressionSpring | TorsionSpring, Field(discriminator="type")]


class Run(Described):
    """A length of loom between two stations."""

    words_of: ClassVar[str] = "a run"
    between: list[Name] = Field(min_length=2, max_length=2, description="The two stations that it joins.")
    length: fig.Length
    zone: Literal["cabin", "engine bay", "hot", "wet", "moving"] = "cabin"

    @model_validator(mode="after")
    def _joins_two(self) -> Run:
        if self.between[0] == self.between[1]:
            raise ValueError(f"a run joins two different stations; both are '{self.between[0]}'")
        return self


class Splice(Described):
    """A place where conductors are permanently joined."""

    words_of: ClassVar[str] = "a splice"
    station: Name
    joins: list[Role] = Field(min_length=1, description="Roles of the terminals whose wires meet here.")
    devices: list[Name] | None = Field(
        None,
        description="Only the wires to these devices meet here; default: those to every device with the role.",
    )


class WireChange(Described):
    """What differs from the wires that follow from the roles."""

    words_of: ClassVar[str] = "a change to a wire"
    role: Role | None = Field(None, description="The role whose wire is changed.")
    device: Name | None = Field(None, description="The device at one end, where several bear the role.")
    from_terminal: Name | None = Field(
        None, alias="from", description="Terminal, such as K1.12, instead of the derived one."
    )
    to_terminal: Name | None = Field(
        None, alias="to", description="Terminal, such as B1.3, instead of the derived one."
    )
    colour: Colour | None = None
    size: fig.Area = None
    left_out: Text | None = Field(None, description="Why no wire is laid for this role.")
    reason: Text | None = Field(None, description="Why the wire differs; printed.")

    @model_validator(mode="after")
    def _names_a_wire(self) -> WireChange:
        if self.role is None and not (self.from_terminal and self.to_terminal):
            raise ValueError("a change names the 'role' of a wire, or an additional wire by 'from' and 'to'")
        if self.left_out is not None and (self.from_terminal or self.to_terminal or self.colour or self.size):
            raise ValueError("a wire that is left out has no terminals, colour or size")
        return self


class Loom(Described):
    """Stations, the runs between them, splices, and changes to the derived wires."""

    words_of: ClassVar[str] = "the loom"
    stations: dict[Name, Text] = Field(description="Name and place in words.")
    runs: dict[Name, Run] = Field(default_factory=dict)
    splices: dict[Name, Splice] = Field(default_factory=dict)
    wires: list[WireChange] = Field(default_factory=list)


class Conversion(Described):
    """The whole description: one vehicle, one pedal, one control unit."""

    words_of: ClassVar[str] = "a conversion"
    treadle: Literal["1"] = Field(description="Edition of the description format.")
    title: Text
    builder: Text
    revision: Text
    date: Date
    evidence: Evidence = Field("assumed", description="Where figures of this file without an evidence came from.")
    vehicle: Vehicle
    devices: dict[Name, Device] = Field(min_length=1, description="By reference designation (IEC 81346-2 letters).")
    waived: dict[Need, Text] = Field(
        default_factory=dict, description="Needs of the control unit that are not met, and why."
    )
    linkage: RodLinkageForm | None = None
    springs: dict[Name, Spring] = Field(default_factory=dict)
    loom: Loom | None = None
