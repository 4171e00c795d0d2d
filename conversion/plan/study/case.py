"""From the plan to the case that the tolerance study samples, every figure with the place where it is stated."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from conversion.description import Description, Missing
from conversion.description.complaints import dotted
from conversion.description.parts import ControlUnit, PedalModule, PullForm, SensorInput
from conversion.description.study_forms import Study as StudyForm
from conversion.plan.link.geometry import Geometry
from conversion.plan.link.travel import Travel
from conversion.quantities import Quantity
from conversion.sensing import GatheredTrack, sensor_input
from conversion.study import LinkageCase, StudiedTrack, Toleranced, UnitReading, linkage_figures, track_figures

Step = str | int
Window = tuple[float, float]

_CHANCE = "the chance of missing it cannot be computed"
_RESISTORS = {"track_ohm": "resistance", "source_ohm": "source_resistance", "series_ohm": "series"}


@dataclass(frozen=True, slots=True)
class VariedFigure:
    """A figure that the study varies.

    Attributes:
        device: Reference of the device whose part file states it; empty for the conversion file.
        path: Steps to it in that file; to the point, for the radius of the pad.
        dimension: Of the three values.
        nominal: As planned, in the base unit.
        low: Least within the tolerance.
        high: Greatest.
        drawn: What the study draws samples of.
    """

    device: str
    path: tuple[Step, ...]
    dimension: str
    nominal: float
    low: float
    high: float
    drawn: Toleranced

    @property
    def name(self) -> str:
        """As documents write it."""
        return f"{self.device}: {dotted(self.path)}" if self.device else dotted(self.path)


@dataclass(frozen=True)
class GatheredCase:
    """What is studied.

    Attributes:
        case: The linkage with its stops and tracks.
        figures: What is varied.
        lacking: What is not judged for want of a figure.
        idle_shapes: Names under ``study.shapes`` that no figure of the study goes by.
    """

    case: LinkageCase
    figures: tuple[VariedFigure, ...]
    lacking: tuple[Missing, ...]
    idle_shapes: tuple[str, ...]


def gather_case(description: Description, travel: Travel, gathered: Mapping[str, GatheredTrack]) -> GatheredCase:
    """The study of a description.

    Args:
        description: With every point as coordinates.
        travel: Of the same description.
        gathered: The pedal's tracks; empty where they are not known.
    """
    geometry, lacking = travel.geometry, list[Missing]()
    accepts = sensor_input(description, "pedal")
    tracks = {name: _studied(description, name, track, lacking) for name, track in gathered.items()}
    setting = _setting(description)
    full_set = geometry.full_set_rad
    module = description.pedal_module
    case = LinkageCase(
        linkage=geometry.linkage,
        pad_radius_mm=geometry.pad_radius_mm,
        pad_travel_mm=travel.pad_travel_mm,
        swing_rad=geometry.swing_rad[0],
        set_at_rest_rad=setting[1].nominal if setting else None,
        full_set_rad=full_set[0] if full_set else None,
        full_stop_mm=None if full_set else geometry.full_stop_mm[0],
        full_output_is_swing=module is None or module[1].lever.full_at is None,
        tracks=tracks,
        reading=_reading(description, accepts, lacking) if accepts else None,
    )
    form = description.conversion.study or StudyForm()
    found = [(figure, form.shape_named(figure.name)) for figure in _figures(description, geometry, case)]
    figures = tuple(
        replace(figure, drawn=replace(figure.drawn, shape=form.shapes[own] if own else form.shape))
        for figure, own in found
    )
    named = {own for _, own in found}
    return GatheredCase(case, figures, tuple(lacking), tuple(name for name in form.shapes if name not in named))


def _setting(description: Description) -> tuple[tuple[Step, ...], Quantity] | None:
    """Where the lever angle stands to which the link is set at rest, and that angle."""
    linkage: Any = description.conversion.linkage
    for where in ("rod", "cable", "contact", "module"):
        figure = getattr(getattr(linkage, where, None), "set_at_rest", None)
        if figure is not None:
            return ("linkage", where, "set_at_rest"), figure
    return None


def _figures(description: Description, geometry: Geometry, case: LinkageCase) -> Iterator[VariedFigure]:
    for drawn in linkage_figures(geometry.linkage, geometry.tolerances):
        yield _varied("", geometry.sources[drawn.name], "length", drawn)
    radius, share = geometry.pad_radius_mm, geometry.pad_radius_share
    pad = ("linkage", "pedal", "pad")
    own: list[tuple[str, tuple[Step, ...], str, tuple[float, float, float]]] = [
        ("pad_radius_mm", pad, "length", (radius, radius * (1 - share), radius * (1 + share)))
    ]
    setting = _setting(description)
    if setting is not None:
        own.append(("set_at_rest_rad", setting[0], "angle", (setting[1].nominal, *setting[1].limits)))
    stop = ("linkage", "pedal", "full_stop")
    if geometry.full_set_rad is not None:
        own.append(("full_set_rad", (*stop, "set_at"), "angle", geometry.full_set_rad))
    else:
        own.append(("full_stop_mm", (*stop, "at"), "length", geometry.full_stop_mm))
    for name, path, dimension, (nominal, low, high) in own:
        if high > low:
            yield _varied("", path, dimension, Toleranced(name, nominal, low, high))
    assert description.pedal_module is not None, "the linkage's device is a pedal module"
    reference, module = description.pedal_module
    if geometry.swing_rad[2] > geometry.swing_rad[1]:
        yield _varied(reference, ("lever", "swing"), "angle", Toleranced("swing_rad", *geometry.swing_rad))
    yield from _track_figures(description, reference, module, case)


def _track_figures(
    description: Description, reference: str, module: PedalModule, case: LinkageCase
) -> Iterator[VariedFigure]:
    for drawn in track_figures(case.tracks):
        if drawn.name == "stretch":
            # Where no angle of full output is stated, the swing itself stretches the output.
            if module.lever.full_at is not None:
                yield _stated(reference, ("lever", "full_at"), module.lever.full_at, drawn)
            continue
        supply = next((track.supply for track in case.tracks.values() if track.supply == drawn.name), None)
        if supply is not None:
            assert description.control_unit is not None, "a track's supply is one of the control unit's"
            unit, part = description.control_unit
            name = supply.removeprefix("supply.")
            yield _stated(unit, ("supplies", name, "voltage"), part.supplies[name].voltage, drawn)
            continue
        track, _, what = drawn.name.partition(".")
        yield from _of_track(description, reference, module, track, what, drawn)


def _of_track(
    description: Description, reference: str, module: PedalModule, track: str, what: str, drawn: Toleranced
) -> Iterator[VariedFigure]:
    form, path = module.tracks[track], ("tracks", track)  # type: ignore[index]
    if what.startswith("output_at_"):
        end = what.removeprefix("output_at_")
        if form.output.points is None:
            level = getattr(form.output, end)
            if level.has_tolerance:
                yield _stated(reference, (*path, "output", end), level, drawn)
        else:
            index = 0 if end == "rest" else len(form.output.points) - 1
            point = form.output.points[index].output
            yield _stated(reference, (*path, "output", "points", index, "output"), point, drawn)
    elif what in _RESISTORS:
        yield _stated(reference, (*path, _RESISTORS[what]), getattr(form, _RESISTORS[what]), drawn)
    elif what == "module_pull_ohm":
        yield from _pull(reference, (*path, "pull"), form.pull, drawn)
    else:
        assert description.control_unit is not None, "only a control unit has a pull resistor at its input"
        unit, part = description.control_unit
        assert part.accepts.pedal is not None, "it reads this track"
        accepted = part.accepts.pedal.tracks[track]  # type: ignore[index]
        yield from _pull(unit, ("accepts", "pedal", *path, "pull"), accepted.pull, drawn)


def _pull(device: str, path: tuple[Step, ...], pull: object, drawn: Toleranced) -> Iterator[VariedFigure]:
    if isinstance(pull, PullForm):
        yield _stated(device, (*path, "resistance"), pull.resistance, drawn)


def _stated(device: str, path: tuple[Step, ...], figure: Quantity | None, drawn: Toleranced) -> VariedFigure:
    assert figure is not None, "only a known figure has a tolerance"
    return VariedFigure(device, path, figure.dimension, figure.nominal, figure.low, figure.high, drawn)


def _varied(device: str, path: tuple[Step, ...], dimension: str, drawn: Toleranced) -> VariedFigure:
    return VariedFigure(device, path, dimension, drawn.nominal, drawn.low, drawn.high, drawn)


def _studied(description: Description, name: str, track: GatheredTrack, lacking: list[Missing]) -> StudiedTrack:
    windows: dict[str, Window | None] = {"valid": None, "rest": None, "full": None}
    if track.accepts is not None:
        unit, _ = _unit(description)
        for window in windows:
            try:
                figure = description.part_need(
                    getattr(track.accepts, window), _CHANCE, unit, "accepts", "pedal", "tracks", name, window
                )
            except Missing as missing:
                lacking.append(missing)
            else:
                windows[window] = figure.limits
    return StudiedTrack(
        track.model, _supply_name(description, name), windows["valid"], windows["rest"], windows["full"]
    )  # fmt: skip


def _supply_name(description: Description, track: str) -> str:
    _, part = _unit(description)
    role = f"pedal.{track}.supply"
    return "supply." + next(name for name, supply in part.supplies.items() if role in supply.roles)


def _unit(description: Description) -> tuple[str, ControlUnit]:
    assert description.control_unit is not None, "tracks are gathered only where a control unit supplies them"
    return description.control_unit


def _reading(description: Description, accepts: SensorInput, lacking: list[Missing]) -> UnitReading:
    agreement = accepts.agreement
    if agreement is None:
        return UnitReading(accepts.scale, accepts.takes)
    unit, _ = _unit(description)
    path = ("accepts", "pedal", "agreement")
    scale = 100.0 if agreement.of == "percent" else 1.0
    try:
        most = description.part_need(agreement.at_most, _CHANCE, unit, *path, "at_most")
        least = None
        if "at_least" in agreement.model_fields_set:
            least = description.part_need(agreement.at_least, _CHANCE, unit, *path, "at_least")
    except Missing as missing:
        lacking.append(missing)
        return UnitReading(accepts.scale, accepts.takes)
    return UnitReading(
        accepts.scale, accepts.takes, agreement.of, scale * most.nominal, least.nominal if least else None,
        float(agreement.factor),
    )  # fmt: skip
