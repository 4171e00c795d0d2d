"""What an unknown module is, from resistances between its terminals: its tracks, contacts, and what stays open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from conversion.bench.identify_contacts import Contact, contacts
from conversion.bench.identify_core import MARGIN, Candidate, Track, candidates
from conversion.bench.identify_decide import Further, deciding
from conversion.bench.identify_groups import Group, apart_unproven, groups
from conversion.bench.identify_readings import Contradiction, Readings, contradictions

Verdict = Literal["found", "undecided", "no-fit"]


@dataclass(frozen=True)
class Understood:
    """What a group of terminals was found to be.

    Attributes:
        group: The terminals.
        verdict: ``found``, ``undecided`` or ``no-fit``.
        best: The best arrangement of tracks; None where there is no track in it.
        runner_up: The next one; None where nothing else comes into question.
        contacts: Switch contacts.
        fixed_ohm: Resistance between two terminals that nothing changes; None otherwise. [Ω]
        further: Readings that would decide; never empty where it is undecided.
        why: Why it fits nothing, or why it is undecided; "" where it is found.
    """

    group: Group
    verdict: Verdict
    best: Candidate | None = None
    runner_up: Candidate | None = None
    contacts: tuple[Contact, ...] = ()
    fixed_ohm: float | None = None
    further: tuple[Further, ...] = ()
    why: str = ""

    @property
    def cost(self) -> float:
        """Sum of squares of all residuals, in units of the meter's tolerance."""
        return (self.best.cost if self.best else 0.0) + sum(contact.cost for contact in self.contacts)

    @property
    def spare(self) -> int:
        """Readings that check others."""
        return max(self.best.spare if self.best else 0, 0) + sum(max(each.spare, 0) for each in self.contacts)


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
        nothing = tuple(Understood(group, "no-fit", why="its readings contradict each other") for group in found)
        return Identification(readings, "no-fit", nothing, alone, against, polarised, ())
    understood = tuple(_understand(readings, group) for group in found)
    unproven = [Further(0, pair) for pair in apart_unproven(readings, found)]
    further = [*(each for group in understood for each in group.further), *unproven]
    return Identification(readings, _worst(understood, unproven), understood, alone, (), (), tuple(further))


def _worst(understood: tuple[Understood, ...], unproven: list[Further]) -> Verdict:
    verdicts = {group.verdict for group in understood}
    if "no-fit" in verdicts:
        return "no-fit"
    if "undecided" in verdicts or unproven:
        return "undecided"
    return "found" if any(group.best for group in understood) else "no-fit"


def _understand(readings: Readings, group: Group) -> Understood:
    if group.why_none:
        return Understood(group, "no-fit", why=group.why_none)
    if len(group.core) == 2:
        return _two(readings, group)
    ranked = candidates(readings, group.core) if len(group.core) > 2 else []
    if len(group.core) > 2 and not (ranked and ranked[0].fits):
        return _slip_or_nothing(readings, group)
    best, runner_up = (*ranked[:2], None, None)[:2]
    hung = tuple(contacts(readings, group, best))
    if not all(contact.fits for contact in hung):
        return Understood(group, "no-fit", best, runner_up, hung, why="no contact to one terminal explains them")
    why = _doubt(ranked)
    further = deciding(readings, best, runner_up if "alike" in why else None) if best and why else []
    further += [_to_rival(readings, contact) for contact in hung if contact.rival is not None]
    why = why or ("a contact may close to either of two terminals" if further else "")
    return Understood(group, "undecided" if why else "found", best, runner_up, hung, None, tuple(further), why)


def _doubt(ranked: list[Candidate]) -> str:
    if not ranked:
        return ""
    best = ranked[0]
    if len(ranked) > 1 and ranked[1].cost - best.cost < MARGIN:
        return "another arrangement fits alike"
    if not best.held:
        return "the readings do not hold where a wiper stands"
    return "no reading is left over that would check the others" if best.spare < 1 else ""


def _to_rival(readings: Readings, contact: Contact) -> Further:
    """The contact to its partner and to the rival, where it is closed; the smaller of the two is the right one."""
    position = contact.closed.index(True)
    unread = not readings.read[position, contact.terminal, contact.partner]
    other = contact.partner if unread or contact.rival is None else contact.rival
    return Further(position, (min(contact.terminal, other), max(contact.terminal, other)))


def _two(readings: Readings, group: Group) -> Understood:
    first, second = group.core
    ohm = readings.ohm[:, first, second]
    tolerance = readings.tolerance_ohm[:, first, second]
    if np.isnan(ohm).any():
        missing = tuple(Further(int(position), (first, second)) for position in np.flatnonzero(np.isnan(ohm)))
        return Understood(group, "undecided", further=missing, why="it was not read in every position")
    if np.ptp(ohm) > 4.0 * float(tolerance.max()):
        why = "its resistance changes with the lever, but there is no third terminal; a track has two ends and a wiper"
        return Understood(group, "no-fit", why=why)
    hung = tuple(contacts(readings, group, None)) if not group.switched else ()
    if group.switched:
        return Understood(group, "no-fit", why="a contact with a fixed resistance, but no track in it")
    return Understood(group, "found", contacts=hung, fixed_ohm=float(ohm.mean()))


def _slip_or_nothing(readings: Readings, group: Group) -> Understood:
    """Whether all fits once one reading is left out: then that one is to be taken again."""
    slips = []
    among = set(group.core)
    for position, first, second in readings.pairs():
        if {first, second} <= among and np.isfinite(readings.ohm[position, first, second]):
            ranked = candidates(readings.without(position, first, second), group.core)
            if ranked and ranked[0].fits and ranked[0].held and ranked[0].spare > 0:
                slips.append((ranked[0].cost, position, (first, second), ranked[0]))
    if not slips:
        return Understood(group, "no-fit", why="no arrangement of tracks explains the readings")
    slips.sort(key=lambda slip: slip[0])
    further = []
    for _, position, pair, candidate in slips[:3]:
        places = [candidate.terminals.index(terminal) for terminal in pair]
        expects = float(candidate.expected_ohm[position, places[0], places[1]])
        further.append(Further(position, pair, (expects,), again=True))
    why = "as they stand the readings fit nothing; with one of them left out they do"
    return Understood(group, "undecided", slips[0][3], None, (), None, tuple(further), why)
