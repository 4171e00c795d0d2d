"""What `treadle search` may move and what is wanted of the result."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, ClassVar

from pydantic import Field, model_validator

from conversion.description import figures as fig
from conversion.description.parts import Described
from conversion.description.validation import Flag
from conversion.quantities import Quantity

MOST_STEPS = 10_000
"""Settings that one thing may have; more cannot be told apart in a workshop."""


class One(fig.FigureOf):
    """A figure that stands for one setting or one limit; a range would be taken by its middle, unsaid."""

    def read(self, value: object) -> Quantity | None:
        quantity = super().read(value)
        if quantity is not None and quantity.has_tolerance:
            raise ValueError(f"'{value}' goes from one figure to another; a single one is needed here")
        return quantity


class FromTo(fig.FigureOf):
    """A least and a greatest figure."""

    def read(self, value: object) -> Quantity | None:
        quantity = super().read(value)
        if quantity is not None and not quantity.has_tolerance:
            example = "10 N..40 N" if quantity.dimension == "force" else "0.5°..2°"
            if quantity.dimension == "length":
                example = "35 mm..60 mm"
            raise ValueError(f"'{value}' is a single figure; write the least and the greatest, such as '{example}'")
        return quantity


_Length = Annotated[fig.Figure, One("length", above=0.0)]
_Place = Annotated[fig.Figure, One("length")]
_Angle = Annotated[fig.Figure, One("angle", at_least=0.0)]
_Step = Annotated[fig.Figure, One("angle", above=0.0)]
_Least = Annotated[fig.Figure, One("angle", above=0.0, at_most=math.pi / 2)]
_Share = Annotated[fig.Figure, One("ratio", at_least=0.0, at_most=1.0)]
_Weight = Annotated[fig.Figure, One("ratio", at_least=0.0)]
_Lengths = Annotated[fig.Figure, FromTo("length", above=0.0)]
_Places = Annotated[fig.Figure, FromTo("length")]
_Angles = Annotated[fig.Figure, FromTo("angle", at_least=0.0)]
_Forces = Annotated[fig.Figure, FromTo("force", at_least=0.0)]


class Steps(Described):
    """A range that is gone through in steps."""

    over: fig.Figure
    step: fig.Figure

    @model_validator(mode="after")
    def _few_enough(self) -> Steps:
        if self.over is not None and self.step is not None:
            count = (self.over.high - self.over.low) / self.step.nominal
            if count < 1.0 - 1e-9:
                raise ValueError(
                    f"a step of '{self.step.text}' is longer than '{self.over.text}'; write a list instead"
                )
            if count > MOST_STEPS:
                raise ValueError(f"'{self.over.text}' in steps of '{self.step.text}' makes more than {MOST_STEPS}")
        return self


class LengthSteps(Steps):
    """Lengths from the least to the greatest, in steps."""

    words_of: ClassVar[str] = "steps of length"
    over: _Lengths = Field(description="Least and greatest, such as `35 mm..60 mm`.")
    step: _Length = Field(description="From one to the next.")


class PlaceSteps(Steps):
    """Places along one axis of the vehicle, in steps."""

    words_of: ClassVar[str] = "steps of place"
    over: _Places = Field(description="First and last, such as `-60 mm..-40 mm`.")
    step: _Length = Field(description="From one to the next.")


class AngleSteps(Steps):
    """Angles from the least to the greatest, in steps."""

    words_of: ClassVar[str] = "steps of angle"
    over: _Angles = Field(description="Least and greatest, such as `0.5°..2.0°`.")
    step: _Step = Field(description="From one to the next.")


LengthChoice = Annotated[list[_Length], Field(min_length=1)] | LengthSteps
PlaceChoice = Annotated[list[_Place], Field(min_length=1)] | PlaceSteps
AngleChoice = Annotated[list[_Angle], Field(min_length=1)] | AngleSteps
Choice = LengthChoice | PlaceChoice | AngleChoice


class ModuleBox(Described):
    """Where the module may sit; its lever and all that is held on its bracket go with it."""

    words_of: ClassVar[str] = "the module's box"
    x: PlaceChoice | None = Field(None, description="Of the module's `pivot`, forward.")
    y: PlaceChoice | None = Field(None, description="Of the module's `pivot`, to the left.")
    z: PlaceChoice | None = Field(None, description="Of the module's `pivot`, up.")

    @model_validator(mode="after")
    def _has_one(self) -> ModuleBox:
        if not {"x", "y", "z"} & self.model_fields_set:
            raise ValueError("a box needs at least one of 'x', 'y' and 'z'; leave 'module' out if it stays where it is")
        return self


class RodSteps(Described):
    """Lengths to which the rod can be set."""

    words_of: ClassVar[str] = "steps of the rod"
    pitch: _Length = Field(description="Of the rod's thread: length gained by one turn of one end.")
    half_turns: Flag = Field(
        True, description="Whether half a turn can be set; `false` for an end that only fits one way round."
    )
    length: _Lengths = Field(None, description="Shortest and longest rod; default: any.")


class MayMove(Described):
    """What may be chosen; all else stays as described."""

    words_of: ClassVar[str] = "what may move"
    lever_hole: LengthChoice | None = Field(
        None, description="Distance of the lever's pin from its axis, along the lever: holes that there are or can be."
    )
    pedal_hole: LengthChoice | None = Field(
        None, description="Distance of the pin on the pedal from the pedal's axis, along the arm that it is on."
    )
    groove_radius: LengthChoice | None = Field(None, description="Of a cable's quadrant; the nipple goes with it.")
    crank_in: LengthChoice | None = Field(None, description="Arm of a bell-crank to the first rod.")
    crank_out: LengthChoice | None = Field(None, description="Arm of a bell-crank to the second rod.")
    module: ModuleBox | None = Field(None, description="Where the module may sit.")
    rod: RodSteps | None = Field(None, description="Thread of the rod; default: any length can be set.")
    rest: AngleChoice | None = Field(
        None, description="Lever angle that is aimed for at rest; the thread gives the nearest that can be set."
    )
    full: AngleChoice | None = Field(None, description="Lever angle at which the pedal's full stop is set.")

    @model_validator(mode="after")
    def _has_one(self) -> MayMove:
        if not self.model_fields_set - {"rod"}:
            raise ValueError("nothing may move; name what may, such as 'lever_hole: [40 mm, 45 mm, 50 mm]'")
        return self


class FeelPoint(Described):
    """A point of a wanted feel."""

    words_of: ClassVar[str] = "a point of the feel"
    pad: _Share = Field(description="Share of the pad's travel.")
    lever: _Share = Field(description="Share of the lever's sweep that is wanted there.")


class Feel(Described):
    """How the lever should follow the pad."""

    words_of: ClassVar[str] = "the feel"
    half: _Share = Field(
        None,
        description="Share of the sweep at half of the pad's travel: 50 % is even, less is progressive, more is "
        "degressive; between, a power of the travel.",
    )
    points: Annotated[list[FeelPoint], Field(min_length=1)] | None = Field(
        None, description="Instead: points with straight lines between them."
    )

    @model_validator(mode="after")
    def _one_way(self) -> Feel:
        if len({"half", "points"} & self.model_fields_set) != 1:
            raise ValueError("a feel needs either 'half' or 'points', not both")
        if self.half is not None and not 0.05 <= self.half.nominal <= 0.95:
            raise ValueError(f"'{self.half.text}' at half travel is no feel; write 5 % to 95 %")
        shares = [(point.pad, point.lever) for point in self.points or []]
        flat = [(0.0, 0.0), *((pad.nominal, lever.nominal) for pad, lever in shares if pad and lever), (1.0, 1.0)]
        if any(after[0] <= before[0] or after[1] <= before[1] for before, after in pairwise(flat)):
            raise ValueError("points of a feel rise in 'pad' and in 'lever' between 0 % and 100 %, the ends left out")
        return self


class Weights(Described):
    """How much each measure counts in the order of the results."""

    words_of: ClassVar[str] = "the weights"
    feel: _Weight = Field(None, description="Of 5 % of the sweep off the wanted feel; default 100 %.")
    sweep: _Weight = Field(None, description="Of 5 % of the module's swing that is not used; default 100 %.")
    margin: _Weight = Field(None, description="Of 1° of margin at the nearer of the module's stops; default 100 %.")
    transmission: _Weight = Field(None, description="Of 20° away from square; default 100 %.")
    force: _Weight = Field(None, description="Of 20 N at the pad; default 100 %.")

    @model_validator(mode="after")
    def _count(self) -> Weights:
        weights = [self.feel, self.sweep, self.margin, self.transmission, self.force]
        if all(weight is not None and weight.nominal == 0.0 for weight in weights):
            raise ValueError("with every weight at 0 % nothing is better than anything; leave one of them out")
        return self


class Wants(Described):
    """What every result has to keep to, and what makes one better than another."""

    words_of: ClassVar[str] = "the wants"
    lever_at_rest: _Angles = Field(
        None, description="Lever angle at rest; default `0.3°..3.0°`: the pedal's stop ends the return, and little "
        "sweep is lost.",
    )  # fmt: skip
    below_full: _Angles = Field(
        None, description="How far the lever stays below the module's own full stop; default `0.5°..3.0°`: that stop "
        "is never met, and little sweep is lost.",
    )  # fmt: skip
    margin: _Angle = Field(
        None, description="Least way to either of the module's own stops with every setting at the worse end of its "
        "tolerance; default 0.2°.",
    )  # fmt: skip
    pad_travel: _Lengths = Field(
        None, description="Pad travel at the full stop; default `35 mm..75 mm`: what a foot can meter (common "
        "practice, no source).",
    )  # fmt: skip
    feel: Feel | None = Field(None, description="Default: the lever follows evenly.")
    feel_within: _Share = Field(
        None, description="Greatest distance from the wanted feel, as a share of the sweep; default 15 %."
    )
    transmission: _Least = Field(
        None, description="Least angle between rod and arm at either end, counted from the nearer dead centre; "
        "default 40°, so 40° to 140°.",
    )  # fmt: skip
    force: _Forces = Field(None, description="Force at the pad while pressing; default: not limited.")
    weights: Weights | None = Field(None, description="Default: all count alike.")


class Search(Described):
    """What `treadle search` is to find."""

    words_of: ClassVar[str] = "the search"
    may_move: MayMove = Field(description="What may be chosen.")
    wants: Wants | None = Field(None, description="What is wanted; every want has a default.")


def values_of(choice: Choice) -> list[float] | None:
    """Every setting of a choice in the base unit, rising; None where a figure is not known.

    The last one of a range is kept also where the steps do not meet it.
    """
    if isinstance(choice, Steps):
        if choice.over is None or choice.step is None:
            return None
        return _stepped(choice.over, choice.step.nominal)
    known = [figure.nominal for figure in choice if figure is not None]
    return sorted(set(known)) if len(known) == len(choice) else None


def _stepped(over: Quantity, step: float) -> list[float]:
    count = math.floor((over.high - over.low) / step + 1e-9)
    values = [over.low + step * index for index in range(count + 1)]
    return values if over.high - values[-1] <= 1e-6 * step else [*values, over.high]
