"""What an unknown module is, from resistances between its terminals: its tracks, contacts, and what stays open."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.bench.unknown.contacts import Contact
from conversion.bench.unknown.core import Track
from conversion.bench.unknown.decide import Further
from conversion.bench.unknown.group import Understood, Verdict, understand
from conversion.bench.unknown.groups import Group, apart_unproven, groups
from conversion.bench.unknown.readings import Contradiction, Readings, contradictions


@dataclass(frozen=True)
class Identification:
    """What the whole module was found to be.

    Attributes:
        readings: What it rests on.
        verdict: The worst of its groups; ``no-fit`` also where there is no track.
        groups: What each group of terminals is.
        alone: Terminals from which no resistance to any other was read.
        contradictions: Readings that no network of resistors gives.
        polarised: Position and pair of readings that differ with the leads swapped.
        further: All readings that would decide.
    """

    readings: Readings
    verdict: Verdict
    groups: tuple[Understood, ...]
    alone: tuple[int, ...]
    contradictions: tuple[Contradiction, ...]
    polarised: tuple[tuple[int, int, int], ...]
    further: tuple[Further, ...]

    @property
    def tracks(self) -> tuple[Track, ...]:
        """All tracks, in the order of their wipers."""
        found = [track for group in self.groups if group.best for track in group.best.tracks]
        return tuple(sorted(found, key=lambda track: track.wiper))

    @property
    def contacts(self) -> tuple[Contact, ...]:
        """All contacts."""
        return tuple(contact for group in self.groups for contact in group.contacts)


def identify(readings: Readings) -> Identification:
    """Understand the readings, or say that they fit no potentiometer module, or which reading would decide.

    Nothing is guessed: where two arrangements fit alike, or no reading checks the others, it is undecided.
    """
    against, polarised = tuple(contradictions(readings)), tuple(readings.polarised())
    found = groups(readings)
    alone = tuple(
        terminal
        for terminal in range(len(readings.terminals))
        if not any(terminal in group.terminals for group in found)
    )
    if against or polarised:
        return _contradicted(readings, found, alone, against, polarised)
    understood = tuple(understand(readings, group) for group in found)
    unproven = [Further(0, pair) for pair in apart_unproven(readings, found)]
    further = [*(each for group in understood for each in group.further), *unproven]
    return Identification(readings, _worst(understood, unproven), understood, alone, (), (), tuple(further))


def _contradicted(
    readings: Readings,
    found: list[Group],
    alone: tuple[int, ...],
    against: tuple[Contradiction, ...],
    polarised: tuple[tuple[int, int, int], ...],
) -> Identification:
    """Undecided where all would fit without the readings in question: then they are to be taken again."""
    again = () if polarised else _in_question(readings, against)
    verdict: Verdict = "undecided" if again else "no-fit"
    nothing = tuple(Understood(group, verdict, why="its readings contradict each other") for group in found)
    return Identification(readings, verdict, nothing, alone, against, polarised, again)


def _in_question(readings: Readings, against: tuple[Contradiction, ...]) -> tuple[Further, ...]:
    """Readings without any one of which the others contradict each other no longer and fit something."""
    suspects = sorted(
        {
            (each.position, min(pair), max(pair))
            for each in against
            for pair in ((each.first, each.second), (each.first, each.via), (each.via, each.second))
        }
    )
    again = []
    for position, first, second in suspects:
        rest = readings.without(position, first, second)
        if not contradictions(rest) and identify(rest).verdict != "no-fit":
            again.append(Further(position, (first, second), again=True))
    return tuple(again)


def _worst(understood: tuple[Understood, ...], unproven: list[Further]) -> Verdict:
    verdicts = {group.verdict for group in understood}
    if "no-fit" in verdicts:
        return "no-fit"
    if "undecided" in verdicts or unproven:
        return "undecided"
    return "found" if any(group.best for group in understood) else "no-fit"
