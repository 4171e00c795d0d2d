"""What ends a wire, and what a device takes through it."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar

from pydantic import BeforeValidator, Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts.base import Described
from conversion.description.validation import Flag, Text


class CrimpContact(Described):
    """The contact that is crimped to the wire, as its maker's sheet gives it."""

    words_of: ClassVar[str] = "a crimp contact"
    title: Text = Field(description="What to buy, in words; printed.")
    strip: fig.Length = Field(None, description="Insulation taken off. Default: 5 mm (common practice, no source).")
    crimp_height: fig.Length = Field(None, description="Over the crimped conductor, measured after crimping.")
    pull: fig.PositiveForce = Field(None, description="What the crimp must hold at the least.")
    thinnest: fig.Area = Field(None, description="The thinnest conductor that it takes.")
    thickest: fig.Area = Field(None, description="The thickest conductor that it takes.")
    seal: Text | None = Field(None, description="The seal that goes on the wire before it; none if left out.")

    @model_validator(mode="after")
    def _takes_a_range(self) -> CrimpContact:
        if self.thinnest and self.thickest and self.thinnest.nominal > self.thickest.nominal:
            raise ValueError(f"'thinnest' is above 'thickest' ({self.thinnest.text} and {self.thickest.text})")
        return self


class Draw(Described):
    """What a device takes through one of its terminals."""

    words_of: ClassVar[str] = "what a device draws"
    current: fig.Current = Field(description="While it is on, at its greatest.")
    inrush: fig.Current = Field(None, description="In the moment of switching on.")
    lasts: fig.Duration = Field(None, description="How long the inrush lasts.")
    intermittent: Flag = Field(False, description="That it is on for moments only.")

    @model_validator(mode="after")
    def _inrush_is_more(self) -> Draw:
        if self.inrush and self.current and self.inrush.nominal < self.current.nominal:
            raise ValueError(f"the inrush of {self.inrush.text} is less than the current of {self.current.text}")
        if self.lasts is not None and "inrush" not in self.model_fields_set:
            raise ValueError("'lasts' says how long an inrush lasts; write 'inrush' as well")
        return self


def _draw_from_text(value: Any) -> Any:
    """A current stands for the longer form."""
    return {"current": value} if isinstance(value, str) else value


DrawForm = Annotated[
    Draw,
    BeforeValidator(_draw_from_text),
    fig.AlsoWritten({"type": "string", "description": "A current, such as '4 A'."}),
]
