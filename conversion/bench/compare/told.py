"""The figures of a plan that a builder would look up again once a description has changed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from conversion.description import Missing
from conversion.plan import Plan
from conversion.plan.link.return_facts import HALVES, failed_text
from conversion.quantities import show
from conversion.sensing import SensorSweep


@dataclass(frozen=True, slots=True)
class Told:
    """A figure that follows from a description.

    Attributes:
        name: In words.
        dimension: Of :data:`conversion.quantities.UNITS`.
        value: In the base unit of its dimension; not finite where there is none.
    """

    name: str
    dimension: str
    value: float

    @property
    def shown(self) -> str:
        """As documents print it."""
        return show(self.value, self.dimension)


def computed_figures(plan: Plan, runs: Mapping[str, str], stations: Mapping[str, str]) -> dict[str, Told]:
    """Travel, return, sensors, clearances and loom, by name; what rests on an unknown figure is left out.

    Args:
        plan: Of which they are.
        runs: What to call runs that are called otherwise in the plan that it is held against.
        stations: The same of stations.
    """
    found: dict[str, Told] = {told.name: told for told in _bundles(plan, runs, stations)}
    groups: tuple[Callable[[Plan], Iterator[Told]], ...] = (
        _travel, _return_time, _pad_force, _returns, _pedal, _throttle, _fit, _fuses, _drops, _wire_to_buy,
    )  # fmt: skip
    for group in groups:
        try:
            found.update((told.name, told) for told in group(plan))
        except Missing:
            continue  # a rule tells which figure is lacking
    return found


def _travel(plan: Plan) -> Iterator[Told]:
    travel = plan.travel
    yield Told("pad travel at full", "length", travel.pad_at_full_mm[0])
    for where, limits in (("at rest", travel.lever_at_rest_rad), ("at full", travel.lever_at_full_rad)):
        for which, value in zip(("planned", "least", "greatest"), limits, strict=True):
            yield Told(f"lever {where}, {which}", "angle", value)
    yield Told("swing left in the module at full", "angle", travel.margin_rad)
    yield Told("swing left in the module at full, worst case", "angle", travel.worst_margin_rad)


def _return_time(plan: Plan) -> Iterator[Told]:
    yield Told("time from full to rest", "time", plan.return_time.all_in_s)
    yield Told("time from full to rest, worst failure", "time", plan.return_time.worst_s)


def _pad_force(plan: Plan) -> Iterator[Told]:
    for way, force in (
        ("pressing", plan.returns.pad_force_pressing_n),
        ("coming back", plan.returns.pad_force_releasing_n),
    ):
        for where, at in (("at rest", 0), ("at full", -1)):
            yield Told(f"pad force {where}, {way}", "force", float(force[at]))


def _returns(plan: Plan) -> Iterator[Told]:
    for case in plan.returns.cases:
        yield Told(f"returning moment to spare, {failed_text(case)}, {HALVES[case.half]}", "moment", case.margin_nm)


def _pedal(plan: Plan) -> Iterator[Told]:
    return _sensor("pedal", plan.pedal, ("at rest", "at full"))


def _throttle(plan: Plan) -> Iterator[Told]:
    return _sensor("throttle", plan.throttle, ("closed", "open"))


def _sensor(sensor: str, sweep: SensorSweep, ends: tuple[str, str]) -> Iterator[Told]:
    for name, track in sweep.tracks.items():
        for where, at in zip(ends, (0, -1), strict=True):
            for which, volts in (("planned", track.volts), ("least", track.volts_min), ("greatest", track.volts_max)):
                yield Told(f"{sensor} track {name} {where}, {which}", "voltage", float(volts[at]))
    for where, at in zip(ends, (0, -1), strict=True):
        yield Told(f"{sensor} {where}, as the control unit computes", "ratio", float(sweep.percent[at]) / 100.0)
    for apart in sweep.differences:
        one, other = apart.tracks
        percent = apart.of == "percent"
        most = float(apart.most.max())
        yield Told(
            f"{sensor} tracks {one} and {other}, most apart", "ratio" if percent else "voltage",
            most / 100.0 if percent else most,
        )  # fmt: skip


def _fit(plan: Plan) -> Iterator[Told]:
    if plan.fit is None:
        return
    for clearance in plan.fit.clearances:
        yield Told(
            f"least clearance, {clearance.clearance.body} to {clearance.clearance.obstacle}",
            "length",
            clearance.least_mm,
        )


def _bundles(plan: Plan, runs: Mapping[str, str], stations: Mapping[str, str]) -> Iterator[Told]:
    for run, bundle in plan.bundles.items():
        name = runs.get(run, run)
        yield Told(f"run {name}, diameter of its wires", "length", bundle.diameter_mm)
        yield Told(f"run {name}, diameter with its covering", "length", bundle.sleeved_mm)
    for station, passage in plan.passages.items():
        yield Told(f"least hole at {stations.get(station, station)}", "length", passage.least_hole_mm)


def _wire_to_buy(plan: Plan) -> Iterator[Told]:
    for total in plan.wire_totals:
        name = f"wire to buy, {show(total.size_mm2, 'area')} {total.colour}"
        yield Told(name, "length", 1000.0 * total.drum_m)


def _fuses(plan: Plan) -> Iterator[Told]:
    for device, fuse in plan.sizes.fuses.items():
        if fuse.chosen_a is not None:
            yield Told(f"fuse {device}, rating", "current", fuse.chosen_a)


def _drops(plan: Plan) -> Iterator[Told]:
    for drop in plan.sizes.drops:
        yield Told(f"volts lost on the way of {drop.load}", "voltage", drop.drop_v)
