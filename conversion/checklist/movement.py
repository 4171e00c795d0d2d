"""What a builder measures on the pedal and the lever, and what the plan expects there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.saying import CannotSay, between, figure, of, with_limits
from conversion.checklist.writer import row
from conversion.description.linkage_forms import BellCrankLinkageForm, CableLinkageForm, RodLinkageForm
from conversion.plan import POSITIONS, Travel
from conversion.plan.link.words import link_words
from conversion.quantities import show, unit_of

_STEPS = 4
"""Equal parts of the pad's travel at which the lever is read."""
_NEVER = "the lever does not get that far"


def full_stop_expected(job: Job) -> str:
    """Pad travel from stop to stop."""
    return with_limits(*job.plan.travel.pad_at_full_mm, "length")


def rest_lever_expected(job: Job) -> str:
    """Lever angle with the pedal on its rest stop."""
    return with_limits(*job.plan.travel.lever_at_rest_rad, "angle")


def full_lever_expected(job: Job) -> str:
    """Lever angle with the pedal on its full stop."""
    return with_limits(*job.plan.travel.lever_at_full_rad, "angle")


def adjuster_expected(job: Job) -> str:
    """What is set at fitting: as described, or about as much as setting the lever at rest makes it.

    Length of a rod, of two the second; slack of a cable.

    Raises:
        CannotSay: The kind has nothing of a length to set.
    """
    geometry = job.plan.travel.geometry
    form = job.must_have_linkage()
    described, words = None, ""
    if isinstance(form, RodLinkageForm | BellCrankLinkageForm):
        described, words = form.rod.length, "the lever's angle at rest decides"
    elif isinstance(form, CableLinkageForm):
        described, words = form.cable.slack, "none: the adjuster holds the lever off its stop"
    else:
        raise CannotSay("nothing of a length is set")
    if geometry.set_at_rest_rad is None and described is not None:
        return of(described)
    if isinstance(form, CableLinkageForm):
        return words
    return f"about {figure(float(getattr(geometry.linkage, geometry.linkage.ADJUSTED)), 'length')}; {words}"


def has_transmission(job: Job) -> bool:
    """Whether the kind has an angle between link and arm to read."""
    return job.linkage is None or job.linkage.kind != "direct"


def transmission_expected(job: Job) -> str:
    """Transmission angles at both ends over the travel; 90° is best."""
    travel = job.plan.travel
    angles = np.concatenate([travel.transmission_lever_rad, travel.transmission_pedal_rad])
    if np.all(np.isnan(angles)):
        raise CannotSay("the linkage has none")
    low, high = (float(end(angles)) for end in (np.nanmin, np.nanmax))
    return f"{between(low, high, 'angle')} over the travel, 90° is best"


def lever_rows(job: Job) -> Iterator[Row]:
    """Lever angle at equal parts of the pad's travel, both ends included."""
    for part in range(_STEPS + 1):
        index = part * (POSITIONS - 1) // _STEPS
        share = show(part / _STEPS, "ratio")

        def expected(index: int = index) -> str:
            travel = job.plan.travel
            at = figure(float(travel.pad_travel_mm[index]), "length")
            return f"{_lever_at(travel, index)} at {at} of pad travel"

        yield row(f"Lever with the pad at {share} of its travel", expected, unit_of("angle"))


def _lever_at(travel: Travel, index: int) -> str:
    if index == 0:
        return with_limits(*travel.lever_at_rest_rad, "angle")
    if index == POSITIONS - 1:
        return with_limits(*travel.lever_at_full_rad, "angle")
    arrays = (travel.lever_rad, travel.lever_min_rad, travel.lever_max_rad)
    nominal, low, high = (float(angles[index]) for angles in arrays)
    return with_limits(nominal, low, high, "angle")


