"""What the described brake override would do to what nothing notices: for each fault, each pair, and counted."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from conversion.faults.braking import OUTCOMES, Braked, Override, braked
from conversion.faults.latent import Second
from conversion.faults.verdict import Verdict
from conversion.quantities import show

if TYPE_CHECKING:
    from conversion.plan.faults.judged import FaultStudy
    from conversion.plan.plan import Plan

NONE_DESCRIBED = "no brake override is described"
NO_FIGURE = "not decided: the brake override has no figure"


def brake_override(plan: Plan) -> Override | None:
    """What takes the demand back, described of pedal or throttle; since the plate follows the pedal, one serves both.

    Of two the one that acts earlier counts; of a figure with a tolerance the greatest: less may go on, and longer.
    """
    accepts = plan.description.control_unit[1].accepts if plan.description.control_unit is not None else None
    inputs = (accepts.pedal, accepts.throttle) if accepts is not None else ()
    found = [
        Override(
            100.0 * form.above.high if form.above else math.nan,
            form.within.high if form.within else math.nan,
        )
        for form in (each.brake_override for each in inputs if each is not None)
        if form is not None
    ]
    return min(found, key=lambda each: math.inf if math.isnan(each.above_percent) else each.above_percent, default=None)


def verdict_braked(study: FaultStudy, verdict: Verdict) -> Braked | None:
    """What becomes of a single fault; None where it opens nothing farther unnoticed."""
    if verdict.category != "unnoticed, higher":
        return None
    percent = study.sweep.percent
    return braked(study.override, percent, verdict.worst_percent - percent, plate=study.believer.plate)


def second_braked(study: FaultStudy, second: Second) -> Braked | None:
    """What becomes of a second fault after one that waits."""
    return braked(study.override, study.sweep.percent, second.rises_percent, plate=study.believer.plate)


def brake_words(study: FaultStudy, found: Braked | None) -> str:
    """The same as people say it; empty where there is nothing to cut."""
    if found is None:
        return ""
    override = study.override
    if override is None:
        return NONE_DESCRIBED
    if found.outcome == "undecided":
        return NO_FIGURE
    above = show(override.above_percent / 100.0, "ratio")
    timed = math.isfinite(override.within_s)
    when = f"within {show(override.within_s, 'time')}" if timed else "in a time that nobody has said"
    cut = f"cut to idle {when}"
    if found.outcome == "cut":
        return f"with the brake pressed: {cut}"
    if found.outcome == "cut in part":
        more = "is asked" if study.believer.plate else "is taken"
        return f"with the brake pressed: {cut} where more than {above} {more}; not cut below"
    if found.left_percent > 0.0:
        return f"not cut: with nothing asked the plate stays {show(found.left_percent / 100.0, 'ratio')} open"
    return f"not cut: {'what is asked ' if study.believer.plate else ''}stays at or below {above}"


def brake_counts(found: Iterable[Braked | None]) -> dict[str, int]:
    """How many there are of each outcome."""
    outcomes = [each.outcome for each in found if each is not None]
    return {outcome: outcomes.count(outcome) for outcome in OUTCOMES}


def counted_words(found: Iterable[Braked | None]) -> str:
    """The same as the end of a sentence; empty where there is nothing to cut."""
    counts = {outcome: count for outcome, count in brake_counts(found).items() if count}
    if not counts:
        return ""
    if "none described" in counts:
        return NONE_DESCRIBED
    told = (f"{count} {NO_FIGURE if outcome == 'undecided' else outcome}" for outcome, count in counts.items())
    return f"with the brake pressed {', '.join(told)}"


def brake_json(study: FaultStudy, found: Braked | None) -> dict[str, Any] | None:
    """The same as plain data."""
    if found is None:
        return None
    return {"outcome": found.outcome, "left_percent": found.left_percent, "words": brake_words(study, found)}
