"""The board that the loom is laid on, and the sheet of labels that was bought for it."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts import Described
from conversion.description.validation import Count

PAPER_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height of the papers, upright."""

LEAST_LABEL_MM = (15.0, 7.0)
"""Width and height of a label with room for a wire's tag and both its ends, in letters of 1.5 mm on two lines."""


class Board(Described):
    """The board that the loom is laid on."""

    words_of: ClassVar[str] = "the board"
    length: fig.Length = Field(description="Level.")
    height: fig.Length = Field(description="Upright.")


class LabelSheet(Described):
    """A sheet of labels for wrapping round wires."""

    words_of: ClassVar[str] = "the label sheet"
    paper: Literal["A4", "Letter"] = Field("A4", description="Size of the sheet, upright.")
    across: Count = Field(description="Labels beside each other.", ge=1, le=20)
    down: Count = Field(description="Labels below each other.", ge=1, le=60)
    width: fig.Length = Field(description="Of one label, along the wire.")
    height: fig.Length = Field(description="Of one label, round the wire.")
    left: fig.LengthOrZero = Field(description="From the paper's left edge to the first label.")
    top: fig.LengthOrZero = Field(description="From the paper's upper edge to the first label.")
    gap_across: fig.LengthOrZero = Field(None, description="Between labels beside each other. Default: none.")
    gap_down: fig.LengthOrZero = Field(None, description="Between labels below each other. Default: none.")

    @model_validator(mode="after")
    def _room_for_words(self) -> LabelSheet:
        least = LEAST_LABEL_MM
        for size, least_mm, word in ((self.width, least[0], "wide"), (self.height, least[1], "high")):
            if size is not None and size.nominal < least_mm:
                raise ValueError(
                    f"a label {size.text} {word} has no room for a wire's tag and its ends in readable letters; "
                    f"take labels at least {least[0]:g} mm wide and {least[1]:g} mm high"
                )
        return self

    @model_validator(mode="after")
    def _on_the_paper(self) -> LabelSheet:
        paper = PAPER_MM[self.paper]
        of_axis = (
            ("wide", self.across, self.width, self.left, self.gap_across),
            ("high", self.down, self.height, self.top, self.gap_down),
        )
        for room, (word, count, size, start, gap) in zip(paper, of_axis, strict=True):
            if size is None or start is None:
                continue
            taken = start.nominal + count * size.nominal + (count - 1) * (gap.nominal if gap else 0.0)
            if taken > room + 0.05:
                raise ValueError(
                    f"{count} labels of {size.text} reach {taken:.1f} mm and {self.paper} is {room:g} mm {word}"
                )
        return self


class AllowedDrop(Described):
    """Greatest loss on the whole way out and back."""

    words_of: ClassVar[str] = "the allowed drop"
    continuous: fig.PositiveVoltage = Field(
        None, description="While a load stays on. Default: 0.5 V (FAA AC 43.13-1B, table 11-6, 14 V; from memory)."
    )
    intermittent: fig.PositiveVoltage = Field(
        None, description="For loads that are on for a moment. Default: 1 V (the same table; from memory)."
    )