def gap_rows(job: Job) -> Iterator[Row]:
    """Which stop ends the travel, and what is left to the module's own."""

    def ended_by() -> str:
        if job.plan.travel.ended_by == "pedal":
            return "the pedal's full stop"
        return "the module's own stop, which must not be: do not go on"

    def margin() -> str:
        travel = job.plan.travel
        nominal, least = figure(travel.margin_rad, "angle"), figure(travel.worst_margin_rad, "angle")
        return f"{nominal}, at least {least}"

    yield row("What ends the travel", ended_by)
    yield row("Lever at the pedal's full stop", lambda: full_lever_expected(job), unit_of("angle"))
    yield row("Swing left to the module's own stop", margin, unit_of("angle"))
    yield row(
        "The same as travel of the pad",
        lambda: figure(job.plan.travel.margin_mm, "length", _NEVER),
        unit_of("length"),
    )


def pad_force_rows(job: Job) -> Iterator[Row]:
    """Force at the pad at both ends of the travel, pressing and letting go."""
    for words, index in (("just off the rest stop", 0), ("just before the full stop", -1)):
        for doing, name in (("pressing", "pad_force_pressing_n"), ("letting go", "pad_force_releasing_n")):
            yield row(f"Pad force {words}, {doing}", _pad_force(job, name, index), unit_of("force"))


def return_time_row(job: Job) -> Row:
    """Time from full to rest, let go at once, as far as it can be estimated."""

    def expected() -> str:
        time = job.plan.return_time
        estimate = figure(time.all_in_s, "time", "the pedal does not come back as planned")
        return f"within {show(time.limit_s, 'time')}; about {estimate} without damping"

    return row("Time from full to rest, let go at once", expected, unit_of("time"))


def _pad_force(job: Job, name: str, index: int) -> Callable[[], str]:
    return lambda: "about " + figure(float(getattr(job.plan.returns, name)[index]), "force")


@dataclass(frozen=True, slots=True)
class SpringName:
    """A spring by all its names.

    Attributes:
        name: In the return study.
        key: In keys of documents.
        words: In sentences.
        inside: Whether it sits inside the module, where nobody takes it out.
    """

    name: str
    key: str
    words: str
    inside: bool = False


def springs_of(job: Job) -> list[SpringName]:
    """The described springs, then those inside the module."""
    springs = [SpringName(name, name, f"Spring {name}") for name in job.conversion.springs]
    inner = job.module[1].lever.springs if job.module else None
    for number in range(1, (inner.count if inner else 0) + 1):
        count = inner.count if inner else 0
        name = "in the module" if count == 1 else f"in the module {number} of {count}"
        words = f"{job.module_name}, inner spring {number} of {count}"
        springs.append(SpringName(name, f"inside-{number}", words, inside=True))
    return springs


def return_rows(job: Job) -> Iterator[Row]:
    """Each spring out in turn, and each half with the link parted; a closed module is not opened for it."""
    words = link_words(job.linkage) if job.linkage is not None else None
    whole, parted = (f", {words.whole}" if words.whole else "", words.parted) if words else (", rod on", "rod off")
    yield row(f"All springs in{whole}", return_expected(job, "all-in", "", "both"))
    for spring in springs_of(job):
        if not spring.inside:
            yield row(f"{spring.words} out{whole}", return_expected(job, "spring-out", spring.name, "both"))
    if parted:
        start = parted[0].upper() + parted[1:]
        yield row(f"{start}: the pedal", return_expected(job, "link-parted", "", "pedal"))
        yield row(f"{start}: the lever", return_expected(job, "link-parted", "", "module"))
    for spring in springs_of(job):
        if spring.inside:
            expected = return_expected(job, "spring-out", spring.name, "both")
            yield row(f"{spring.words} out: from the plan alone, do not open the module", expected)


def return_expected(job: Job, kind: str, spring: str, half: str) -> Callable[[], str]:
    """How to word whether pedal and lever come back in one case of the return study, and with how much to spare."""
    return lambda: _return_text(job, kind, spring, half)


def _return_text(job: Job, kind: str, spring: str, half: str) -> str:
    for case in job.plan.returns.cases:
        if (case.kind, case.spring_out, case.half) == (kind, spring, half):
            spare = figure(abs(case.margin_nm), "moment")
            if case.returns:
                return f"returns, at least {spare} above friction"
            return f"does not return as planned, {spare} short: do not go on"
    raise CannotSay("the plan has no such case")
