"""A stuck pedal, a lost link, a broken spring, and a throttle that is left to its springs."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist.failure import mode as words
from conversion.checklist.failure.judging import Judgement, judge_lever_at_rest
from conversion.checklist.failure.mode import FailureMode, Verdict
from conversion.checklist.job import Job
from conversion.checklist.movement import return_expected, springs_of
from conversion.checklist.saying import CannotSay, figure, of, reason, said, span
from conversion.checklist.volts import unpowered_opening
from conversion.description import Missing
from conversion.sensing import sensor_input

_PARTED: dict[str, tuple[str, str] | None] = {
    "rod": ("rod-off", "Rod off, or one of its ball joints parted"),
    "bell-crank": ("rod-off", "One of the rods off, or a ball joint parted"),
    "cable": ("cable-off", "Cable broken, or its nipple out"),
    "contact": ("roller-off", "Roller broken off, or off its face"),
    "direct": None,
}
_STUCK = {
    "cable": FailureMode(
        "cable-stuck",
        "Cable stuck in its outer: kinked, frayed, frozen or dry",
        "The lever stays open although the pedal may come back.",
        "Nothing: both tracks agree.",
        "A pedal that comes back slowly or limply, and an engine that does not fall.",
        words.RUNAWAY,
        "not noticed, dangerous side",
    ),
}


def mechanical_faults(job: Job) -> Iterator[FailureMode]:
    """What can go wrong between the foot and the tracks."""
    yield FailureMode(
        "pedal-stuck",
        "Pedal held down: by a mat, a shoe, a bottle, a bent part or dirt",
        "Both tracks read what the pedal says.",
        f"Nothing: both tracks agree. {_brake_wins(job)}",
        "The engine does not fall when the foot comes off.",
        f"{words.RUNAWAY} Do not reach under the pedal while the car moves.",
        "not noticed, dangerous side",
    )
    parted = _PARTED[job.linkage.kind if job.linkage is not None else "rod"]
    if parted is not None:
        yield _link_off(job, *parted)
    if job.linkage is not None and job.linkage.kind in _STUCK:
        yield _STUCK[job.linkage.kind]
    for spring in springs_of(job):
        returns = said(return_expected(job, "spring-out", spring.name, "both"))
        yield FailureMode(
            f"spring-{spring.key}",
            f"{spring.words} broken, or off its anchor",
            f"The others still in: {returns}.",
            "Nothing: no check looks at springs.",
            "A lighter pedal.",
            words.AT_SERVICE,
            "no check described",
        )


def _brake_wins(job: Job) -> str:
    accepts = sensor_input(job.description, "pedal")
    form = accepts.brake_override if accepts is not None else None
    if form is None:
        return "A check that lets the brake win could help; the description has none."
    above = form.above.text if form.above else "a share that is not known"
    return f"With the brake pressed, more than {above} is taken back."


def _link_off(job: Job, key: str, title: str) -> FailureMode:
    happens = said(lambda: _lever_alone(job))
    verdict: Verdict = "unsaid"
    try:
        judged = judge_lever_at_rest(job)
        reads = " and ".join(f"{name} {span(*band, 'voltage')}" for name, band in judged.reads_v.items() if band)
        happens += f" On its rest stop the inputs read {reads}."
        notices, verdict = _as_released(judged)
    except (Missing, CannotSay) as missing:
        notices = reason(missing)
    return FailureMode(
        key,
        title,
        happens,
        notices,
        "The pedal is slack, and the engine falls to idle; a lever that stays where it was keeps the engine up.",
        words.RUNAWAY,
        verdict,
    )


def _lever_alone(job: Job) -> str:
    alone = next(case for case in job.plan.returns.cases if case.kind == "link-parted" and case.half == "module")
    if alone.returns:
        return f"The lever returns to its own rest stop, with {figure(alone.margin_nm, 'moment')} above friction."
    return "The lever does not return by itself, and may stay where it was."


def _as_released(judged: Judgement) -> tuple[str, Verdict]:
    if judged.verdict == "noticed":
        return "Once the lever is there the described checks notice it.", "noticed"
    if judged.verdict == "harmless":
        return "Nothing: it is taken for a released pedal, which asks for nothing.", "not noticed, harmless side"
    more = figure(judged.worst_percent / 100.0, "ratio")
    return f"Nothing, although it asks up to {more} more than a released pedal.", "not noticed, dangerous side"


def plate_faults(job: Job) -> Iterator[FailureMode]:
    """What can go wrong at the throttle plate."""
    opening = said(lambda: of(unpowered_opening(job)))
    rests = opening if opening.startswith("cannot") else f"The springs leave the plate {opening} open."
    yield FailureMode(
        "motor-unplugged",
        "Throttle motor unplugged, or its lead broken",
        rests,
        "The description has no check of the plate against its target. Formula SAE Rules 2026 v1.0, IC.4.7.2, ask for "
        "one: more than 10 % off for more than 1 s takes the power away.",
        "A fast or rough idle that the pedal does not change, and usually the lamp.",
        words.STOP_AND_FIND,
        "no check described",
        try_it=True,
    )
    yield FailureMode(
        "motor-to-supply",
        "Throttle motor shorted to the supply, or its leads swapped",
        "The plate goes to one end and stays there, perhaps fully open.",
        "The description has no check of the plate against its target.",
        "The engine races as soon as it starts, or stalls.",
        words.RUNAWAY,
        "no check described",
    )
    yield FailureMode(
        "plate-spring",
        "Throttle spring broken, or the plate stuck",
        "Without power the plate no longer goes to where it should rest: it may stay open, or close fully.",
        "The description has no check of it. It shows when the plate is left without power.",
        "The idle changes when the throttle loses power; a stuck plate holds the engine up.",
        words.RUNAWAY,
        "no check described",
    )
