"""The plan: everything that is computed from a description, each thing once and only when it is asked for."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from conversion.description import Description, Missing
from conversion.linkage import Motion, solve
from conversion.linkage.returns import ReturnStudy
from conversion.linkage.turning import Array
from conversion.loom import Route, SplicePlace, find_routes
from conversion.loom.alternatives import OtherWay, find_other_ways
from conversion.loom.bundles import Bundle, Passage, find_bundles, find_passages
from conversion.loom.lengths import Length, WireTotal, find_lengths, total_wires
from conversion.loom.twists import Twist, find_twists
from conversion.plan.contact_loss import ContactLoss, contact_losses
from conversion.plan.evidence import StatedFigure, stated_figures
from conversion.plan.link.friction import Friction, frictions
from conversion.plan.link.geometry import gather_geometry, gather_linkage
from conversion.plan.link.return_times import ReturnTime, estimate_return_time
from conversion.plan.link.returning import SpringWay, spring_ways, study_return
from conversion.plan.link.rod_loads import (
    BracketGive,
    JamLoad,
    RodEndLean,
    bracket_give,
    jam_loads,
    needed_length_mm,
    rod_ends,
    side_load_n,
)
from conversion.plan.link.travel import POSITIONS, Travel, compute_travel
from conversion.plan.loom.accuracy import AgreementCost, LineLoss, agreement_costs, line_losses, with_losses
from conversion.plan.loom.sizing import LoomSizes, size_loom, with_sizes
from conversion.plan.loom.splices import all_have_stations, find_splice_places, with_stations
from conversion.plan.needs import NeedAnswer, answer_needs
from conversion.plan.shared_return import SharedReturn, pedal_with_shared_return
from conversion.plan.tape.points import resolve_points
from conversion.sensing import GatheredTrack, Sensor, SensorSweep, Shorted, gather_tracks, sensor_input
from conversion.sensing.checks import short_outputs
from conversion.sensing.single_faults import FaultReading, open_feed, open_signal, shorted_signal
from conversion.sensing.slopes import Likeness, compare_tracks
from conversion.sensing.supply_load import SupplyLoad, supply_loads
from conversion.sensing.sweep import sweep_sensor
from conversion.wiring import Wiring, derive_wires

if TYPE_CHECKING:
    from conversion.plan.circuits.parts import SensingCircuit
    from conversion.plan.faults.judged import FaultStudy
    from conversion.plan.faults.latent import LatentStudy
    from conversion.plan.fitting.fit import Fit
    from conversion.plan.loom.board import BoardPlan
    from conversion.plan.study.travel import TravelStudy
    from conversion.study.tolerance import Progress


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
        self.written = description
        """As the builder wrote it, points from a tape included."""
        self._unplaced, self.tape = resolve_points(description)
        placed = all_have_stations(self._unplaced)
        self.description = self._unplaced if placed else with_stations(self._unplaced, self.splice_places)
        """The same with every point as coordinates and a station for every splice; what points came from in tape."""

    @cached_property
    def wiring(self) -> Wiring:
        """Every wire that follows from the roles, in the size that was chosen for it."""
        return with_sizes(self._derived, self.sizes.choices)

    @cached_property
    def _derived(self) -> Wiring:
        """The same wires with the sizes that habit or the description gives them."""
        return derive_wires(self.description)

    @cached_property
    def sizes(self) -> LoomSizes:
        """Currents, sizes, drops and fuses of the loom, each with its reason."""
        return size_loom(self.description, self._derived, self.routes)

    @cached_property
    def splice_places(self) -> dict[str, SplicePlace]:
        """Where every splice lies, and what it would cost elsewhere."""
        return find_splice_places(self._unplaced)

    @cached_property
    def routes(self) -> dict[str, Route]:
        """The way of each wire through the loom, by tag."""
        return find_routes(self.description, self._derived.wires)

    @cached_property
    def other_ways(self) -> tuple[OtherWay, ...]:
        """Ways that wires could have gone, and why they do not."""
        return find_other_ways(self.description, self.wiring.wires, self.routes)

    @cached_property
    def twists(self) -> tuple[Twist, ...]:
        """The wires that are laid twisted together."""
        return find_twists(self.description.conversion.loom, self.wiring.wires)

    @cached_property
    def lengths(self) -> dict[str, Length]:
        """Cut and finished length of each wire whose way is known, by tag."""
        return find_lengths(self.description, self.wiring.wires, self.routes, self.twists)

    @cached_property
    def wire_totals(self) -> tuple[WireTotal, ...]:
        """What is needed of every size and colour of wire."""
        return total_wires(self.description, self.wiring.wires, self.lengths)

    @cached_property
    def bundles(self) -> dict[str, Bundle]:
        """The bundle of every run that a wire takes."""
        return find_bundles(self.description.conversion.loom, self.wiring.wires, self.routes, self.twists)

    @cached_property
    def passages(self) -> dict[str, Passage]:
        """What passes each hole with a grommet, by station."""
        return find_passages(self.description.conversion.loom, self.wiring.wires, self.routes, self.twists)

    @cached_property
    def board(self) -> BoardPlan:
        """The loom as it is laid on the board."""
        from conversion.plan.loom.board import board_plan  # a check lays nothing

        return board_plan(self)

    @cached_property
    def needs(self) -> tuple[NeedAnswer, ...]:
        """What the control unit needs, and what answers it."""
        return answer_needs(self.description, self.wiring)

    @cached_property
    def figures(self) -> tuple[StatedFigure, ...]:
        """Every figure with its evidence."""
        return stated_figures(self.written)

    @cached_property
    def travel(self) -> Travel:
        """The pedal's whole travel."""
        return compute_travel(gather_geometry(self.description))

    @cached_property
    def starts(self) -> Motion:
        """The linkage with the pedal at rest; known also where the full stop is out of reach."""
        return solve(gather_linkage(self.description), [0.0])

    @cached_property
    def fit(self) -> Fit | None:
        """Clearances, recess and bracket; None where nothing is said of what takes room."""
        form = self.description.conversion.fit
        if form is None:
            return None
        from conversion.plan.fitting.fit import Fit  # solid geometry loads slowly and only such a description needs it

        return Fit(self.description, form, self.travel)

    @cached_property
    def returns(self) -> ReturnStudy:
        """What returns pedal and lever, and what still does when one thing fails."""
        return study_return(self.description, self.travel.geometry, self.travel)

    @cached_property
    def frictions(self) -> tuple[Friction, Friction]:
        """Friction of the pedal and of the lever that the return is judged with."""
        return frictions(self.description)

    @cached_property
    def spring_ways(self) -> list[SpringWay]:
        """Each described spring between two points with its force and length over the travel."""
        return spring_ways(self.description, self.travel)

    @cached_property
    def return_time(self) -> ReturnTime:
        """How long the pedal is likely to take from full to rest."""
        return estimate_return_time(self.description, self.travel, self.returns)

    @cached_property
    def rod_ends(self) -> tuple[RodEndLean, ...]:
        """How the described ball joints of every rod lean over the travel."""
        return rod_ends(self.description, self.travel)

    @cached_property
    def needed_length_mm(self) -> tuple[float, float, float] | None:
        """What setting the link at rest asks of its adjuster: as planned, least and greatest."""
        return needed_length_mm(self.travel.geometry)

    @cached_property
    def side_load_n(self) -> Array | None:
        """Force along the lever's axis while pressing, (positions,); None where the kind has none. [N]"""
        return side_load_n(self.travel, self.returns)

    @cached_property
    def jam_loads(self) -> tuple[JamLoad, ...]:
        """What a full foot puts into every rod while the lever does not give."""
        return jam_loads(self.description, self.travel)

    @cached_property
    def bracket_give(self) -> BracketGive | None:
        """What a bracket that gives takes of the sweep; None where the module's own pedal is kept."""
        try:
            returns = self.returns
        except Missing:
            returns = None
        return bracket_give(self.description, self.travel, returns)

    @cached_property
    def pedal_tracks(self) -> dict[str, GatheredTrack]:
        """The pedal module's tracks with the inputs that read them, through the loom as it is sized."""
        return self._through_loom("pedal")

    @cached_property
    def throttle_tracks(self) -> dict[str, GatheredTrack]:
        """The throttle body's tracks with the inputs that read them."""
        return self._through_loom("throttle")

    def _through_loom(self, sensor: Sensor) -> dict[str, GatheredTrack]:
        tracks = gather_tracks(self.description, sensor)
        return with_losses(tracks, self.line_losses(sensor, tracks))

    def line_losses(self, sensor: Sensor, tracks: Iterable[str]) -> dict[str, LineLoss]:
        """What the loom takes of the supply of some tracks of a sensor and lifts their ground by."""
        return line_losses(self.description, self.wiring, self.sizes, sensor, tracks)

    def agreement_costs(self, sensor: Sensor) -> tuple[AgreementCost, ...]:
        """What the loom takes of the agreement that the control unit asks of each pair of tracks."""
        return agreement_costs(self.tracks(sensor), self.sensor(sensor), sensor_input(self.description, sensor))

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
    def study(self) -> TravelStudy:
        """What the tolerances do to the travel, of as many samples as the description says; rules do without it."""
        return self.sampled_study()

    def sampled_study(
        self, samples: int | None = None, seed: int | None = None, progress: Progress | None = None
    ) -> TravelStudy:
        """The same with another number of samples or another seed; progress as :func:`study_travel` takes it."""
        from conversion.plan.study.travel import study_travel  # a check asks for no study, and starts faster without

        tracks: dict[str, GatheredTrack] | Missing
        try:
            tracks = self.pedal_tracks
        except Missing as missing:
            tracks = missing
        return study_travel(self.description, self.travel, tracks, samples, seed, progress)

    @cached_property
    def throttle(self) -> SensorSweep:
        """The throttle body's tracks from the closed to the open plate."""
        opening = np.linspace(0.0, 1.0, POSITIONS)
        accepts = sensor_input(self.description, "throttle")
        return sweep_sensor(self.throttle_tracks, accepts, opening, opening, opening)

    @cached_property
    def pedal_circuit(self) -> SensingCircuit:
        """The circuit that the pedal is read through."""
        return self._circuit("pedal")

    @cached_property
    def throttle_circuit(self) -> SensingCircuit:
        """The circuit that the throttle's plate is read through."""
        return self._circuit("throttle")

    def circuit(self, sensor: Sensor) -> SensingCircuit:
        """The circuit that the pedal or the throttle is read through."""
        return self.pedal_circuit if sensor == "pedal" else self.throttle_circuit

    @cached_property
    def pedal_faults(self) -> FaultStudy:
        """Every single fault of the pedal's tracks and loom, judged."""
        return self._judged("pedal")

    @cached_property
    def throttle_faults(self) -> FaultStudy:
        """The same of the throttle's."""
        return self._judged("throttle")

    def faults(self, sensor: Sensor) -> FaultStudy:
        """Every single fault of the pedal or of the throttle, judged; a check does without."""
        return self.pedal_faults if sensor == "pedal" else self.throttle_faults

    def latent(self, sensor: Sensor, progress: Progress | None = None) -> LatentStudy:
        """Every second fault after each first one that nothing notices."""
        from conversion.plan.faults.latent import study_latent

        return study_latent(self.faults(sensor), progress)

    def _judged(self, sensor: Sensor) -> FaultStudy:
        from conversion.plan.faults.judged import study_faults  # a check asks for no study, and starts faster without

        return study_faults(self, sensor)

    def _circuit(self, sensor: Sensor) -> SensingCircuit:
        from conversion.plan.circuits.sensing_circuit import (
            sensing_circuit,  # what needs no fault study starts faster without
        )

        return sensing_circuit(self, sensor)

    def sensor(self, sensor: Sensor) -> SensorSweep:
        """The sweep of the pedal or of the throttle."""
        return self.pedal if sensor == "pedal" else self.throttle

    def tracks(self, sensor: Sensor) -> dict[str, GatheredTrack]:
        """The gathered tracks of the pedal or of the throttle."""
        return self.pedal_tracks if sensor == "pedal" else self.throttle_tracks

    @cached_property
    def supply_loads(self) -> tuple[SupplyLoad, ...]:
        """What hangs on each sensor supply."""
        return supply_loads(self.description)

    @cached_property
    def pedal_likeness(self) -> dict[tuple[str, str], Likeness]:
        """How far each pair of the pedal's tracks can be told apart."""
        tracks = self.pedal_tracks
        return {
            (one, other): compare_tracks(tracks[one].model, tracks[other].model)
            for one, other in combinations(tracks, 2)
        }

    @cached_property
    def pedal_shorted(self) -> dict[tuple[str, str], Shorted]:
        """What is read while the outputs of two pedal tracks touch, of each pair that the control unit reads."""
        return self._short_each_pair("pedal")

    @cached_property
    def throttle_shorted(self) -> dict[tuple[str, str], Shorted]:
        """The same for the throttle's tracks."""
        return self._short_each_pair("throttle")

    def shorted(self, sensor: Sensor) -> dict[tuple[str, str], Shorted]:
        """What is read while the outputs of two tracks of a sensor touch, of each pair that is read."""
        return self.pedal_shorted if sensor == "pedal" else self.throttle_shorted

    def _short_each_pair(self, sensor: Sensor) -> dict[tuple[str, str], Shorted]:
        accepts = sensor_input(self.description, sensor)
        if accepts is None:
            return {}
        read = [name for name in self.tracks(sensor) if name in accepts.tracks]
        return {pair: short_outputs(self.sensor(sensor), accepts, *pair) for pair in combinations(read, 2)}

    def fault_readings(self, sensor: Sensor, track: str) -> tuple[FaultReading, ...]:
        """What an input reads with one conductor of its track open or shorted, as far as that can be said."""
        model = self.tracks(sensor)[track].model
        floating = open_signal(model)
        return (*((floating,) if floating else ()), *shorted_signal(model), *open_feed(model))

    def contact_losses(self, sensor: Sensor) -> dict[str, ContactLoss | Missing]:
        """What each track loses in its feeding conductors once a contact has aged."""
        return contact_losses(self.description, self.wiring, self.routes, sensor, self.tracks(sensor))

    def pedal_with_shared_return(self, pair: tuple[str, str], ohm: float) -> SharedReturn:
        """What two tracks of the pedal read with a resistance in a return that they share."""
        accepts = sensor_input(self.description, "pedal")
        assert accepts is not None, "asked only where the control unit reads the pedal"
        return pedal_with_shared_return(self.description, self.pedal_tracks, self.pedal, accepts, pair, ohm)
