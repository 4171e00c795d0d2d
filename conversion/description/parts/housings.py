"""Housings, the places in them, and what the terminal in each is for."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import (
    BeforeValidator,
    Field,
    model_validator,
)

from conversion.description import figures as fig
from conversion.description.parts.base import Described, Role
from conversion.description.parts.ends import CrimpContact
from conversion.description.validation import Count, Flag, Name, Text

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
    contact: CrimpContact | None = Field(None, description="Its crimp contact, where it is not that of the housing.")

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
    sealed: Flag = Field(False, description="Whether it keeps water out once every place is filled.")
    plug: Text | None = Field(None, description="What closes an empty place; printed among the parts to buy.")
    contact: CrimpContact | None = Field(None, description="The crimp contact of its places.")
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
