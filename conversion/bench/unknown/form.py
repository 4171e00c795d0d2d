"""The file of readings from an unknown module: what its words are, and what each may say."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts import Described
from conversion.description.validation import Name, Text
from conversion.quantities import Quantity

FEWEST, MOST = 3, 10
"""Terminals: fewer are no track; more would be 90 readings and more."""

OPEN = ("open", "ol", "o.l", "o.l.")
"""What is written, or what a meter shows, where it finds no way through."""

UNREAD = "unread"


class ReadingOf(fig.FigureOf):
    """A resistance, ``open`` (also ``OL``, as meters show it) or ``unread``."""

    def __init__(self) -> None:
        super().__init__("resistance", at_least=0.0)

    def read(self, value: object) -> Quantity | None:
        """Open becomes an infinite resistance, unread becomes None."""
        word = value.strip().lower() if isinstance(value, str) else ""
        if word in OPEN:
            return Quantity(math.inf, math.inf, math.inf, "resistance", None, "open")
        return None if word == UNREAD else super().read(value)


Reading = Annotated[fig.Figure, ReadingOf()]
Table = dict[Name, dict[Name, Reading]]


class MeterForm(Described):
    """The multimeter."""

    words_of: ClassVar[str] = "a meter"
    tolerance: fig.Share = Field(None, description="Of a reading; default 1 %.")
    least: fig.SmallResistance = Field(None, description="What it may be off besides; default 0.5 ohm.")
    leads: fig.SmallResistance = Field(None, description="What it shows with its leads held together; default 0 ohm.")

    @model_validator(mode="after")
    def _is_a_meter(self) -> MeterForm:
        if self.tolerance is not None and not 0.0 < self.tolerance.nominal <= 0.2:
            raise ValueError(f"a tolerance of '{self.tolerance.text}' is no meter's; write one from 0.1 % to 20 %")
        if self.leads is not None and self.leads.nominal > 20.0:
            raise ValueError(f"leads of '{self.leads.text}' are broken; they read a fraction of an ohm held together")
        return self


class ReadingsFile(Described):
    """A file of readings."""

    words_of: ClassVar[str] = "a file of readings"
    title: Text
    note: Text | None = None
    meter: MeterForm = Field(default_factory=MeterForm, description="The multimeter.")
    terminals: list[Name] = Field(description="Their names.", min_length=FEWEST, max_length=MOST)
    rows: list[list[Name]] | None = Field(None, description="Places of the housing, row by row, for the part file.")
    seen_from: Literal["wire side", "mating side"] = Field("wire side", description="Side from which rows were read.")
    swing: fig.PositiveAngle = Field(None, description="Of the lever between its own stops, for the part file.")
    at_rest: Table = Field(description="Red lead's terminal: black lead's terminal: what the meter shows.")
    at_half: Table = Field(default_factory=dict, description="The same somewhere between.")
    at_full: Table = Field(description="The same with the lever at its far stop.")
    supplied_at: list[Name] | None = Field(
        None, description="After the powered check: the terminals, an end of each track, that were at the supply."
    )
