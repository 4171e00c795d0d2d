"""What ends a wire, and what a device takes through it."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Discriminator,
    Field,
    Tag,
    ValidationError,
    WithJsonSchema,
    model_validator,
)
from pydantic_core import InitErrorDetails, PydanticCustomError

from conversion.description import figures as fig
from conversion.description.complaints import quoted
from conversion.description.parts.base import Described
from conversion.description.validation import Flag, Text
from conversion.quantities import Quantity, QuantityError, parse

_SAME_MM2 = 1e-3
"""Sizes nearer to each other are the same: a gauge is written to as many decimals at the most."""


def _conductor_size(text: str) -> str:
    """A key that says an area, kept as it is written."""
    area = _area_of(text)
    if area.has_tolerance or area.evidence is not None:
        raise ValueError(f"{quoted(text)} is more than a size; write one area alone, such as '0.5 mm²' or 'AWG 20'")
    return text


def _area_of(text: str) -> Quantity:
    try:
        parse(text, "area")
    except QuantityError as error:
        raise ValueError(f"{error}, or 'AWG 20'" if "such as" in str(error) else str(error)) from None
    area = fig.AreaOf().read(text)
    assert area is not None, "what is no figure was refused"
    return area


def _each_size_once(heights: dict[str, fig.Figure]) -> dict[str, fig.Figure]:
    met: dict[str, float] = {}
    for size in heights:
        area_mm2 = _area_of(size).nominal
        first = next((other for other, known_mm2 in met.items() if abs(known_mm2 - area_mm2) < _SAME_MM2), None)
        if first is not None:
            said = "{size} is the same size as {first}; remove one of them."
            twice = PydanticCustomError("size_twice", said, {"size": quoted(size), "first": quoted(first)})
            # Told of the key itself, not of all the sizes.
            where = InitErrorDetails(type=twice, loc=(size, "[key]"), input=size)
            raise ValidationError.from_exception_data("crimp_height", [where])
        met[size] = area_mm2
    return heights


ConductorSize = Annotated[str, AfterValidator(_conductor_size), WithJsonSchema({"type": "string"})]
"""A conductor's size as a key: an area without tolerance, kept as it is written."""

_ONE, _BY_SIZE = "one", "by size"

CrimpHeight = Annotated[
    Annotated[fig.Length, Tag(_ONE)]
    | Annotated[
        dict[ConductorSize, fig.Length],
        Field(min_length=1),
        AfterValidator(_each_size_once),
        Tag(_BY_SIZE),
    ],
    Discriminator(lambda value: _BY_SIZE if isinstance(value, dict) else _ONE),
]
"""One figure for every size that a contact takes, or one for each size."""


class CrimpContact(Described):
    """The contact that is crimped to the wire, as its maker's sheet gives it."""

    words_of: ClassVar[str] = "a crimp contact"
    title: Text = Field(description="What to buy, in words; printed.")
    strip: fig.Length = Field(None, description="Insulation taken off. Default: 5 mm (common practice, no source).")
    crimp_height: CrimpHeight = Field(
        None,
        description="Over the crimped conductor, measured after crimping: one figure for all sizes, or one each, as "
        "in `{0.35 mm²: 1.05 mm ± 0.05 mm, AWG 18: 1.20 mm}`. For a size that is not named none is taken.",
    )
    pull: fig.PositiveForce = Field(None, description="What the crimp must hold at the least.")
    thinnest: fig.Area = Field(None, description="The thinnest conductor that it takes.")
    thickest: fig.Area = Field(None, description="The thickest conductor that it takes.")
    seal: Text | None = Field(None, description="The seal that goes on the wire before it; none if left out.")

    @model_validator(mode="after")
    def _takes_a_range(self) -> CrimpContact:
        if self.thinnest and self.thickest and self.thinnest.nominal > self.thickest.nominal:
            raise ValueError(f"'thinnest' is above 'thickest' ({self.thinnest.text} and {self.thickest.text})")
        return self

    def height_on(self, size_mm2: float) -> fig.Figure:
        """Height of the crimp on a conductor of just this size; None where it is not described or not known.

        Args:
            size_mm2: Of all the conductors in the crimp together. [mm²]
        """
        if not isinstance(self.crimp_height, dict):
            return self.crimp_height
        sizes = self.crimp_height.items()
        return next((height for size, height in sizes if abs(_area_of(size).nominal - size_mm2) < _SAME_MM2), None)


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
