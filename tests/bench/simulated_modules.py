"""Modules that exist only here, measured with a meter that is off by chance.

The network is solved by the pseudoinverse of its conductance matrix, which shares nothing with the room under test.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

import numpy as np

from conversion.bench.unknown.readings import Readings

KINDS = (
    "single track", "single track with a contact", "separate", "separate with a contact of its own", "shared supply",
    "shared ground and a contact on it", "shared both", "shared both with a contact", "three tracks",
)  # fmt: skip
NONE_KINDS = ("nothing moves", "variable resistors", "star that shifts", "every reading drifts")


@dataclass
class Module:
    """Terminals are counted in a shuffled order; elements are (node, node, ohm at rest, ohm at full); inf is open."""

    tracks: list[tuple[frozenset[int], int]] = field(default_factory=list)
    shares: dict[int, tuple[int, float, float]] = field(default_factory=dict)
    contacts: list[tuple[frozenset[int], tuple[bool, bool]]] = field(default_factory=list)
    elements: list[tuple[object, object, float, float]] = field(default_factory=list)
    terminals: int = 0

    def terminal(self) -> int:
        """A new one."""
        self.terminals += 1
        return self.terminals - 1

    def track(
        self, rng: np.random.Generator, first: int, second: int, wiper: int, rising: bool, protected: bool
    ) -> None:
        """Add a track between two terminals."""
        ohm = float(rng.uniform(700.0, 6000.0))
        rest, full = float(rng.uniform(0.06, 0.25)), float(rng.uniform(0.45, 0.94))
        if not rising:
            rest, full = 1.0 - rest, 1.0 - full
        path = float(rng.uniform(300.0, 2500.0)) if protected else float(rng.uniform(1.0, 60.0))
        touch = ("touch", wiper)
        self.elements += [
            (first, touch, ohm * rest, ohm * full),
            (touch, second, ohm * (1.0 - rest), ohm * (1.0 - full)),
            (touch, wiper, path, path),
        ]
        self.tracks.append((frozenset((first, second)), wiper))
        self.shares[wiper] = (first, rest, full)

    def contact(self, rng: np.random.Generator, one: int, other: int) -> None:
        """Add a contact that changes between rest and full."""
        at_rest = bool(rng.random() < 0.6)
        ohm = float(rng.uniform(0.05, 3.0))
        self.elements.append((one, other, ohm if at_rest else np.inf, np.inf if at_rest else ohm))
        self.contacts.append((frozenset((one, other)), (at_rest, not at_rest)))

    def ohm(self) -> np.ndarray:
        """(2, terminals, terminals) between all terminals, at rest and at full."""
        nodes = [*range(self.terminals), *sorted({n for e in self.elements for n in e[:2] if isinstance(n, tuple)})]
        index = {node: place for place, node in enumerate(nodes)}
        found = np.full((2, self.terminals, self.terminals), np.inf)
        for position in range(2):
            matrix = np.zeros((len(nodes), len(nodes)))
            for one, other, *ohm in self.elements:
                a, b, g = index[one], index[other], 1.0 / ohm[position]
                matrix[[a, b], [a, b]] += g
                matrix[[a, b], [b, a]] -= g
            inverse = np.linalg.pinv(matrix, hermitian=True)
            together = _reached(matrix != 0)
            for i, j in itertools.product(range(self.terminals), repeat=2):
                if together[i, j]:
                    found[position, i, j] = inverse[i, i] + inverse[j, j] - 2.0 * inverse[i, j]
        return found

    def measured(
        self, rng: np.random.Generator, share: float = 0.01, least: float = 0.3, normal: bool = False
    ) -> Readings:
        """As a meter with this tolerance reads it, off by chance within it, or by that standard deviation."""
        return read_off(self.ohm(), rng, share, least, normal)


def read_off(ohm: np.ndarray, rng: np.random.Generator, share: float, least: float, normal: bool) -> Readings:
    """Readings of true resistances."""
    size = ohm.shape[1]
    read, off = ohm.copy(), np.full_like(ohm, np.nan)
    for position in range(len(ohm)):
        for i, j in itertools.combinations(range(size), 2):
            true = ohm[position, i, j]
            if np.isfinite(true):
                spread = float(np.hypot(share * true, least))
                chance = float(rng.normal() if normal else rng.uniform(-1.0, 1.0))
                value = max(true + spread * chance, 0.0)
                read[position, [i, j], [j, i]] = value
                off[position, [i, j], [j, i]] = float(np.hypot(share * value, least))
    read[:, range(size), range(size)] = np.nan
    names = tuple(str(number + 1) for number in range(size))
    return Readings(names, ("at rest", "at full"), read, off, meter=(share, least))


def _reached(linked: np.ndarray) -> np.ndarray:
    reached = linked | np.eye(len(linked), dtype=bool)
    for _ in range(len(linked)):
        reached = (reached.astype(int) @ reached.astype(int)) > 0
    return reached


def module(kind: str, rng: np.random.Generator) -> Module:
    """One of a kind, with figures by chance and terminals in an order by chance."""
    made = Module()
    ends: list[int] = []
    protected = bool(rng.random() < 0.5)
    same_way = bool(rng.random() < 0.7)
    count = 1 if kind.startswith("single") else 3 if kind.startswith("three") else 2
    for number in range(count):
        if number and kind.startswith("shared both"):
            first, second = ends[0], ends[1]
        elif number and kind.startswith("shared"):
            first, second = ends[0], made.terminal()
        else:
            first, second = made.terminal(), made.terminal()
        ends += [first, second]
        made.track(rng, first, second, made.terminal(), same_way or number == 0, protected)
    if "contact of its own" in kind:
        made.contact(rng, made.terminal(), made.terminal())
    elif "contact" in kind:
        made.contact(rng, made.terminal(), ends[0])
    return shuffled(made, rng)


def shuffled(made: Module, rng: np.random.Generator) -> Module:
    """The same with its terminals renumbered."""
    order = rng.permutation(made.terminals).tolist()

    def new(node: object) -> object:
        return order[node] if isinstance(node, int) else ("touch", order[node[1]])  # type: ignore[index]

    return Module(
        [(frozenset(order[end] for end in ends), order[wiper]) for ends, wiper in made.tracks],
        {order[wiper]: (order[first], rest, full) for wiper, (first, rest, full) in made.shares.items()},
        [(frozenset(order[end] for end in ends), closed) for ends, closed in made.contacts],
        [(new(one), new(other), *ohm) for one, other, *ohm in made.elements],  # type: ignore[misc]
        made.terminals,
    )


def no_potentiometer(kind: str, rng: np.random.Generator) -> np.ndarray:
    """(2, terminals, terminals): true readings of something that is none."""
    made = Module(terminals=6)
    for base in (0, 3):
        arms = rng.uniform(300.0, 9000.0, 3)
        drift = rng.uniform(0.5, 2.0, 3) if kind in ("star that shifts", "every reading drifts") else np.ones(3)
        for arm in range(3):
            made.elements.append((("touch", base), base + arm, float(arms[arm]), float(arms[arm] * drift[arm])))
    if kind == "variable resistors":
        made.elements = [
            (base, base + 1, float(rng.uniform(100, 900)), float(rng.uniform(1500, 4000))) for base in (0, 2, 4)
        ]
    return made.ohm()
