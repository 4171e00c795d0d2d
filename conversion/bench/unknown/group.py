"""What a group of terminals is: tracks with their contacts, a fixed resistance, or nothing that is known here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from conversion.bench.unknown.contacts import Contact, contacts
from conversion.bench.unknown.core import MARGIN, MOST_UNSIEVED, Candidate, candidates, most_cost, near
from conversion.bench.unknown.decide import MOST, Further, deciding, unread_pairs
from conversion.bench.unknown.groups import Group
from conversion.bench.unknown.readings import Readings
from conversion.bench.unknown.shapes import TooLittleRead

Verdict = Literal["found", "undecided", "no-fit"]

ALIKE = "another arrangement fits alike"
LOOSE = "too little was read: not every figure is held, no wiper surely moves, or nothing checks the others"
_CHANCE_TIMES = 3.0
CHANCE = "the meter's tolerance explains what is left over only by much chance"


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


def understand(readings: Readings, group: Group) -> Understood:
    """Understand a group from readings that do not contradict each other."""
    if group.why_none:
        return _nothing(readings, group, group.why_none)
    if len(group.core) == 2:
        return _two(readings, group)
    try:
        ranked = candidates(readings, group.core) if len(group.core) > 2 else []
    except TooLittleRead:
        return _nothing(readings, group, LOOSE)
    if len(group.core) > 2 and not (ranked and ranked[0].fits):
        return _slip_or_nothing(readings, group)
    if len(ranked) == 1 and len(group.core) <= MOST_UNSIEVED:
        ranked += [each for each in candidates(readings, group.core, False) if not _same(each, ranked[0])][:1]
    cores: list[Candidate | None] = [*ranked] or [None]
    judged = [_Judged(each, tuple(contacts(readings, group, each))) for each in cores]
    judged.sort(key=lambda each: each.cost)
    best, runner_up = judged[0], judged[1] if len(judged) > 1 else None
    why, further = _doubt(readings, best, runner_up)
    if not all(contact.fits for contact in best.contacts):
        if why != LOOSE:
            return _contact_misfit(readings, group, best)
    elif not why and any(contact.rival is not None for contact in best.contacts):
        why = "a contact may close to either of two terminals"
        further = [_to_rival(readings, contact) for contact in best.contacts if contact.rival is not None]
    next_best = runner_up.core if runner_up else None
    return Understood(
        group, "undecided" if why else "found", best.core, next_best, best.contacts, None, tuple(further), why
    )


def _nothing(readings: Readings, group: Group, why: str) -> Understood:
    """Fits nothing, unless pairs are still unread: a contact that was not seen open may have been taken for a wire."""
    unread = [Further(*each) for each in unread_pairs(readings, tuple(group.terminals))]
    if unread:
        why = why if why == LOOSE else f"{why}, and pairs were left out"
        return Understood(group, "undecided", further=tuple(unread[:MOST]), why=why)
    return Understood(group, "no-fit", why=why)


def _same(one: Candidate, other: Candidate) -> bool:
    tracks = [{(frozenset(track.ends), track.wiper) for track in each.tracks} for each in (one, other)]
    return tracks[0] == tracks[1]


def _contact_misfit(readings: Readings, group: Group, best: _Judged) -> Understood:
    """To be read again where chance may have done it, else nothing that is known here."""
    worst = max(best.contacts, key=lambda contact: contact.cost)
    if worst.cost > _CHANCE_TIMES * most_cost(worst.spare):
        why = "no contact to one terminal explains the readings while it is closed"
        return _nothing(readings, group, why)
    position = worst.closed.index(True)
    again = tuple(
        Further(position, (min(worst.terminal, other), max(worst.terminal, other)), again=True)
        for other in group.core
        if np.isfinite(readings.ohm[position, worst.terminal, other])
    )
    return Understood(group, "undecided", best.core, None, best.contacts, None, again, CHANCE)


@dataclass(frozen=True)
class _Judged:
    """Tracks together with the contacts that hang on them."""

    core: Candidate | None
    contacts: tuple[Contact, ...]

    @property
    def cost(self) -> float:
        return (self.core.cost if self.core else 0.0) + sum(contact.cost for contact in self.contacts)


def _doubt(readings: Readings, best: _Judged, runner_up: _Judged | None) -> tuple[str, list[Further]]:
    """Why it is undecided, "" if it is not, and the readings that would decide."""
    if best.core is None:
        return "", []
    if runner_up and runner_up.cost - best.cost < MARGIN:
        return ALIKE, deciding(readings, best.core, runner_up.core)
    if not (best.core.held and best.core.moves and best.core.spare > 0):
        return LOOSE, deciding(readings, best.core, None)
    return ("", []) if best.core.fits_well else (CHANCE, [_worst_reading(readings, best.core)])


def _worst_reading(readings: Readings, best: Candidate) -> Further:
    """The one that is farthest from what is expected, in tolerances."""
    ohm, tolerance = readings.of(list(best.terminals))
    i, j = np.triu_indices(len(best.terminals), 1)
    expected = best.expected_ohm[:, i, j]
    off = np.where(np.isfinite(ohm), np.abs(ohm - expected) / tolerance, 0.0)
    position, pair = divmod(int(np.argmax(off)), off.shape[1])
    first, second = best.terminals[i[pair]], best.terminals[j[pair]]
    return Further(position, (first, second), (float(expected[position, pair]),), again=True)


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
            rest = readings.without(position, first, second)
            try:
                ranked = candidates(rest, group.core) if near(rest, group.core) else []
            except TooLittleRead:
                continue
            if ranked and ranked[0].fits and ranked[0].held and ranked[0].moves and ranked[0].spare > 0:
                slips.append((ranked[0].cost, position, (first, second), ranked[0]))
    if not slips:
        return _nothing(readings, group, "no arrangement of tracks explains the readings")
    slips.sort(key=lambda slip: slip[0])
    further = []
    for _, position, pair, candidate in slips[:3]:
        places = [candidate.terminals.index(terminal) for terminal in pair]
        expects = float(candidate.expected_ohm[position, places[0], places[1]])
        further.append(Further(position, pair, (expects,), again=True))
    why = "as they stand the readings fit nothing; with one of them left out they do"
    return Understood(group, "undecided", slips[0][3], None, (), None, tuple(further), why)
