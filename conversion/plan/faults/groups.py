"""Faults that come to the same, told together: the two ends of one wire, the contacts of one conductor."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from conversion.faults.verdict import Verdict
from conversion.plan.faults.brake import brake_words, verdict_braked
from conversion.plan.faults.judged import FaultStudy
from conversion.plan.faults.words import closing, noticed_words, percent_words, size_words


@dataclass(frozen=True)
class Alike:
    """Verdicts that read the same.

    Attributes:
        verdict: The first of them.
        others: What else comes to the same, by name.
    """

    verdict: Verdict
    others: tuple[str, ...]


def alike(study: FaultStudy, verdicts: Iterable[Verdict]) -> tuple[Alike, ...]:
    """Verdicts in their order, those that come to the same as an earlier one told with it."""
    groups: dict[tuple[object, ...], list[Verdict]] = {}
    for verdict in verdicts:
        key = (
            percent_words(verdict.rise_percent), percent_words(verdict.rise_at_rest_percent), verdict.position,
            noticed_words(verdict), size_words(verdict, verdict.ohm), closing(study, verdict),
            brake_words(study, verdict_braked(study, verdict)),
        )  # fmt: skip
        groups.setdefault(key, []).append(verdict)
    return tuple(Alike(first, tuple(v.fault.name for v in rest)) for first, *rest in groups.values())


def worst_groups(study: FaultStudy) -> tuple[Alike, ...]:
    """The faults that nothing notices and that open the engine farther, the worst first."""
    return alike(study, (verdict for verdict in study.verdicts if verdict.category == "unnoticed, higher"))


def others_words(others: Sequence[str], most: int = 3) -> str:
    """What else comes to the same, as a sentence; empty where nothing does."""
    if not others:
        return ""
    more = f", and {len(others) - most} more" if len(others) > most else ""
    return f"The same comes of: {'; '.join(others[:most])}{more}."
