"""Part files: reusable descriptions of pedal modules, throttle bodies, control units, switches, lamps and feeds.

A part is what the builder holds in the hand; where it sits in the car and what it is joined to stands in the
conversion. Figures are typed by dimension; what is not known yet is written ``unknown``.
"""

from __future__ import annotations

from typing import Annotated, Any, ClassVar

from pydantic import ConfigDict, Field, RootModel

from conversion.description.parts.base import Described, Role
from conversion.description.parts.control_unit import (
    Accepts,
    Agreement,
    BrakeOverride,
    ControlUnit,
    Need,
    RestCheck,
    SensorInput,
    SensorSupply,
    TrackInput,
)  # fmt: skip
from conversion.description.parts.devices import (
    BrakeSwitch,
    ClutchSwitch,
    ContactForm,
    Fuse,
    GroundPoint,
    IgnitionSwitch,
    Lever,
    ModuleSprings,
    Motor,
    OtherPart,
    Part,
    PedalModule,
    Relay,
    SensingPart,
    StopSwitch,
    Supply,
    ThrottleBody,
    Unpowered,
    WarningLamp,
)  # fmt: skip
from conversion.description.parts.ends import ConductorSize, CrimpContact, Draw
from conversion.description.parts.housings import Cavity, CavityForm, Housing
from conversion.description.parts.tracks import NoPull, Output, OutputPoint, Pull, PullForm, Track

AnyPart = Annotated[
    PedalModule | ThrottleBody | ControlUnit | BrakeSwitch | ClutchSwitch | IgnitionSwitch | StopSwitch
    | WarningLamp | Fuse | Relay | GroundPoint | Supply | OtherPart,
    Field(discriminator="kind"),
]  # fmt: skip


class PartFile(RootModel[Any]):
    """A part file: the description of one part."""

    # Built when the first part is read, and once: 'RootModel[AnyPart]' would be built besides, for nothing.
    model_config = ConfigDict(defer_build=True)
    root: AnyPart
    words_of: ClassVar[str] = "a part file"


__all__ = [
    "Accepts", "Agreement", "AnyPart", "BrakeOverride", "BrakeSwitch", "Cavity", "CavityForm", "ClutchSwitch",
    "ConductorSize", "ContactForm", "ControlUnit", "CrimpContact", "Described", "Draw", "Fuse", "GroundPoint",
    "Housing", "IgnitionSwitch", "Lever", "ModuleSprings", "Motor", "Need", "NoPull", "OtherPart", "Output",
    "OutputPoint", "Part", "PartFile", "PedalModule", "Pull", "PullForm", "Relay", "RestCheck", "Role", "SensingPart",
    "SensorInput", "SensorSupply", "StopSwitch", "Supply", "ThrottleBody", "Track", "TrackInput", "Unpowered",
    "WarningLamp",
]  # fmt: skip
