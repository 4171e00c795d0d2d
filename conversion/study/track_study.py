"""Sensor tracks over samples: from each sample's lever to its volts, its per cent, and what the unit would notice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from conversion.sensing import PullTo, Span, TrackModel, loaded_volts
from conversion.sensing.track_model import Loads
from conversion.study.sampling import Array, Shape, Toleranced

RESISTORS = ("track_ohm", "source_ohm", "series_ohm")


@dataclass(frozen=True)
class StudiedTrack:
    """A track and the windows that the control unit has for it.

    Attributes:
        model: The numbers with their tolerances.
        supply: Name of its supply among the figures. Tracks that share a supply share the name.
        valid_v: Range that is taken as valid; None where the control unit does not read the track. [V]
        rest_v: Window at rest. [V]
        full_v: Window at full. [V]
    """

    model: TrackModel
    supply: str
    valid_v: tuple[float, float] | None = None
    rest_v: tuple[float, float] | None = None
    full_v: tuple[float, float] | None = None


@dataclass(frozen=True)
class UnitReading:
    """How the control unit makes per cent of the tracks, and how it compares them.

    Attributes:
        scale: ``learned``: 0 % and 100 % are what each sample itself reads at rest and at full. ``fixed``: they are
            the middles of the windows.
        takes: Which track's per cent is acted on.
        compares: ``percent`` or ``volts``, |a − factor·b|; None where nothing is compared.
        at_most: Greatest difference that passes. [%] or [V]
        at_least: Least difference that passes, for volts; None where none is checked. [V]
        factor: Of the second track, for volts.
    """

    scale: Literal["learned", "fixed"]
    takes: Literal["smaller", "larger", "mean", "a"]
    compares: Literal["percent", "volts"] | None = None
    at_most: float = np.inf
    at_least: float | None = None
    factor: float = 1.0


def track_figures(tracks: Mapping[str, StudiedTrack], shape: Shape = "uniform") -> list[Toleranced]:
    """Everything of the tracks that has a tolerance, under the names that :func:`sampled_volts` looks for.

    ``a.output_at_rest`` and ``a.output_at_full`` run from −1, the least output of track a there, to +1, its
    greatest. Resistors are ``a.track_ohm``, ``a.source_ohm``, ``a.series_ohm``, ``a.module_pull_ohm`` and
    ``a.unit_pull_ohm``; a supply goes by its own name; ``stretch`` is that of the module, one for all tracks.
    """
    found: dict[str, Toleranced] = {}

    def add(name: str, span: Span) -> None:
        if span.high > span.low:
            found.setdefault(name, Toleranced(name, span.nominal, span.low, span.high, shape))

    for name, track in tracks.items():
        model = track.model
        if np.any(model.ratio_high > model.ratio_low):
            for end in ("rest", "full"):
                add(f"{name}.output_at_{end}", Span(0.0, -1.0, 1.0))
        add("stretch", model.stretch)
        add(track.supply, model.supply_v)
        for resistor in RESISTORS:
            add(f"{name}.{resistor}", getattr(model, resistor))
        for pull in ("module_pull", "unit_pull"):
            described: PullTo | None = getattr(model, pull)
            if described is not None:
                add(f"{name}.{pull}_ohm", described.ohm)
    return list(found.values())


def sampled_volts(name: str, track: StudiedTrack, lever_rad: Array, drawn: Mapping[str, Array]) -> Array:
    """Volts of a track at the control unit, each sample with its own output, supply and resistors.

    Args:
        name: Of the track.
        track: The track; what is not drawn stays nominal.
        lever_rad: Lever angle of each sample, (samples, positions). [rad]
        drawn: Samples by the names of :func:`track_figures`, (samples,).

    Returns:
        (samples, positions). [V]
    """
    model = track.model

    def value(key: str, nominal: float) -> float | Array:
        return drawn[key][:, None] if key in drawn else nominal

    def pull(key: str, described: PullTo | None) -> float | Array:
        return np.inf if described is None else value(f"{name}.{key}_ohm", described.ohm.nominal)

    loads = Loads(
        supply_v=value(track.supply, model.supply_v.nominal),
        track_ohm=value(f"{name}.track_ohm", model.track_ohm.nominal),
        source_ohm=value(f"{name}.source_ohm", model.source_ohm.nominal),
        series_ohm=value(f"{name}.series_ohm", model.series_ohm.nominal),
        module_pull_ohm=pull("module_pull", model.module_pull),
        unit_pull_ohm=pull("unit_pull", model.unit_pull),
        module_pull_to_supply=bool(model.module_pull and model.module_pull.to == "supply"),
        unit_pull_to_supply=bool(model.unit_pull and model.unit_pull.to == "supply"),
        supply_drop_v=model.supply_drop_v,
        ground_rise_v=model.ground_rise_v,
    )
    at_rest, at_full = (value(f"{name}.output_at_{end}", 0.0) for end in ("rest", "full"))
    return loaded_volts(_ratio(model, lever_rad, value("stretch", 1.0), at_rest, at_full), loads)[0]


def _ratio(
    model: TrackModel, lever_rad: Array, stretch: float | Array, at_rest: float | Array, at_full: float | Array
) -> Array:
    """Output as a share of the supply; its deviation goes from that at rest to that at full along the way."""
    first, last = model.position[0], model.position[-1]
    where = lever_rad if isinstance(stretch, float) and stretch == 1.0 else first + (lever_rad - first) / stretch
    share = np.clip((where - first) / (last - first), 0.0, 1.0)

    def along(table: Array) -> Array:
        return table[0] + share * (table[1] - table[0]) if len(table) == 2 else np.interp(where, model.position, table)

    ratio = along(model.ratio)
    for deviation, sign in ((model.ratio_high - model.ratio, 1.0), (model.ratio - model.ratio_low, -1.0)):
        rest, full = (np.maximum(sign * end, 0.0) for end in (at_rest, at_full))
        if np.any(deviation) and (np.any(rest) or np.any(full)):
            ratio = ratio + sign * along(deviation) * (rest + share * (full - rest))
    return ratio


def read_tracks(
    tracks: Mapping[str, StudiedTrack],
    reading: UnitReading | None,
    lever_rad: Array,
    at_rest_rad: Array,
    at_full_rad: Array,
    drawn: Mapping[str, Array],
) -> dict[str, NDArray]:
    """Volts, per cent and differences over the movement, and what the control unit would refuse.

    Args:
        tracks: By name.
        reading: How the control unit reads them; None for volts alone.
        lever_rad: (samples, positions). [rad]
        at_rest_rad: With the pedal on its rest stop, (samples,). [rad]
        at_full_rad: With the pedal on its full stop, (samples,). [rad]
        drawn: Samples of the figures, (samples,).

    Returns:
        Outputs ``volts.NAME``, ``percent.NAME``, ``percent``, ``difference.NAME-NAME`` (samples, positions);
        ``volts_at_rest.NAME`` and ``volts_at_full.NAME``, with the pedal on its stops, (samples,); and events
        ``rest-window-missed.NAME``, ``full-window-missed.NAME``, ``valid-range-left.NAME`` and ``tracks-disagree``
        (samples,), as far as there is something to compare with.
    """
    positions = lever_rad.shape[1]
    lever = np.concatenate([lever_rad, at_rest_rad[:, None], at_full_rad[:, None]], axis=1)
    found: dict[str, NDArray] = {}
    volts: dict[str, Array] = {}
    percents: dict[str, Array] = {}
    for name, track in tracks.items():
        volts[name] = sampled_volts(name, track, lever, drawn)
        found[f"volts.{name}"] = volts[name][:, :positions]
        found[f"volts_at_rest.{name}"], found[f"volts_at_full.{name}"] = volts[name][:, -2], volts[name][:, -1]
        found |= _windows(name, track, volts[name])
        scale = _scale(track, reading, volts[name])
        if scale is not None:
            low, high = scale
            with np.errstate(divide="ignore", invalid="ignore"):
                percents[name] = 100.0 * (volts[name] - low) / (high - low)
            found[f"percent.{name}"] = percents[name][:, :positions]
    if reading is None:
        return found
    if percents and (reading.takes != "a" or "a" in percents):
        found["percent"] = _taken(percents, reading)[:, :positions]
    return found | _agreement(tracks, reading, percents if reading.compares == "percent" else volts, positions)


def _windows(name: str, track: StudiedTrack, volts: Array) -> dict[str, NDArray[np.bool_]]:
    """Events of one track; the last two columns of its volts are those at rest and at full."""
    windows = (
        ("rest-window-missed", track.rest_v, volts[:, -2:-1]),
        ("full-window-missed", track.full_v, volts[:, -1:]),
        ("valid-range-left", track.valid_v, volts),
    )
    return {
        f"{event}.{name}": np.any((values < window[0]) | (values > window[1]), axis=1)
        for event, window, values in windows
        if window is not None
    }


def _scale(
    track: StudiedTrack, reading: UnitReading | None, volts: Array
) -> tuple[float | Array, float | Array] | None:
    """Volts that count as 0 % and as 100 %."""
    if reading is None or track.valid_v is None:
        return None
    if reading.scale == "learned":
        return volts[:, -2:-1], volts[:, -1:]
    if track.rest_v is None or track.full_v is None:
        return None
    return sum(track.rest_v) / 2, sum(track.full_v) / 2


def _taken(percents: Mapping[str, Array], reading: UnitReading) -> Array:
    if reading.takes == "a":
        return percents["a"]
    read = np.array(list(percents.values()))
    if reading.takes == "mean":
        return np.asarray(read.mean(axis=0))
    return np.asarray(read.min(axis=0) if reading.takes == "smaller" else read.max(axis=0))


def _agreement(
    tracks: Mapping[str, StudiedTrack], reading: UnitReading, values: Mapping[str, Array], positions: int
) -> dict[str, NDArray]:
    read = [name for name, track in tracks.items() if track.valid_v is not None and name in values]
    if reading.compares is None or len(read) < 2:
        return {}
    factor = reading.factor if reading.compares == "volts" else 1.0
    found: dict[str, NDArray] = {}
    disagree = np.zeros(len(next(iter(values.values()))), dtype=np.bool_)
    for one, other in combinations(read, 2):
        difference = np.abs(values[one] - factor * values[other])
        found[f"difference.{one}-{other}"] = difference[:, :positions]
        disagree |= np.any(difference > reading.at_most, axis=1)
        if reading.at_least is not None:
            disagree |= np.any(difference < reading.at_least, axis=1)
    return found | {"tracks-disagree": disagree}


TRACK_FIGURES = frozenset(
    {f"output_at_{end}" for end in ("rest", "full")}
    | set(RESISTORS)
    | {f"{field.name}_ohm" for field in fields(TrackModel) if field.name.endswith("_pull")}
)
"""What may stand behind a track's name and a point."""
