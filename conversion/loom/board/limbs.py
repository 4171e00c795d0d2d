"""What branches off the trunk of one piece of loom: each limb with all that hangs beyond it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from conversion.loom.board.tree import BoardRun, BoardTree, Leaf, other_end


@dataclass(frozen=True, slots=True)
class Limb:
    """Something to lay: a run with all that hangs beyond it, or a tail with its housing.

    Attributes:
        what: The run or the housing.
        start: Station that it leaves.
        end: Station at its other end; None for a tail.
        weight_mm: Length of all that hangs on it, itself included. [mm]
        reach_mm: Farthest that anything beyond its end gets from there. [mm]
    """

    what: BoardRun | Leaf
    start: str
    end: str | None
    weight_mm: float
    reach_mm: float

    @property
    def length_mm(self) -> float:
        """Its own. [mm]"""
        return self.what.length_mm if isinstance(self.what, BoardRun) else self.what.tail_mm

    @property
    def box_reach_mm(self) -> float:
        """How far its box may stand out beyond its end. [mm]"""
        return max(self.what.box_mm) if isinstance(self.what, Leaf) else 0.0


@dataclass
class Limbs:
    """All limbs of a piece, from the trunk outward.

    Attributes:
        all: Each limb; its place here is its number.
        hung: Numbers of the limbs that leave each station.
        leads_to: Number of the limb that leads to each station beyond the trunk.
    """

    all: list[Limb] = field(default_factory=list)
    hung: dict[str, list[int]] = field(default_factory=dict)
    leads_to: dict[str, int] = field(default_factory=dict)

    def above(self, index: int) -> set[int]:
        """The limbs that lead from the trunk to one."""
        found, station = set(), self.all[index].start
        while (parent := self.leads_to.get(station)) is not None:
            found.add(parent)
            station = self.all[parent].start
        return found

    def hang(self, limb: Limb) -> None:
        """Add one."""
        self.hung.setdefault(limb.start, []).append(len(self.all))
        self.all.append(limb)


def limbs_of(tree: BoardTree, trunk: Sequence[str], trunk_runs: Sequence[BoardRun]) -> Limbs:
    """The limbs of a piece, weighed with all that hangs on them."""
    limbs, at, leaves = Limbs(), tree.runs_at(), tree.leaves_at()
    on_trunk = {run.name for run in trunk_runs}
    waiting = list(trunk)
    for station in waiting:
        came = limbs.leads_to.get(station)
        for run in at.get(station, ()):
            if run.name in on_trunk or (came is not None and limbs.all[came].what is run):
                continue
            beyond = other_end(run, station)
            limbs.leads_to[beyond] = len(limbs.all)
            limbs.hang(Limb(run, station, beyond, run.length_mm, 0.0))
            waiting.append(beyond)
        for leaf in leaves.get(station, ()):
            limbs.hang(Limb(leaf, station, None, leaf.tail_mm + sum(leaf.box_mm), 0.0))
    # What hangs on a limb comes after it, so that from the last to the first each is whole when it is added.
    for index in range(len(limbs.all) - 1, -1, -1):
        limb = limbs.all[index]
        above = limbs.leads_to.get(limb.start)
        if above is not None:
            parent = limbs.all[above]
            limbs.all[above] = replace(
                parent,
                weight_mm=parent.weight_mm + limb.weight_mm,
                reach_mm=max(parent.reach_mm, limb.length_mm + limb.box_reach_mm + limb.reach_mm),
            )
    return limbs
