"""The pedal's whole travel: what the lever does, what ends it, and where the linkage fails."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from conversion.linkage import Motion, find_events, lever_band, pedal_angle_for_lever, solve
from conversion.linkage.kinds import EventKind
from conversion.linkage.turning import Array
from conversion.plan.link.geometry import Geometry

POSITIONS = 41
"""From the pedal's rest stop to its full stop, both included."""


@dataclass(frozen=True, slots=True)
class TravelEvent:
    """Something that must not happen inside the travel.

    Attributes:
        kind: ``lock`` (dead centre of the lever), ``reversal`` (the pedal goes over centre), ``no-solution``;
            of a cable ``slack`` and ``unwrapped``; of a contact ``lift-off`` and ``run-off``.
        pad_travel_mm: Where, or where it begins. [mm]
        until_mm: Where it ends. [mm]
        rod: For ``no-solution``, whether the rod is ``short`` or ``long``.
        where: Which of several parts: ``first rod``, ``second rod``, ``near edge``, ``far edge``.
    """

    kind: EventKind
    pad_travel_mm: float
    until_mm: float
    rod: str
    where: str = ""


@dataclass(frozen=True)
class Travel:
    """The pedal from its rest stop to its full stop; every array is (positions,).

    Attributes:
        geometry: What was solved.
        solution: All that follows from the linkage at each position.
        pad_travel_mm: Arc length at the pad's centre. [mm]
        pedal_rad: Pedal angle from its rest stop. [rad]
        lever_rad: Lever angle from the module's own rest stop, positive toward full. [rad]
        lever_min_rad: Least lever angle, first-order worst case of all tolerances; where the full stop is set by
            the lever, the last one is as that setting leaves it. [rad]
        lever_max_rad: Greatest lever angle likewise, and never beyond where such a stop holds it. [rad]
        free_min_rad: Least lever angle as if no full stop were set by the lever. [rad]
        free_max_rad: Greatest lever angle likewise. [rad]
        influence_rad: Largest lever angle that each toleranced figure adds, by figure. [rad]
        ratio: Lever angle gained per pedal angle.
        transmission_lever_rad: Between rod and path at the lever's pin, 90° best. [rad]
        transmission_pedal_rad: The same at the pedal's pin. [rad]
        events: Dead centres, reversals and stretches without solution inside the travel.
        module_stop_mm: Pad travel at which the lever meets the module's own full stop; nan if it never does. [mm]
        full_output_mm: Pad travel at which the lever stands at full output; nan if it never does. [mm]
    """

    geometry: Geometry
    solution: Motion
    pad_travel_mm: Array
    pedal_rad: Array
    lever_rad: Array
    lever_min_rad: Array
    lever_max_rad: Array
    free_min_rad: Array
    free_max_rad: Array
    influence_rad: dict[str, float]
    ratio: Array
    transmission_lever_rad: Array
    transmission_pedal_rad: Array
    events: tuple[TravelEvent, ...]
    module_stop_mm: float
    full_output_mm: float

    @property
    def ended_by(self) -> Literal["pedal", "module"]:
        """Which full stop ends the travel, as planned."""
        return "module" if self.margin_rad < 0.0 else "pedal"

    @property
    def margin_rad(self) -> float:
        """Swing left in the module when the pedal meets its full stop; negative if the module stops first. [rad]"""
        return self.geometry.swing_rad[0] - float(self.lever_rad[-1])

    @property
    def worst_margin_rad(self) -> float:
        """The same with every tolerance at its worst, the full stop's own included. [rad]"""
        return self.geometry.swing_rad[1] - self.lever_at_full_rad[2]

    @property
    def margin_mm(self) -> float:
        """Pad travel between the pedal's full stop and the module's; nan if the module's is out of reach. [mm]"""
        return self.module_stop_mm - float(self.pad_travel_mm[-1])

    @property
    def lever_at_rest_rad(self) -> tuple[float, float, float]:
        """Lever angle with the pedal on its rest stop: nominal, least, greatest. [rad]"""
        return float(self.lever_rad[0]), float(self.lever_min_rad[0]), float(self.lever_max_rad[0])

    @property
    def lever_at_full_rad(self) -> tuple[float, float, float]:
        """Lever angle with the pedal on its full stop, that stop's tolerance included: nominal, least, greatest."""
        if self.geometry.full_set_rad is not None:
            return self.geometry.full_set_rad
        nominal, least, greatest = self.geometry.full_stop_mm
        per_mm = abs(float(self.ratio[-1])) / self.geometry.pad_radius_mm
        return (
            float(self.lever_rad[-1]),
            float(self.lever_min_rad[-1]) - per_mm * (nominal - least),
            float(self.lever_max_rad[-1]) + per_mm * (greatest - nominal),
        )

    @property
    def pad_at_full_mm(self) -> tuple[float, float, float]:
        """Pad travel at the pedal's full stop: nominal, least, greatest. [mm]

        A stop that is set by the lever comes where the linkage as built brings the lever to the set angle.
        """
        if self.geometry.full_set_rad is None:
            return self.geometry.full_stop_mm
        nominal, (_, least, greatest) = float(self.pad_travel_mm[-1]), self.geometry.full_set_rad
        mm_per_rad = self.geometry.pad_radius_mm / abs(float(self.ratio[-1]))
        return (
            nominal,
            nominal - mm_per_rad * (float(self.free_max_rad[-1]) - least),
            nominal + mm_per_rad * (greatest - float(self.free_min_rad[-1])),
        )


def compute_travel(geometry: Geometry) -> Travel:
    """Solve the linkage at every position between the pedal's stops, and look for what must not happen between."""
    linkage, radius = geometry.linkage, geometry.pad_radius_mm
    pad_travel = np.linspace(0.0, geometry.full_stop_mm[0], POSITIONS)
    pedal = pad_travel / radius
    solution = solve(linkage, pedal)
    band = lever_band(linkage, geometry.tolerances, pedal, geometry.set_at_rest_rad)
    ratio = solution.ratio
    # The pad's radius scales the pedal angle that a pad travel stands for.
    from_radius = np.abs(ratio) * pedal * geometry.pad_radius_share
    influence = {name: float(np.nanmax(part, initial=0.0)) for name, part in band.part_rad.items()}
    influence["pad"] = float(np.nanmax(from_radius, initial=0.0))
    events = tuple(
        TravelEvent(event.kind, event.pedal_angle_rad * radius, event.until_rad * radius, event.rod, event.where)
        for event in find_events(linkage, float(pedal[-1]))
    )
    stops = pedal_angle_for_lever(linkage, [geometry.swing_rad[0], geometry.full_at_rad[0]]) * radius
    free_min, free_max = band.lever_min_rad - from_radius, band.lever_max_rad + from_radius
    lever_min, lever_max = free_min.copy(), free_max.copy()
    if geometry.full_set_rad is not None:
        _, lever_min[-1], lever_max[-1] = geometry.full_set_rad
        lever_max = np.minimum(lever_max, lever_max[-1])
    return Travel(
        geometry=geometry,
        solution=solution,
        pad_travel_mm=pad_travel,
        pedal_rad=pedal,
        lever_rad=solution.lever_angle_rad,
        lever_min_rad=lever_min,
        lever_max_rad=lever_max,
        free_min_rad=free_min,
        free_max_rad=free_max,
        influence_rad=influence,
        ratio=ratio,
        transmission_lever_rad=solution.transmission_lever_rad,
        transmission_pedal_rad=solution.transmission_pedal_rad,
        events=events,
        module_stop_mm=float(stops[0]),
        full_output_mm=float(stops[1]),
    )
