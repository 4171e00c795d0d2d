"""Findings that came, went, or say something else."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from conversion.bench.compare.names import reworded


class Said(Protocol):
    """What a rule says about a plan."""

    @property
    def rule(self) -> str:
        """The rule's name."""

    @property
    def severity(self) -> str:
        """HOLD, FIX or NOTE."""

    @property
    def subject(self) -> str:
        """What it is about."""

    @property
    def message(self) -> str:
        """What is wrong."""


AnySaid = TypeVar("AnySaid", bound=Said)


@dataclass(frozen=True, slots=True)
class FindingChanges(Generic[AnySaid]):
    """What became of the findings.

    Attributes:
        came: Said of the new plan alone, in the order of its findings.
        went: Said of the old plan alone.
        changed: Said of both by the same rule about the same thing, with other figures: as it was and as it is.
    """

    came: tuple[AnySaid, ...]
    went: tuple[AnySaid, ...]
    changed: tuple[tuple[AnySaid, AnySaid], ...]


def compare_findings(
    old: Iterable[AnySaid], new: Iterable[AnySaid], new_names: Mapping[str, str]
) -> FindingChanges[AnySaid]:
    """Findings of two plans held against each other.

    Args:
        old: Of the old plan.
        new: Of the new plan.
        new_names: Names of the old plan that are others in the new one; a finding that only calls things by their
            new names is the same.
    """
    open_old: dict[tuple[str, str], list[AnySaid]] = defaultdict(list)
    for said in old:
        open_old[said.rule, reworded(said.subject, new_names)].append(said)
    other: list[AnySaid] = []
    for said in new:
        candidates = open_old[said.rule, said.subject]
        same = next((each for each in candidates if reworded(each.message, new_names) == said.message), None)
        if same is None:
            other.append(said)
        else:
            candidates.remove(same)
    came, changed = [], []
    for said in other:
        candidates = open_old[said.rule, said.subject]
        if candidates:
            changed.append((candidates.pop(0), said))
        else:
            came.append(said)
    went = tuple(said for candidates in open_old.values() for said in candidates)
    return FindingChanges(tuple(came), went, tuple(changed))
