"""The tolerance study: how many samples, and how likely each figure lies where between its limits."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Literal

from pydantic import Field

from conversion.description.parts import Described
from conversion.description.validation import Count, Text

DEFAULT_SAMPLES = 4000
"""Enough for what never happened to be below about 0.1 % with 95 % confidence; few enough for a pack not to wait."""
MOST_SAMPLES = 100_000

Shape = Literal["uniform", "normal", "triangular"]


def groups(name: str) -> Iterator[str]:
    """A figure's name and those of what it belongs to, the longest first.

    Example:
        >>> list(groups("B1: tracks.a.output.rest"))[:2]
        ['B1: tracks.a.output.rest', 'B1: tracks.a.output']
    """
    while name:
        yield name
        name = name.rpartition(".")[0]


class Study(Described):
    """How the tolerances are sampled; the worst case of all of them together needs none of this."""

    words_of: ClassVar[str] = "the study"
    samples: Count = Field(
        DEFAULT_SAMPLES,
        description="How many linkages are drawn. So many show that what never happened is rarer than about 1 in "
        "1 000, in less than a second; at most 100 000, which takes 400 MB.",
        ge=100,
        le=MOST_SAMPLES,
    )
    seed: Count = Field(1, description="The same seed gives the same samples.")
    shape: Shape = Field(
        "uniform",
        description="How likely a figure lies where between its limits: `uniform`, anywhere alike, as of one thing "
        "measured once; `triangular`, likeliest at the nominal value; `normal`, the limits three standard deviations "
        "from the middle, as of many parts of one process.",
    )
    shapes: dict[Text, Shape] = Field(
        default_factory=dict,
        description="Another shape for single figures, by the name that documents print, such as "
        '`linkage.module.pivot` or `"B1: lever.swing"`.',
    )

    def shape_named(self, name: str) -> str | None:
        """The name under ``shapes`` that a figure of this name goes by; None where the shape of all holds."""
        return next((group for group in groups(name) if group in self.shapes), None)
