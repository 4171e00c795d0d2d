"""The return as label and sentence: each case with its margin, the force at the pad, the time, and the stops."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from conversion.linkage.returns import ReturnCase
from conversion.plan.link.facts import Fact
from conversion.plan.plan import Plan
from conversion.quantities import show

HALVES = {"both": "pedal and lever, linked", "pedal": "pedal alone", "module": "lever alone"}


def failed_text(case: ReturnCase) -> str:
    """What has failed in a case."""
    if case.kind == "spring-out":
        return f"spring out: {case.spring_out}"
    return "nothing" if case.kind == "all-in" else "link parted"


def case_facts(plan: Plan) -> Iterator[Fact]:
    """Cases with their margins, pad force at rest and full, hysteresis, time from full to rest, and both stops.

    Raises:
        Missing: The return cannot be computed.
    """
    study, time = plan.returns, plan.return_time
    for case in study.cases:
        verdict = "returns" if case.returns else "DOES NOT RETURN" if isfinite(case.margin_nm) else "not known"
        left = show(case.margin_nm, "moment")
        yield f"{failed_text(case)}; {HALVES[case.half]}", f"{verdict}, {left} above friction where it is least"
    for where, index in (("at rest", 0), ("at full", -1)):
        pressing, releasing, apart = (
            show(float(values[index]), "force")
            for values in (study.pad_force_pressing_n, study.pad_force_releasing_n, study.hysteresis_n)
        )
        yield f"Pad force {where}", f"{pressing} pressing, {releasing} coming back, {apart} apart (hysteresis)"
    limit = time.allowed
    if isfinite(time.all_in_s):
        without = {"": "", "link": "with the link parted"}.get(time.worst, f"without the spring {time.worst}")
        worst = f"; {show(time.worst_s, 'time')} {without}" if without and isfinite(time.worst_s) else ""
        about = show(time.all_in_s, "time")
        yield "Time from full to rest", f"about {about} undamped{worst}; the standard allows {limit}"
    else:
        yield "Time from full to rest", f"it does not come back; the standard allows {limit}"
    form = plan.description.conversion.linkage
    assert form is not None, "its return was studied"
    for words, stop in (("Rest stop", form.pedal.rest_stop), ("Full stop", form.pedal.full_stop)):
        load = f"{show(stop.load.nominal, 'force')} at the pad" if stop.load is not None else "a load not described"
        lock = "lockable" if stop.lockable else "not lockable"
        yield words, f"{stop.origin}, {lock}; carries {load}"
