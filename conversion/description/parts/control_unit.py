"""What an engine control unit reads, supplies, drives and needs around it."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import (
    Field,
    model_validator,
)

from conversion.description import figures as fig
from conversion.description.parts.base import Described, Role
from conversion.description.parts.devices import Part
from conversion.description.parts.tracks import Pull
from conversion.description.validation import Count, Name


class TrackInput(Described):
    """What the control unit accepts from one track."""

    words_of: ClassVar[str] = "an input of the control unit"
    valid: fig.Voltage = Field(description="Range that is taken as valid, as a range of volts.")
    rest: fig.Voltage = Field(description="Window for the released pedal (throttle: closed plate).")
    full: fig.Voltage = Field(description="Window for the full pedal (throttle: open plate).")
    pull: Pull = Field(None, description="Resistor inside the control unit from this input, or 'none'.")
    clamp: Literal["protected", "to supply"] = Field(
        "protected",
        description="What the input does with more than its supply: `protected` bears the battery and passes nothing "
        "on, as inputs of road vehicles are built (common practice, no source); `to supply` leads it into the sensor "
        "supply through a resistor of 10 kohm.",
    )

    @model_validator(mode="after")
    def _windows(self) -> TrackInput:
        for name in ("valid", "rest", "full"):
            figure = getattr(self, name)
            if figure is not None and figure.high <= figure.low:
                raise ValueError(f"'{name}' is a window and needs two ends, such as '0.30 V..4.80 V'")
        return self


class Agreement(Described):
    """How the control unit compares two tracks."""

    words_of: ClassVar[str] = "an agreement check"
    of: Literal["percent", "volts"] = Field(
        description="Compare the per cent computed from each track, or the volts |a - factor x b|."
    )
    factor: Count = Field(1, description="Volts: b is multiplied by this before comparing.", ge=1, le=10)
    at_most: fig.Difference = Field(description="Greatest difference that passes.")
    at_least: fig.Difference = Field(None, description="Volts: least difference that passes, where one is checked.")
    within: fig.Duration = Field(description="Time after which a disagreement is acted on.")

    @model_validator(mode="after")
    def _units_fit(self) -> Agreement:
        wanted = "ratio" if self.of == "percent" else "voltage"
        for name in ("at_most", "at_least"):
            figure = getattr(self, name)
            if figure is not None and figure.dimension != wanted:
                unit = "%" if wanted == "ratio" else "V"
                raise ValueError(f"'{name}' compares {self.of}, so it is given in {unit}; '{figure.text}' is not")
        return self


class RestCheck(Described):
    """How the control unit checks that a released pedal, or a plate left to its springs, reads as such."""

    words_of: ClassVar[str] = "a check at rest"
    when: Literal["key on", "idle contact"] = Field(
        description="`key on`: once, before the engine starts; `idle contact`: whenever the pedal module's idle "
        "contact says that the foot is off."
    )
    at_most: fig.Share = Field(description="Greatest per cent of a track that passes for rest.")
    within: fig.Duration = Field(description="Time after which more than that is acted on.")


class BrakeOverride(Described):
    """What a pressed brake does to the demand; it is no fault that is noticed, but what ends the demand."""

    words_of: ClassVar[str] = "a brake override"
    above: fig.Share = Field(description="With the brake pressed, more than this is not acted on.")
    within: fig.Duration = Field(description="Time after which the demand is taken back.")


class SensorInput(Described):
    """What the control unit accepts from one position sensor, and how it makes per cent of it."""

    words_of: ClassVar[str] = "a sensor that the control unit reads"
    tracks: dict[Literal["a", "b", "c"], TrackInput] = Field(min_length=1)
    takes: Literal["smaller", "larger", "mean", "a"] = Field(
        description="Which track's per cent is acted on when both are valid."
    )
    scale: Literal["learned", "fixed"] = Field(
        description="Rest and full are learned at commissioning, or fixed at the middle of the windows."
    )
    agreement: Agreement | None = None
    range_within: fig.Duration = Field(
        None,
        description="Time after which a reading outside `valid` is acted on. Left out, such a fault counts as "
        "noticed in a time that nobody has said; no default would be more than a guess.",
    )
    rest_check: RestCheck | None = Field(
        None, description="A check of the released pedal or the resting plate; left out, there is none."
    )
    brake_override: BrakeOverride | None = Field(
        None, description="What a pressed brake does to the demand; left out, nothing."
    )


class SensorSupply(Described):
    """One regulated supply of the control unit and the terminals it appears on."""

    words_of: ClassVar[str] = "a sensor supply"
    voltage: fig.PositiveVoltage
    limit: fig.Current = Field(
        None, description="Greatest current it can give; shorted, it gives this much and its voltage falls."
    )
    source_resistance: fig.Resistance = Field(
        None,
        description="By how much its voltage falls for each ampere, below its limit. Default: 0.5 ohm, 10 mV at 20 mA "
        "(common practice, no source).",
    )
    roles: list[Role] = Field(min_length=1, description="Roles of the terminals that this supply feeds.")


class Accepts(Described):
    """The position sensors that the control unit reads."""

    words_of: ClassVar[str] = "what the control unit accepts"
    pedal: SensorInput | None = None
    throttle: SensorInput | None = None


Need = Literal[
    "pedal", "throttle", "brake-switch", "clutch-switch", "warning-lamp", "main-relay", "ignition-feed",
    "permanent-feed", "engine-stop", "idle-contact", "kickdown-contact",
]  # fmt: skip


class ControlUnit(Part):
    """An engine control unit: what it reads, supplies, drives and needs around it."""

    words_of: ClassVar[str] = "a control unit"
    letters: ClassVar[tuple[str, ...]] = ("K",)
    kind: Literal["control-unit"]
    accepts: Accepts
    supplies: dict[Name, SensorSupply] = Field(default_factory=dict)
    needs: list[Need] = Field(description="What it needs around it to run the throttle.")
    motor_ground: Literal["separate", "shared with sensors"] | None = Field(
        None, description="Whether its motor driver returns through a ground of its own."
    )
