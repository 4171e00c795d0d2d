"""The study of a linkage: lever, stops and what the control unit reads, with every figure in its tolerance."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from conversion.linkage import Linkage, RodLinkage, adjusted_at_rest, pedal_angle_for_lever, solve
from conversion.linkage.kinds import with_figures
from conversion.linkage.turning import length
from conversion.study.sampling import Array, Shape, Toleranced
from conversion.study.tolerance import BLOCK, SAMPLES, Progress, Study, run_study
from conversion.study.track_study import TRACK_FIGURES, StudiedTrack, UnitReading, read_tracks

OWN_FIGURES = ("pad_radius_mm", "swing_rad", "set_at_rest_rad", "full_set_rad", "full_stop_mm", "stretch")
# Each step squares what is left; what is left after the last has to be less than this.
NEWTON_STEPS, NEAR_RAD = 5, 1e-9


@dataclass(frozen=True)
class LinkageCase:
    """A linkage with its stops and its tracks, every figure nominal until a sample says otherwise.

    Attributes:
        linkage: One of any kind, no leading axes.
        pad_radius_mm: Of the arc on which pad travel is measured. [mm]
        pad_travel_mm: Where the lever is looked at, from the rest stop on, (positions,). [mm]
        swing_rad: Between the module's own stops. [rad]
        set_at_rest_rad: Lever angle at rest to which the link is adjusted at fitting; None where it is not. [rad]
        full_set_rad: Lever angle at which the pedal's full stop is set; None where it is placed by pad travel.
        full_stop_mm: Pad travel at a full stop that is placed by it. [mm]
        full_output_is_swing: Whether the tracks give their full output at the module's own full stop, so that a
            longer swing stretches them.
        tracks: The module's tracks by name.
        reading: How the control unit reads them.

    Raises:
        ValueError: not just one of full_set_rad and full_stop_mm, or many linkages at once.
    """

    linkage: Linkage
    pad_radius_mm: float
    pad_travel_mm: Array
    swing_rad: float
    set_at_rest_rad: float | None = None
    full_set_rad: float | None = None
    full_stop_mm: float | None = None
    full_output_is_swing: bool = True
    tracks: Mapping[str, StudiedTrack] = field(default_factory=dict)
    reading: UnitReading | None = None

    def __post_init__(self) -> None:
        if (self.full_set_rad is None) == (self.full_stop_mm is None):
            raise ValueError("give full_set_rad or full_stop_mm, and not both")
        if not self.linkage.is_one:
            raise ValueError("a case is one linkage, not many along a leading axis")

    def need_known(self, names: Iterable[str]) -> None:
        """Raise ValueError for figures that nothing here has, or that have no effect as the case is described."""
        known = {name for name in OWN_FIGURES if getattr(self, name, 1.0) is not None}
        known |= {track.supply for track in self.tracks.values()}
        known |= {f"{track}.{figure}" for track in self.tracks for figure in TRACK_FIGURES}
        for name in names:
            if name not in known and not _is_linkage_figure(self.linkage, name):
                raise ValueError(f"{name!r} is not a figure of this case, such as 'module_pivot.x' or 'swing_rad'")

    def evaluate(self, drawn: Mapping[str, Array]) -> dict[str, NDArray]:
        """Every output and event for samples of the figures; see :func:`study_linkage`."""
        samples = len(next(iter(drawn.values())))

        def value(name: str) -> float | Array:
            return drawn.get(name, getattr(self, name))

        linkage = _sampled_linkage(self.linkage, drawn)
        if self.set_at_rest_rad is not None:
            linkage = adjusted_at_rest(linkage, value("set_at_rest_rad"))
        radius, swing = (np.asarray(value(name)) for name in ("pad_radius_mm", "swing_rad"))
        motion = solve(linkage, np.append(self.pad_travel_mm, 0.0) / radius[..., None])
        free, driven = (
            np.broadcast_to(each, (samples, each.shape[-1])) for each in (motion.lever_angle_rad, motion.driven_rad)
        )
        lever, at_rest = free[:, :-1], driven[:, -1]
        at_full, pad_at_full = self._full_stop(linkage, radius, value, driven[:, :-1])
        # The pedal goes no farther than its own full stop, wherever that came to be.
        lever = np.where(self.pad_travel_mm > pad_at_full[:, None], at_full[:, None], lever)
        margin = swing - at_full
        found: dict[str, NDArray] = {
            "lever_rad": lever,
            "lever_at_rest_rad": at_rest,
            "lever_at_full_rad": at_full,
            "margin_rad": margin,
            "pad_at_full_mm": pad_at_full,
            "module-full-stop-first": margin < 0.0,
            "does-not-close": ~np.isfinite(lever).all(axis=1) | ~np.isfinite(pad_at_full),
        }
        if not linkage.one_way:
            found["module-rest-stop-first"] = at_rest < 0.0
        if not self.tracks:
            return found
        if self.full_output_is_swing and "swing_rad" in drawn:
            drawn = {**drawn, "stretch": drawn["swing_rad"] / self.swing_rad}
        # The lever itself stays between the module's stops, whatever the link would do.
        held = [np.clip(each, 0.0, np.broadcast_to(swing, samples)) for each in (lever.T, at_rest, at_full)]
        return found | read_tracks(self.tracks, self.reading, held[0].T, held[1], held[2], drawn)

    def _full_stop(self, linkage: Any, radius: Array, value: Any, driven_rad: Array) -> tuple[Array, Array]:
        """Lever angle and pad travel with the pedal on its full stop, (samples,)."""
        samples = len(driven_rad)
        if self.full_set_rad is not None:
            at_full = np.broadcast_to(np.asarray(value("full_set_rad")), samples)
            pad = self._pedal_at(linkage, at_full, radius, driven_rad) * radius
            return at_full, np.broadcast_to(pad, samples)
        pad = np.broadcast_to(np.asarray(value("full_stop_mm")), samples)
        at_full = solve(linkage, (pad / radius)[:, None]).lever_angle_rad[..., 0]
        return np.broadcast_to(at_full, samples), pad

    def _pedal_at(self, linkage: Any, at_full_rad: Array, radius: Array, driven_rad: Array) -> Array:
        """Pedal angle at which each sample's lever first stands at an angle, (samples,).

        A rod has it in closed form. The other kinds would have to be looked over from end to end; but a sample is
        near the plan, so Newton's method begins there. The search remains for samples in which that fails, or in
        which the lever has been at the angle before.
        """
        if not isinstance(linkage, RodLinkage):
            pedal = np.full(at_full_rad.shape, self._planned_full_rad)
            for _ in range(NEWTON_STEPS):
                motion = solve(linkage, pedal[:, None])
                off = motion.driven_rad[..., 0] - at_full_rad
                with np.errstate(divide="ignore", invalid="ignore"):
                    pedal = pedal - off / motion.ratio[..., 0]
            left = np.abs(solve(linkage, pedal[:, None]).driven_rad[..., 0] - at_full_rad)
            before = self.pad_travel_mm / radius[..., None] < pedal[:, None] - NEAR_RAD
            if np.all(left < NEAR_RAD) and not np.any(before & ~(driven_rad < at_full_rad[:, None])):
                return pedal
        return np.asarray(pedal_angle_for_lever(linkage, at_full_rad[:, None])[..., 0])

    @cached_property
    def _planned_full_rad(self) -> float:
        """Pedal angle of the plan at the lever angle at which the full stop is set."""
        linkage: Linkage = self.linkage
        if self.set_at_rest_rad is not None:
            linkage = adjusted_at_rest(linkage, self.set_at_rest_rad)
        assert self.full_set_rad is not None, "asked only of a stop that is set by the lever"
        return float(pedal_angle_for_lever(linkage, [self.full_set_rad])[0])


def linkage_figures(
    linkage: Linkage, tolerances: Mapping[str, tuple[float, float]], shape: Shape = "uniform"
) -> list[Toleranced]:
    """Tolerances as :func:`conversion.linkage.lever_band` takes them, as figures of a study.

    Args:
        linkage: Gives the nominal values.
        tolerances: Such as ``module_pivot.x`` or ``rod_length_mm``: how far below and above, not negative. [mm]
        shape: Of all of them.

    Returns:
        One figure for each.

    Raises:
        ValueError: a name that the linkage does not have, or a tolerance that brings a length to zero.
    """
    found = []
    for name, (minus, plus) in tolerances.items():
        if not _is_linkage_figure(linkage, name):
            raise ValueError(f"{name!r} is not a figure of the linkage, such as 'module_pivot.x'")
        owner, _, component = name.partition(".")
        whole = getattr(linkage, owner)
        nominal = float(whole["xyz".index(component)] if component else whole)
        if name in linkage.POSITIVE and not nominal > minus:
            raise ValueError(f"the tolerance of {name} ({minus:g}) is larger than the figure, {nominal:g}")
        found.append(Toleranced(name, nominal, nominal - minus, nominal + plus, shape))
    return found


def study_linkage(
    case: LinkageCase,
    figures: Iterable[Toleranced],
    samples: int = SAMPLES,
    seed: int = 1,
    block: int = BLOCK,
    progress: Progress | None = None,
) -> Study:
    """Sample a linkage with its stops and tracks.

    Outputs over the pad travel: ``lever_rad``, held by the pedal's full stop and not by the module's;
    ``volts.NAME``, ``percent.NAME``, ``percent``, ``difference.NAME-NAME``. Single ones: ``lever_at_rest_rad``,
    ``lever_at_full_rad``, ``margin_rad`` (swing left in the module at full), ``pad_at_full_mm``,
    ``volts_at_rest.NAME`` and ``volts_at_full.NAME``. Events:
    ``module-full-stop-first``, ``does-not-close``, ``module-rest-stop-first`` (but for a one-way link, which is
    meant to have play at rest), and those of :func:`conversion.study.track_study.read_tracks`.

    Args:
        case: What is as planned.
        figures: What varies, if anything, by the names of :func:`linkage_figures` and
            :func:`conversion.study.track_study.track_figures`, and ``pad_radius_mm``, ``swing_rad``,
            ``set_at_rest_rad``, ``full_set_rad``, ``full_stop_mm``, ``stretch``.
        samples: How many.
        seed: Same seed, same study.
        block: Samples that are computed together.
        progress: Called with how many samples have been drawn, and of how many.

    Returns:
        The study, its positions the pad travel in mm.

    Raises:
        ValueError: a figure that the case does not have.
    """
    chosen = list(figures) or [Toleranced("swing_rad", case.swing_rad, case.swing_rad, case.swing_rad)]
    case.need_known(figure.name for figure in chosen)
    return run_study(case.evaluate, chosen, case.pad_travel_mm, samples, seed, block, progress)


def _is_linkage_figure(linkage: Linkage, name: str) -> bool:
    owner, _, component = name.partition(".")
    return component in ("x", "y", "z") if owner in linkage.VECTORS else name in linkage.NUMBERS


def _sampled_linkage(linkage: Linkage, drawn: Mapping[str, Array]) -> Linkage:
    """The linkage with every drawn figure in its place along a leading axis; the rest is left as it is."""
    values: dict[str, Array] = {}
    for name, samples in drawn.items():
        owner, _, component = name.partition(".")
        if not _is_linkage_figure(linkage, name):
            continue
        if not component:
            values[owner] = samples
            continue
        if owner not in values:
            values[owner] = np.repeat(getattr(linkage, owner)[None], len(samples), axis=0)
        values[owner][:, "xyz".index(component)] = samples
    for owner in linkage.UNITS:
        if owner in values:
            values[owner] /= length(values[owner])[:, None]
    return with_figures(linkage, values)
