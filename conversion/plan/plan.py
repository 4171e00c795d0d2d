"""The plan: everything that is computed from a description, each thing once and only when it is asked for."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from conversion.description import Description
from conversion.linkage.returns import ReturnStudy
from conversion.loom import Route, find_routes
from conversion.plan.evidence import StatedFigure, stated_figures
from conversion.plan.geometry import gather_geometry
from conversion.plan.needs import NeedAnswer, answer_needs
from conversion.plan.returning import study_return
from conversion.plan.travel import POSITIONS, Travel, compute_travel
from conversion.sensing import GatheredTrack, SensorSweep, gather_tracks, sensor_input, sweep_sensor
from conversion.wiring import Wiring, derive_wires


class Plan:
    """What follows from a description. Properties that rest on an unknown figure raise Missing.

    Example:
        >>> from conversion import resources
        >>> from conversion.description import read_description
        >>> plan = Plan(read_description(resources.harnesses_dir() / "market-van"))
        >>> plan.travel.ended_by
        'pedal'
    """

    def __init__(self, description: Description) -> None:
        self.description = description

    @cached_property
    def wiring(self) -> Wiring:
        """Every wire that follows from the roles."""
        return derive_wires(self.description)

    @cached_property
    def routes(self) -> dict[str, Route]:
        """The way of each wire through the loom, by tag."""
        return find_routes(self.description, self.wiring.wires)

    @cached_property
    def needs(self) -> tuple[NeedAnswer, ...]:
        """What the control unit needs, and what answers it."""
        return answer_needs(self.description, self.wiring)

    @cached_property
    def figures(self) -> tuple[StatedFigure, ...]:
        """Every figure with its evidence."""
        return stated_figures(self.description)

    @cached_property
    def travel(self) -> Travel:
        """The pedal's whole travel."""
        return compute_travel(gather_geometry(self.description))

    @cached_property
    def returns(self) -> ReturnStudy:
        """What returns pedal and lever, and what still does when one thing fails."""
        return study_return(self.description, self.travel.geometry, self.travel)

    @cached_property
    def pedal_tracks(self) -> dict[str, GatheredTrack]:
        """The pedal module's tracks with the inputs that read them."""
        return gather_tracks(self.description, "pedal")

    @cached_property
    def throttle_tracks(self) -> dict[str, GatheredTrack]:
        """The throttle body's tracks with the inputs that read them."""
        return gather_tracks(self.description, "throttle")

    @cached_property
    def pedal(self) -> SensorSweep:
        """The pedal's tracks over the travel.

        The module's own stops hold the lever: an angle beyond them reads as at the stop.
        """
        travel = self.travel
        swing = travel.geometry.swing_rad[0]
        lever, low, high = (
            np.clip(angle, 0.0, swing) for angle in (travel.lever_rad, travel.lever_min_rad, travel.lever_max_rad)
        )
        return sweep_sensor(self.pedal_tracks, sensor_input(self.description, "pedal"), lever, low, high)

    @cached_property
    def throttle(self) -> SensorSweep:
        """The throttle body's tracks from the closed to the open plate."""
        opening = np.linspace(0.0, 1.0, POSITIONS)
        accepts = sensor_input(self.description, "throttle")
        return sweep_sensor(self.throttle_tracks, accepts, opening, opening, opening)
