"""Where the loom runs: stations, runs with what surrounds them, and what each zone asks of a wire."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts import Described
from conversion.description.validation import Name, Text

Zone = Literal["cabin", "engine bay", "hot", "wet", "moving"]
WireKind = Literal["sensors", "motor", "feeds", "grounds", "other"]
Neighbour = Literal["motor", "ignition", "starter", "charging", "fuel or brake line", "exhaust"]


class Beside(Described):
    """What runs along a run and is not part of this loom."""

    words_of: ClassVar[str] = "what runs beside a run"
    what: Neighbour = Field(description="What it is: a cable that disturbs, a line that must not be rubbed or heated.")
    apart: fig.LengthOrZero = Field(description="Least distance from the loom along the whole run.")


class Station(Described):
    """A place that the loom reaches, or passes."""

    words_of: ClassVar[str] = "a station"
    place: Text = Field(description="Where it is, in words.")
    zone: Zone | None = Field(
        None, description="What surrounds it. Default: the severest zone of the runs that meet there."
    )
    through: Literal["grommet", "hinge"] | None = Field(
        None,
        description="That the loom passes a hole in sheet metal here, or is bent by a hinge; no splice lies there.",
    )
    hole: fig.Length = Field(None, description="Diameter of the hole that the loom passes.")

    @model_validator(mode="after")
    def _hole_with_a_grommet(self) -> Station:
        if self.hole is not None and self.through != "grommet":
            raise ValueError("a hole has a grommet; write 'through: grommet' beside its diameter")
        return self


def _station_from_text(value: Any) -> Any:
    """A place in words stands for the longer form."""
    return {"place": value} if isinstance(value, str) else value


StationForm = Annotated[
    Station,
    BeforeValidator(_station_from_text),
    fig.AlsoWritten({"type": "string", "description": "The place in words."}),
]


class Run(Described):
    """A length of loom between two stations."""

    words_of: ClassVar[str] = "a run"
    between: list[Name] = Field(min_length=2, max_length=2, description="The two stations that it joins.")
    length: fig.Length
    zone: Zone = "cabin"
    beside: list[Beside] = Field(default_factory=list, description="What runs along it outside this loom.")
    corners: list[fig.Length] = Field(
        default_factory=list, description="Radius of each bend on the way, to the inside of the loom."
    )
    closed_to: list[WireKind] = Field(
        default_factory=list, description="Kinds of wires that must not take this run, besides those of its zone."
    )

    @model_validator(mode="after")
    def _joins_two(self) -> Run:
        if self.between[0] == self.between[1]:
            raise ValueError(f"a run joins two different stations; both are '{self.between[0]}'")
        return self


class ZoneForm(Described):
    """What a zone asks of the wires that pass it, where the defaults do not fit the car."""

    words_of: ClassVar[str] = "a zone"
    ambient: fig.Temperature = Field(
        None,
        description="Of the air there at its hottest. Default: cabin and moving 60 °C, engine bay and wet 85 °C, hot "
        "110 °C (common practice, no source).",
    )
    clip_every: fig.Length = Field(
        None,
        description="Between two supports. Default: cabin 400 mm, engine bay and wet 300 mm, hot 200 mm, moving 150 mm "
        "(common practice, no source), all within the 24 in of FAA AC 43.13-1B, paragraph 11-96.",
    )
    least_size: fig.Area = Field(
        None,
        description="The thinnest conductor that stands the handling and shaking there. Default: cabin 0.35 mm², "
        "engine bay and wet 0.5 mm², hot and moving 0.75 mm² (common practice, no source).",
    )
    closed_to: list[WireKind] | None = Field(
        None,
        description="Kinds of wires that must not pass. Default: sensors keep out of 'hot' (common practice, no "
        "source); write [] to let them in.",
    )


_AMBIENT_DEGC: dict[str, float] = {"cabin": 60.0, "engine bay": 85.0, "hot": 110.0, "wet": 85.0, "moving": 60.0}
_CLIP_EVERY_MM: dict[str, float] = {"cabin": 400.0, "engine bay": 300.0, "hot": 200.0, "wet": 300.0, "moving": 150.0}
_LEAST_SIZE_MM2: dict[str, float] = {"cabin": 0.35, "engine bay": 0.5, "hot": 0.75, "wet": 0.5, "moving": 0.75}
_CLOSED_TO: dict[str, tuple[WireKind, ...]] = {"hot": ("sensors",)}


def ambient_degc(zone: Zone, form: ZoneForm | None) -> float:
    """Of the air in a zone at its hottest. [°C]"""
    return form.ambient.nominal if form and form.ambient else _AMBIENT_DEGC[zone]


def clip_every_mm(zone: Zone, form: ZoneForm | None) -> float:
    """Greatest distance of two supports in a zone. [mm]"""
    return form.clip_every.nominal if form and form.clip_every else _CLIP_EVERY_MM[zone]


def least_size_mm2(zone: Zone, form: ZoneForm | None) -> float:
    """The thinnest conductor of a zone. [mm²]"""
    return form.least_size.nominal if form and form.least_size else _LEAST_SIZE_MM2[zone]


def zone_closed_to(zone: Zone, form: ZoneForm | None) -> tuple[WireKind, ...]:
    """Kinds of wires that must not pass a zone."""
    return _CLOSED_TO.get(zone, ()) if form is None or form.closed_to is None else tuple(form.closed_to)
