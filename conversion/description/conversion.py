"""The conversion file: the vehicle, its devices, the linkage, the springs and the loom."""

from __future__ import annotations

import datetime
from typing import Annotated, ClassVar, Literal

from pydantic import AfterValidator, AliasChoices, BeforeValidator, Field

from conversion.description import figures as fig
from conversion.description.fit_forms import FitForm
from conversion.description.limit_forms import LimitsForm
from conversion.description.linkage_forms import LinkageForm
from conversion.description.loom_forms import Loom
from conversion.description.parts import Described, Need, Role
from conversion.description.places import Point
from conversion.description.record_forms import RecordsForm
from conversion.description.search_forms import Search
from conversion.description.spring_forms import Spring
from conversion.description.study_forms import Study
from conversion.description.validation import Name, Text
from conversion.description.wired_forms import Pairs
from conversion.quantities import Evidence

COUNTRIES = {
    "au": "Australia", "ca": "Canada", "de": "Germany", "gb": "Great Britain", "nz": "New Zealand",
    "us": "United States",
}  # fmt: skip
GENERIC_COUNTRY = "generic"


def _country(value: str) -> str:
    word = value.strip().lower()
    word = {"uk": "gb"}.get(word, word)
    if word != GENERIC_COUNTRY and word not in COUNTRIES:
        known = ", ".join([*COUNTRIES, GENERIC_COUNTRY])
        raise ValueError(f"'{value}' has no prompts here; known are {known} (ISO 3166-1); write 'generic' for others")
    return word


def _date(value: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(value.strip())
    except (ValueError, AttributeError):
        raise ValueError(f"'{value}' is no date; write year-month-day, such as 2026-03-14") from None


Country = Annotated[str, AfterValidator(_country)]
Date = Annotated[datetime.date, BeforeValidator(_date)]


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
    tail: fig.Length = Field(None, description="From its station to its housings. Default: the loom's 'tail'.")
    drip_loop: fig.LengthOrZero = Field(
        None,
        description="Wire for the loop below its housings that lets water drip off. Default: the loom's 'drip_loop' "
        "where its station is wet or in the engine bay, else none.",
    )


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
    marks: dict[Name, Point] = Field(
        default_factory=dict, description="Places on the car from which points are measured with a tape."
    )
    linkage: LinkageForm | None = None
    springs: dict[Name, Spring] = Field(default_factory=dict)
    fit: FitForm | None = Field(None, description="What takes room, what may be in its way, and what is made for it.")
    loom: Loom | None = None
    as_wired: Pairs | Text | None = Field(
        None,
        description="What was really wired, as pairs of ends; or the file beside this one that holds such a list.",
    )
    records: RecordsForm | None = Field(
        None, description="What was measured on the finished conversion; the build pack shows it."
    )
    limits: LimitsForm | None = Field(
        None, description="What a fault that no check notices may do; left out, each limit has its default."
    )
    search: Search | None = Field(None, description="What `treadle search` may move, and what is wanted of the result.")
    study: Study | None = None
