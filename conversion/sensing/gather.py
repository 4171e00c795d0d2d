"""From the description to track models: which supply, which loads, and what had to be taken for granted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from conversion.description import Description, Missing
from conversion.description.parts import NoPull, Output, PedalModule, PullForm, SensorInput, Track, TrackInput
from conversion.quantities import Quantity
from conversion.sensing.track_model import PullTo, Span, TrackModel

Sensor = Literal["pedal", "throttle"]


@dataclass(frozen=True, slots=True)
class GatheredTrack:
    """A track ready to be computed, with the control unit's input for it.

    Attributes:
        model: The numbers.
        accepts: What the control unit accepts from it; None where it reads no such track.
        taken: Figures that were not known and what was taken instead, as sentences.
    """

    model: TrackModel
    accepts: TrackInput | None
    taken: tuple[str, ...]


def sensor_input(description: Description, sensor: Sensor) -> SensorInput | None:
    """What the control unit accepts from a sensor; None where it reads none."""
    unit = description.control_unit
    return getattr(unit[1].accepts, sensor) if unit else None


def gather_tracks(description: Description, sensor: Sensor) -> dict[str, GatheredTrack]:
    """The tracks of the pedal module or of the throttle body.

    Raises:
        Missing: A figure is not known without which no volts can be computed.
    """
    holder = description.pedal_module if sensor == "pedal" else description.throttle_body
    if holder is None:
        what = "pedal module" if sensor == "pedal" else "throttle body"
        raise Missing("devices", description.place("devices"), f"no {what} is described, so no volts can be computed")
    reference, part = holder
    accepted = sensor_input(description, sensor)
    gathered: dict[str, GatheredTrack] = {}
    for name, track in part.tracks.items():
        taken: list[str] = []
        inputs = accepted.tracks.get(name) if accepted else None
        model = _model(description, sensor, reference, name, track, inputs, taken)
        gathered[name] = GatheredTrack(model, inputs, tuple(taken))
    return gathered


def _model(
    description: Description,
    sensor: Sensor,
    reference: str,
    name: str,
    track: Track,
    inputs: TrackInput | None,
    taken: list[str],
) -> TrackModel:
    end, stretch = _sweep(description, sensor, reference)
    position, ratio, low, high = _output(description, reference, name, track.output, end)
    potentiometer = track.principle == "potentiometer"
    unit = description.control_unit[0] if description.control_unit else "the control unit"
    module_pull = _pull(track.pull, f"pull resistor of {reference} track {name}", taken)
    unit_pull = _pull(inputs.pull, f"pull resistor of {unit} at track {name}", taken) if inputs else None
    loaded = module_pull is not None or unit_pull is not None
    track_ohm = Span.exact(0.0)
    if potentiometer:
        track_ohm = _or_zero(track.resistance, f"end-to-end resistance of {reference} track {name}", loaded, taken)
    source_ohm = _or_zero(track.source_resistance, f"source resistance of {reference} track {name}", loaded, taken)
    series_ohm = _or_zero(track.series, f"series resistor of {reference} track {name}", loaded, taken)
    return TrackModel(
        position=position, ratio=ratio, ratio_low=low, ratio_high=high, stretch=stretch,
        supply_v=_supply(description, sensor, name), track_ohm=track_ohm, source_ohm=source_ohm,
        module_pull=module_pull, series_ohm=series_ohm, unit_pull=unit_pull,
    )  # fmt: skip


def _sweep(description: Description, sensor: Sensor, reference: str) -> tuple[float, Span]:
    """Position at which the output 'full' is reached, and its tolerance as a factor."""
    part = description.parts[reference]
    if sensor == "throttle" or not isinstance(part, PedalModule):
        return 1.0, Span.exact(1.0)
    name = "full_at" if part.lever.full_at is not None else "swing"
    figure = description.part_need(
        getattr(part.lever, name),
        "the track's output cannot be placed on the lever's swing",
        reference,
        "lever",
        name,
    )
    return figure.nominal, Span(1.0, figure.low / figure.nominal, figure.high / figure.nominal)


def _output(
    description: Description, reference: str, name: str, output: Output, end: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    why = f"the volts of track {name} cannot be computed"
    path = ("tracks", name, "output")
    if output.points is None:
        levels = [
            description.part_need(output.rest, why, reference, *path, "rest"),
            description.part_need(output.full, why, reference, *path, "full"),
        ]
        positions = [0.0, end]
    else:
        levels, positions = [], []
        for index, point in enumerate(output.points):
            levels.append(description.part_need(point.output, why, reference, *path, "points", index, "output"))
            at = description.part_need(point.at, why, reference, *path, "points", index, "at")
            positions.append(at.nominal)
    scale = [1.0] * len(levels)
    if any(level.dimension == "voltage" for level in levels):
        supply = description.part_need(output.at_supply, why, reference, *path, "at_supply")
        scale = [1.0 / supply.nominal if level.dimension == "voltage" else 1.0 for level in levels]
    rows = [
        np.array([getattr(level, which) * factor for level, factor in zip(levels, scale, strict=True)])
        for which in ("nominal", "low", "high")
    ]
    return np.array(positions), rows[0], np.clip(rows[1], 0.0, 1.0), np.clip(rows[2], 0.0, 1.0)


def _pull(pull: PullForm | NoPull | None, what: str, taken: list[str]) -> PullTo | None:
    if isinstance(pull, NoPull):
        return None
    if pull is None or pull.resistance is None:
        taken.append(f"The {what} is not known; the volts are computed as if there were none.")
        return None
    return PullTo(pull.to, _span(pull.resistance))


def _or_zero(figure: Quantity | None, what: str, loaded: bool, taken: list[str]) -> Span:
    if figure is not None:
        return _span(figure)
    if loaded:
        taken.append(f"The {what} is not known; the volts are computed as if it were zero.")
    return Span.exact(0.0)


def _supply(description: Description, sensor: Sensor, track: str) -> Span:
    role = f"{sensor}.{track}.supply"
    unit = description.control_unit
    if unit is None:
        raise Missing("devices", description.place("devices"), "no control unit is described, so no supply is known")
    reference, part = unit
    for name, supply in part.supplies.items():
        if role in supply.roles:
            why = f"the volts of {sensor} track {track} cannot be computed"
            return _span(description.part_need(supply.voltage, why, reference, "supplies", name, "voltage"))
    why = f"no supply of {reference} feeds '{role}', so the volts of track {track} cannot be computed"
    raise Missing(f"{reference}: supplies", description.part_place(reference, "supplies"), why)


def _span(figure: Quantity) -> Span:
    return Span(figure.nominal, figure.low, figure.high)
