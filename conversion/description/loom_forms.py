"""The loom: stations, the runs between them, splices, and what differs from the derived wires."""

from __future__ import annotations

import re
from typing import Annotated, ClassVar

from pydantic import AfterValidator, Field, field_validator, model_validator

from conversion.description import figures as fig
from conversion.description.board_forms import AllowedDrop, Board, LabelSheet
from conversion.description.parts import Described, Role
from conversion.description.run_forms import Run, StationForm, Zone, ZoneForm
from conversion.description.validation import Name, Text
from conversion.quantities import Quantity

COLOURS = {
    "BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green", "BU": "blue",
    "VT": "violet", "GY": "grey", "WH": "white", "PK": "pink", "TQ": "turquoise",
}  # fmt: skip

LEAST_PITCH_MM = 5.0
"""Of a twist: the thinnest two wires, wound until they touch, take about half as much. [mm]"""


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


Colour = Annotated[str, AfterValidator(_colour)]


class Splice(Described):
    """A place where conductors are permanently joined."""

    words_of: ClassVar[str] = "a splice"
    station: Name | None = Field(
        None,
        description="Where it lies. Default: the station that costs least copper and is neither hot, wet, moving, in a "
        "hinge nor in a grommet.",
    )
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
    size: fig.Area = Field(
        None, description="Conductor. Default: the largest of what load, fuse, drop and zone ask; it then says why."
    )
    via: list[Name] = Field(default_factory=list, description="Stations that its way must pass, in this order.")
    left_out: Text | None = Field(None, description="Why no wire is laid for this role.")
    reason: Text | None = Field(None, description="Why the wire differs; printed.")

    @model_validator(mode="after")
    def _names_a_wire(self) -> WireChange:
        if self.role is None and not (self.from_terminal and self.to_terminal):
            raise ValueError("a change names the 'role' of a wire, or an additional wire by 'from' and 'to'")
        laid = self.from_terminal or self.to_terminal or self.colour or self.size or self.via
        if self.left_out is not None and laid:
            raise ValueError("a wire that is left out has no terminals, colour, size or way")
        return self


class Loom(Described):
    """Stations, the runs between them, splices, and changes to the derived wires."""

    words_of: ClassVar[str] = "the loom"
    stations: dict[Name, StationForm] = Field(description="Name and place in words, or the longer form.")
    runs: dict[Name, Run] = Field(default_factory=dict)
    splices: dict[Name, Splice] = Field(default_factory=dict)
    wires: list[WireChange] = Field(default_factory=list)
    contact_resistance: fig.Resistance = Field(
        None,
        description="Of each new contact and of each wire's end in a splice. Default: 10 mohm, the most that a sound "
        "crimp with its plug may have (common practice, no source).",
    )
    temperature: fig.Temperature = Field(
        None,
        description="Of the conductors, for their resistance. Default: 60 °C, a closed car in the sun with an engine "
        "beside it (common practice, no source); at 20 °C they have a seventh less.",
    )
    zones: dict[Zone, ZoneForm] = Field(
        default_factory=dict, description="What a zone asks, where the defaults do not fit the car."
    )
    keep_apart: fig.LengthOrZero = Field(
        None,
        description="Of the sensors' wires from cables of motors, ignition, starter and charging. Default: 100 mm "
        "(common practice, no source).",
    )
    insulation: fig.Temperature = Field(
        None,
        description="What the wires' insulation stands for its whole life. Default: 105 °C, as most thin-wall wire for "
        "road vehicles (common practice, no source).",
    )
    allowed_drop: AllowedDrop | None = None
    twist_pitch: fig.Length = Field(
        None, description="Length of one turn of twisted wires. Default: 30 mm (common practice, no source)."
    )
    tail: fig.Length = Field(
        None,
        description="From a station to the housing of a device that names no tail of its own. Default: 150 mm (common "
        "practice, no source).",
    )
    retermination: fig.LengthOrZero = Field(
        None,
        description="Wire that one new termination takes; two are laid in at each end (FAA AC 43.13-1B, paragraph "
        "11-118). Default: 15 mm (common practice, no source).",
    )
    drip_loop: fig.LengthOrZero = Field(
        None,
        description="Wire for the loop below a housing in the wet, for devices that name none of their own. Default: "
        "60 mm (common practice, no source).",
    )
    drum_allowance: fig.Share = Field(
        None, description="Bought beyond what is cut. Default: 10 % (common practice, no source)."
    )
    unfused_within: fig.LengthOrZero = Field(
        None,
        description="Longest wire between the supply and its first fuse. Default: 200 mm (common practice, no source).",
    )
    board: Board | None = None
    labels: LabelSheet | None = None

    @field_validator("twist_pitch")
    @classmethod
    def _can_be_wound(cls, pitch: Quantity | None) -> Quantity | None:
        if pitch is not None and pitch.nominal < LEAST_PITCH_MM:
            raise ValueError(
                f"no wires of a car are wound so tightly that one turn takes {pitch.text}; write the length of a whole "
                "turn, some ten times what the twist measures across"
            )
        return pitch
