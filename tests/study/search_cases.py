"""Searches that several tests and a benchmark look at."""

from __future__ import annotations

from collections.abc import Iterable
from math import radians
from typing import Any

import numpy as np

from conversion.linkage import BellCrankLinkage, CableLinkage, ContactLinkage, Linkage, RodLinkage, adjusted_at_rest
from conversion.study.search_case import Loads, SearchCase, Table
from conversion.study.search_grid import Axis, Grid
from conversion.study.search_moves import Thread
from conversion.study.search_wants import Wants

ANGLES = np.linspace(-1.0, 2.0, 1001)
LOADS = Loads(Table(ANGLES, 4.0 + 3.0 * ANGLES), Table(ANGLES, 0.3 + 0.4 * ANGLES), 0.08, 0.02)

ROD = RodLinkage(
    pedal_pivot=[0, 0, 0], pedal_axis=[0, 1, 0], pedal_sense=-1, pedal_pin_at_rest=[8, -12, -78],
    module_pivot=[146, -48, -20], module_axis=[0, 1, 0], lever_sense=-1, lever_pin_at_rest_stop=[144, -40, -65],
    rod_length_mm=140.0,
)  # fmt: skip


def axis(name: str, first: float, last: float, count: int) -> Axis:
    return Axis(name, np.linspace(first, last, count))


def rod_axes(count: int = 5) -> tuple[Axis, ...]:
    """Holes, place and setting, some of them well outside of what works."""
    return (
        axis("lever_hole_mm", 30.0, 75.0, count), axis("pedal_hole_mm", 40.0, 115.0, count),
        axis("module_x_mm", 110.0, 170.0, count), axis("module_z_mm", -60.0, 30.0, count),
        Axis("rest_rad", np.radians([0.5, 1.0, 1.5])),
    )  # fmt: skip


def case_of(linkage: Linkage = ROD, axes: Iterable[Axis] = (), **changes: Any) -> SearchCase:
    """A search of a linkage whose full stop is set by the lever, with loads."""
    fields: dict[str, Any] = {
        "linkage": linkage, "grid": Grid(tuple(axes) or rod_axes()), "wants": Wants(), "pad_radius_mm": 280.0,
        "swing_rad": (radians(24.0), radians(23.5)), "rest_rad": radians(1.0), "rest_minus_rad": radians(0.2),
        "full_rad": radians(22.5), "full_plus_rad": radians(0.2), "loads": LOADS,
    }  # fmt: skip
    return SearchCase(**(fields | changes))


def threaded(**changes: Any) -> SearchCase:
    """The rod search with a thread of 1 mm, set by half turns."""
    return case_of(thread=Thread(140.0, 0.5, 90.0, 190.0), **changes)


def other_kinds() -> dict[str, SearchCase]:
    """A small search of each other kind that can be searched."""
    hinges = {
        "pedal_pivot": [0, 0, 0], "pedal_axis": [0, 1, 0], "pedal_sense": -1, "module_pivot": [160, 0, -10],
        "module_axis": [0, 1, 0], "lever_sense": -1,
    }  # fmt: skip
    cable = CableLinkage(
        **hinges, pedal_pin_at_rest=[0, 0, -60], pedal_outer_end=[-120, 0, -52], module_outer_end=[60, 0, -50],
        nipple_at_rest_stop=[178, 0, -45.7], groove_centre_at_rest_stop=[160, 0, -10], groove_radius_mm=40.0,
    )  # fmt: skip
    crank = BellCrankLinkage(
        **hinges, pedal_pin_at_rest=[0, 0, -70], crank_pivot=[80, 0, -10], crank_axis=[0, 1, 0],
        crank_pin_in_at_rest=[80, 0, -65], crank_pin_out_at_rest=[80, 0, -50], lever_pin_at_rest_stop=[160, 0, -50],
        first_rod_length_mm=80.0, second_rod_length_mm=80.0,
    )  # fmt: skip
    contact = ContactLinkage(
        **(hinges | {"module_pivot": [50, 0, -10]}), roller_centre=[40, 0, -60], face_point=[31, 0, -60],
        face_normal=[1, 0, 0], roller_radius_mm=9.0, roller_on="lever",
    )  # fmt: skip
    return {
        "cable": case_of(
            adjusted_at_rest(cable, radians(1.0)),
            (axis("pedal_hole_mm", 45.0, 80.0, 6), axis("groove_radius_mm", 25.0, 50.0, 6)),
        ),
        "bell-crank": case_of(
            crank,
            (
                axis("crank_in_mm", 40.0, 70.0, 6),
                axis("crank_out_mm", 35.0, 65.0, 6),
                axis("module_z_mm", -15.0, 0.0, 3),
            ),
        ),
        "contact": case_of(contact, (axis("module_x_mm", 40.0, 60.0, 5), axis("module_z_mm", -25.0, 10.0, 8))),
    }
