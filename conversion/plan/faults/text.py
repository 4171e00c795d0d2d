"""The faults of a sensor as lines of text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from conversion.faults.verdict import CATEGORIES
from conversion.plan.faults.brake import brake_words, counted_words, second_braked, verdict_braked
from conversion.plan.faults.groups import Alike, others_words, worst_groups
from conversion.plan.faults.judged import FaultStudy
from conversion.plan.faults.latent import LatentStudy
from conversion.plan.faults.words import (
    ABOUT,
    CATEGORY_WORDS,
    MOTOR,
    NO_SIZE,
    capital,
    closing,
    coverage,
    noticed_words,
    ohm_words,
    percent_words,
    size_words,
    where_words,
)

WIDTH = 100
WORST = 10
PAIRS = 20
_SENSOR = {"pedal": "Pedal", "throttle": "Throttle"}


def fault_lines(study: FaultStudy) -> Iterator[str]:
    """What every single fault comes to: how many of each class, where, and the worst."""
    count = len(study.verdicts)
    positions = study.sweep.percent.size
    yield f"{_SENSOR[study.sensor]}: {count} single faults, each at {positions} positions and over all resistances"
    counts = {category: sum(v.category == category for v in study.verdicts) for category in CATEGORIES}
    for category in CATEGORIES:
        yield f"  {counts[category]:>4}  {CATEGORY_WORDS[category]}"
    limits = f"{percent_words(study.limit_percent)}, with the foot off {percent_words(study.limit_at_rest_percent)}"
    yield f"  {len(study.above_limit):>4}  above the limit of {limits}"
    counted = counted_words(verdict_braked(study, verdict) for verdict in study.verdicts)
    if counted:
        yield from _wrapped(f"Of those that open farther: {counted}.", 2)
    yield ""
    yield from _table(
        ("by place", *(CATEGORY_WORDS[each].split(",")[-1].strip() for each in CATEGORIES)),
        [(place, *(str(found[each]) for each in CATEGORIES)) for place, found in coverage(study.verdicts, "place")],
    )
    worst = worst_groups(study)
    for group in worst[:WORST]:
        yield ""
        yield from _worst_lines(study, group)
    if len(worst) > WORST:
        yield f"  and {len(worst) - WORST} more; --json lists all."
    for fault in study.not_judged:
        yield from _wrapped(f"Not judged here: {fault.name}; what still returns is told by the rules on return.", 2)
    if study.sensor == "throttle":
        yield from _wrapped(MOTOR, 2)
    for sentence in study.circuit.taken:
        yield from _wrapped(f"Taken: {sentence}", 2)
    for sentence in study.circuit.left_out:
        yield from _wrapped(f"Left out: {sentence}", 2)
    yield from _wrapped(ABOUT, 0)


def _worst_lines(study: FaultStudy, group: Alike) -> Iterator[str]:
    verdict = group.verdict
    size = size_words(verdict, verdict.ohm)
    where = where_words(study, verdict.position) + ("" if size == NO_SIZE else f", {size}")
    yield from _wrapped(verdict.fault.name, 2)
    at_rest = percent_words(verdict.rise_at_rest_percent)
    yield f"      opens {percent_words(verdict.rise_percent)} too far ({where}); at rest {at_rest}"
    yield from _wrapped(f"Fully grown it is noticed by: {noticed_words(verdict)}.", 6)
    if study.override is not None:
        yield from _wrapped(f"{capital(brake_words(study, verdict_braked(study, verdict)))}.", 6)
    yield from _wrapped(f"Would close it: {closing(study, verdict)}", 6)
    yield from _wrapped(others_words(group.others), 6)


def latent_lines(latent: LatentStudy) -> Iterator[str]:
    """What second faults come to after first ones that nothing notices."""
    worst = latent.worst_of_each
    yield from _wrapped(
        f"{_SENSOR[latent.study.sensor]}: {latent.waiting} faults can wait unnoticed; after {len(worst)} of them a "
        f"second one opens the engine farther than either alone, in {len(latent.pairs)} pairs",
        0,
    )
    counted = counted_words(second_braked(latent.study, pair.comes) for pair in latent.pairs)
    if counted:
        yield from _wrapped(f"Of the pairs: {counted}.", 2)
    for pair in worst[:PAIRS]:
        yield ""
        yield f"  {pair.first.name} ({ohm_words(pair.first.change, pair.waits.ohm)}), then"
        yield f"  {pair.second.name} ({ohm_words(pair.second.change, pair.comes.ohm)})"
        where = where_words(latent.study, pair.comes.position)
        at_rest = percent_words(pair.comes.rise_at_rest_percent)
        yield f"      opens {percent_words(pair.comes.rise_percent)} too far ({where}); at rest {at_rest}"
        if latent.study.override is not None:
            yield from _wrapped(f"{capital(brake_words(latent.study, second_braked(latent.study, pair.comes)))}.", 6)
        yield from _wrapped(f"Finds the first: {pair.found_by}", 6)
    if len(worst) > PAIRS:
        yield f"  and after {len(worst) - PAIRS} more; --json lists all."
    yield from _wrapped(ABOUT, 0)


def _wrapped(text: str, indent: int) -> list[str]:
    blank = " " * indent
    return textwrap.wrap(text, WIDTH, initial_indent=blank, subsequent_indent=blank, break_on_hyphens=False)


def _table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> Iterator[str]:
    widths = [max(len(row[column]) for row in (head, *rows)) for column in range(len(head))]
    for row in (head, *rows):
        cells = [row[0].ljust(widths[0]), *(cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True))]
        yield "  " + "  ".join(cells)
