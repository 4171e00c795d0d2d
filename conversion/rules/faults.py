"""What single faults of the loom do that no described check notices."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from conversion.description import Missing
from conversion.plan import Plan
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import Reading, readings

if TYPE_CHECKING:
    from conversion.faults.verdict import Verdict
    from conversion.plan.faults.judged import FaultStudy

_DEVIATION = "Formula SAE Rules 2026 v1.0, T.4.2.4: two sensors that differ by more than 10 % of pedal travel"
_DETECTABLE = "Formula SAE Rules 2026 v1.0, T.4.2.9: any failure of sensor or wiring must be detectable"


@rule("faults/rise-at-rest", severity="HOLD", sources=(_DETECTABLE, COMMON_PRACTICE), studied=True)
def rise_at_rest(plan: Plan) -> Iterator[Found | Missing]:
    """With the foot off, a single fault opens the engine farther than the limit, and no check notices.

    Why: a rise with the foot off drives the car away with nobody there to take it back. The limit is
    'limits.unnoticed_rise_at_rest', or 5 %: half of what passes under a foot.
    Found in:
        B1: tracks.b.output = {rest: 82.0 % ± 0.5 %, full: 18.0 % ± 0.5 %}
        K1: accepts.pedal.tracks.b = {valid: 0.45 V..4.65 V, rest: 3.80 V..4.30 V, full: 0.75 V..1.45 V,
          pull: {to: ground, resistance: 220 kohm ± 5 %}}
    Put right:
        B1: tracks.b.output = {rest: 9.0 % ± 0.5 %, full: 41.0 % ± 0.5 %}
        K1: accepts.pedal.tracks.b = {valid: 0.22 V..2.50 V, rest: 0.38 V..0.65 V, full: 1.70 V..2.20 V,
          pull: {to: ground, resistance: 220 kohm ± 5 %}}
    Not seen: what the control unit's software does beyond the described checks; two faults at once.
    """
    yield from _above(
        plan, lambda study, verdict: verdict.rise_at_rest_percent > study.limit_at_rest_percent,
        lambda verdict: verdict.rise_at_rest_percent, lambda study: study.limit_at_rest_percent,
    )  # fmt: skip


@rule("faults/rise", severity="HOLD", sources=(_DEVIATION, _DETECTABLE), studied=True)
def rise(plan: Plan) -> Iterator[Found | Missing]:
    """A single fault opens the engine farther than the foot asks and than the limit, and no check notices.

    Why: what nothing notices stays, comes back at every drive, and waits for the next fault. The limit is
    'limits.unnoticed_rise', or 10 %, by which the two sensors of a racing car may differ before its power is cut.
    Found in:
        K1: accepts.pedal.takes = larger
        K1: accepts.pedal.agreement = {of: percent, at_most: 15 %, within: 90 ms}
    Put right:
        K1: accepts.pedal.takes = smaller
    Not seen: what the control unit's software does beyond the described checks; two faults at once.
    """
    yield from _above(
        plan,
        lambda study, verdict: (
            verdict.rise_percent > study.limit_percent and verdict.rise_at_rest_percent <= study.limit_at_rest_percent
        ),
        lambda verdict: verdict.rise_percent, lambda study: study.limit_percent,
    )  # fmt: skip


def _above(
    plan: Plan, above: Callable[[FaultStudy, Verdict], bool], risen: Callable[[Verdict], float],
    limit: Callable[[FaultStudy], float],
) -> Iterator[Found | Missing]:  # fmt: skip
    """One finding for all faults that come to the same."""
    from conversion.plan.faults.groups import alike  # loads circuits and faults, which a check does without

    for read in readings(plan):
        try:
            study = plan.faults(read.sensor)
        except Missing as missing:
            yield missing
            continue
        for group in alike(study, (verdict for verdict in study.verdicts if above(study, verdict))):
            yield _told(read, study, group.verdict, risen(group.verdict), limit(study), group.others)


def _told(
    read: Reading, study: FaultStudy, verdict: Verdict, risen: float, limit: float, others: tuple[str, ...]
) -> Found:  # fmt: skip
    from conversion.plan.faults.groups import others_words
    from conversion.plan.faults.words import NO_SIZE, closing, noticed_words, percent_words, size_words, where_words

    at_rest = risen == verdict.rise_at_rest_percent
    size = size_words(verdict, verdict.ohm_at_rest if at_rest else verdict.ohm)
    what = f"{verdict.fault.name}{'' if size == NO_SIZE else f' ({size})'}"
    where = where_words(study, 0 if at_rest else verdict.position)
    seen = noticed_words(verdict)
    grown = "" if seen == "nothing" else f" Fully grown it is noticed by: {seen}."
    also = others_words(others)
    return Found(
        read.device,
        read.input_place(),
        f"{what[0].upper()}{what[1:]}: {read.unit} would open {percent_words(risen)} too far ({where}), and no "
        f"described check notices; the limit is {percent_words(limit)}.{grown}{' ' + also if also else ''}",
        closing(study, verdict),
    )
