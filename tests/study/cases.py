"""Studies that several tests and a benchmark look at."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from conversion import resources
from conversion.description import read_description
from conversion.linkage import RodLinkage
from conversion.plan import Plan
from conversion.sensing import sensor_input
from conversion.study import LinkageCase, StudiedTrack, Toleranced, UnitReading, linkage_figures, track_figures
from tests.rules.patching import patched_plan


def limits(window: object) -> tuple[float, float]:
    return window.low, window.high  # type: ignore[attr-defined]


@cache
def demo_plan() -> Plan:
    """The plan of the demo."""
    return Plan(read_description(resources.harnesses_dir() / "market-van"))


def without_tolerances(folder: Path) -> Plan:
    """The demo with every figure that the study varies exact."""
    lines = [
        "conversion: linkage.pedal.pad = [-30 mm, 0 mm, -285 mm]",
        "conversion: linkage.pedal.rod_pin = [8 mm, -12 mm, -78 mm]",
        "conversion: linkage.pedal.full_stop.set_at = 22.5°",
        "conversion: linkage.rod = {set_at_rest: 1.0°}",
        "conversion: linkage.module.pivot = [146 mm, -48 mm, -20 mm]",
        "conversion: linkage.module.lever_pin = [144 mm, -40 mm, -65 mm]",
        "B1: lever.swing = 24°",
    ]
    for track, supply, rest, full in (("a", "one", "18 %", "82 %"), ("b", "two", "9 %", "41 %")):
        lines += [
            f"B1: tracks.{track}.output = {{rest: {rest}, full: {full}}}",
            f"B1: tracks.{track}.resistance = 1.6 kohm",
            f"B1: tracks.{track}.source_resistance = 1.0 kohm",
            f"K1: supplies.{supply}.voltage = 5.00 V",
            f"K1: accepts.pedal.tracks.{track}.pull = {{to: ground, resistance: 220 kohm}}",
        ]
    return patched_plan(folder, lines)


def market_van() -> tuple[LinkageCase, list[Toleranced]]:
    """The demo as a study: 41 positions, two tracks, every tolerance of its description."""
    plan = demo_plan()
    travel, geometry, accepts = plan.travel, plan.travel.geometry, sensor_input(plan.description, "pedal")
    assert accepts is not None and accepts.agreement is not None and geometry.set_at_rest_rad is not None
    assert geometry.full_set_rad is not None
    tracks = {
        name: StudiedTrack(
            model=gathered.model,
            supply=f"{name}.supply_v",
            valid_v=limits(gathered.accepts.valid),
            rest_v=limits(gathered.accepts.rest),
            full_v=limits(gathered.accepts.full),
        )
        for name, gathered in plan.pedal_tracks.items()
        if gathered.accepts is not None
    }
    case = LinkageCase(
        linkage=geometry.linkage,
        pad_radius_mm=geometry.pad_radius_mm,
        pad_travel_mm=travel.pad_travel_mm,
        swing_rad=geometry.swing_rad[0],
        set_at_rest_rad=sum(geometry.set_at_rest_rad) / 2,
        full_set_rad=geometry.full_set_rad[0],
        tracks=tracks,
        reading=UnitReading(
            accepts.scale, accepts.takes, accepts.agreement.of, 100.0 * accepts.agreement.at_most.nominal
        ),
    )
    radius, share = geometry.pad_radius_mm, geometry.pad_radius_share
    figures = [
        *linkage_figures(geometry.linkage, geometry.tolerances),
        Toleranced("pad_radius_mm", radius, radius * (1 - share), radius * (1 + share)),
        Toleranced("set_at_rest_rad", case.set_at_rest_rad, *geometry.set_at_rest_rad),
        Toleranced("full_set_rad", *geometry.full_set_rad),
        Toleranced("swing_rad", *geometry.swing_rad),
        *(figure for figure in track_figures(tracks) if figure.name != "stretch"),
    ]
    return case, figures


def planar_case(**changes: object) -> LinkageCase:
    """A small linkage of round figures, its full stop placed at 40 mm of pad travel, without tracks."""
    linkage = RodLinkage(
        pedal_pivot=[0, 0, 0], pedal_axis=[0, 1, 0], pedal_sense=-1, pedal_pin_at_rest=[15, 30, -95],
        module_pivot=[180, 70, -20], module_axis=[0, 1, 0], lever_sense=-1, lever_pin_at_rest_stop=[175, 62, -75],
        rod_length_mm=float(np.linalg.norm([160, 32, 20])) + 2.0,
    )  # fmt: skip
    fields = {
        "linkage": linkage, "pad_radius_mm": 250.0, "pad_travel_mm": np.linspace(0.0, 40.0, 9), "swing_rad": 0.36,
        "full_stop_mm": 40.0,
    }  # fmt: skip
    return LinkageCase(**(fields | changes))
