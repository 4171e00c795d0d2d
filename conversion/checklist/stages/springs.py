"""What is measured on each return spring, outside the module and in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.points import point_rows
from conversion.checklist.saying import figure, with_limits
from conversion.checklist.writer import row
from conversion.description.spring_forms import CoilSpring, ExtensionSpring, Spring, TorsionSpring
from conversion.plan.link.spring_rates import spring_rate
from conversion.quantities import unit_of


def spring_rows(job: Job) -> Iterator[Row]:
    """Every described spring, then what is known of those inside the module."""
    for name, spring in job.conversion.springs.items():
        yield from _spring(job, name, spring)
    module = job.module
    inner = module[1].lever.springs if module else None
    if module is not None and inner is not None:
        yield row(f"{module[0]}: separate springs inside", str(inner.count))
        for key, what in (("rest_moment", "at rest"), ("full_moment", "at the end of the swing")):
            moment = job.part_described(getattr(inner, key), module[0], "lever", "springs", key)
            yield row(f"{module[0]}: moment of its springs {what}", moment, unit_of("moment"))
    elif not job.conversion.springs:
        yield row("Return springs", "cannot be said: no spring is described")


def _moment_at_full(job: Job, name: str, spring: TorsionSpring) -> Callable[[], str]:
    def expected() -> str:
        why = "it cannot be said what moment it has at full"
        moment = job.plan.description.need(spring.rest_moment, why, "springs", name, "rest_moment")
        rate = job.plan.description.need(spring.rate, why, "springs", name, "rate")
        travel = job.plan.travel
        turned = float((travel.pedal_rad if spring.acts_on == "pedal" else travel.lever_rad)[-1])
        return figure(moment.nominal + rate.nominal * turned, "moment")

    return expected


def _rate(job: Job, name: str, spring: CoilSpring) -> Callable[[], str]:
    def expected() -> str:
        rate = spring_rate(job.plan.description, spring, name, "its rate cannot be said")
        about = "about " if spring.coil is not None else ""
        return about + with_limits(rate.nominal, rate.low, rate.high, "stiffness")

    return expected


def _spring(job: Job, name: str, spring: Spring) -> Iterator[Row]:
    start = f"Spring {name} ({spring.type}, on the {spring.acts_on})"
    if isinstance(spring, TorsionSpring):
        moment = job.described(spring.rest_moment, "springs", name, "rest_moment")
        yield row(f"{start}: moment at rest", moment, unit_of("moment"))
        yield row(f"{start}: moment at full", _moment_at_full(job, name, spring), unit_of("moment"))
        return
    yield from point_rows(job, f"{start}, fixed end", spring.fixed_end, "springs", name, "fixed_end")
    yield from point_rows(job, f"{start}, moving end at rest", spring.moving_end, "springs", name, "moving_end")
    length = job.described(spring.free_length, "springs", name, "free_length")
    yield row(f"{start}: free length", length, unit_of("length"))
    yield row(f"{start}: rate", _rate(job, name, spring), unit_of("stiffness"))
    if isinstance(spring, ExtensionSpring) and spring.initial_tension is not None:
        tension = job.described(spring.initial_tension, "springs", name, "initial_tension")
        yield row(f"{start}: pull before the coils part", tension, unit_of("force"))
    for key, what in (("longest", "may be drawn to"), ("shortest", "coils touch at")):
        if getattr(spring, key, None) is not None:
            yield row(f"{start}: {what}", job.described(getattr(spring, key), "springs", name, key), unit_of("length"))
