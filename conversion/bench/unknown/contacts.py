"""Switch contacts: terminals that are cut off in one position of the lever and hang on another terminal in the next."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.bench.unknown.core import MARGIN, Candidate, most_cost
from conversion.bench.unknown.groups import Group
from conversion.bench.unknown.readings import Readings


@dataclass(frozen=True)
class Contact:
    """A contact between two terminals.

    Attributes:
        terminal: The one that is cut off while it is open.
        partner: The one that it closes to.
        closed: (positions), whether it is closed.
        ohm: Through it, with a series resistor if there is one. [Ω]
        cost: Sum of squares of what is left over, in units of the meter's tolerance.
        spare: Readings that check it, less one.
        rival: Another terminal that it may close to just as well, if there is one.
    """

    terminal: int
    partner: int
    closed: tuple[bool, ...]
    ohm: float
    cost: float
    spare: int
    rival: int | None = None

    @property
    def fits(self) -> bool:
        """Whether the meter's tolerance explains what is left over."""
        return self.cost <= most_cost(self.spare)


def contacts(readings: Readings, group: Group, core: Candidate | None) -> list[Contact]:
    """One for each switched terminal of a group.

    Args:
        readings: All readings.
        group: The group.
        core: How its core was understood; None where the core is one terminal.
    """
    return [_contact(readings, group, core, terminal) for terminal in group.switched]


def _contact(readings: Readings, group: Group, core: Candidate | None, terminal: int) -> Contact:
    closed = group.switched[terminal]
    among = list(group.core)
    use = np.array(closed)[:, None] & np.isfinite(readings.ohm[:, terminal, among])
    # What another terminal that is closed at the same time adds is already in the readings between those two.
    read = np.where(use, readings.ohm[:, terminal, among], 0.0)
    weight = np.where(use, 1.0 / np.where(use, readings.tolerance_ohm[:, terminal, among], 1.0), 0.0) ** 2
    ranked = []
    for place, partner in enumerate(among):
        beyond = read - (core.expected_ohm[:, place] if core else np.zeros_like(read))
        ohm = max(float((weight * beyond).sum() / max(float(weight.sum()), 1e-30)), 0.0)
        ranked.append((float((weight * (beyond - ohm) ** 2).sum()), partner, ohm))
    ranked.sort()
    cost, partner, ohm = ranked[0]
    rival = ranked[1][1] if len(ranked) > 1 and ranked[1][0] - cost < MARGIN else None
    return Contact(terminal, partner, closed, ohm, cost, int(use.sum()) - 1, rival)
