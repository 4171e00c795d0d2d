"""Laying the branches and tails of one piece of loom beside its trunk, the largest first.

Each takes the best way that nothing is in; where there is none, what is in the way of the best is taken up and laid
again later. A bend in what is straight in the car comes after that, and lying over something else is the last resort.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from conversion.linkage.turning import Array
from conversion.loom.board.cost import Prospect, Taste, costs
from conversion.loom.board.limbs import Limb, limbs_of
from conversion.loom.board.room import Apart, Room, Tried, Truth
from conversion.loom.board.spine import Spine
from conversion.loom.board.tree import BoardRun, BoardTree, Leaf
from conversion.loom.board.ways import FINE_RAD, bent_legs, boxes_at, doubled_legs, points_of, straight_legs

ROOMY = Apart(lines_mm=16.0, boxes_mm=7.0, line_box_mm=8.0, angle_rad=np.radians(30.0))
TIGHT = Apart(lines_mm=8.0, boxes_mm=4.0, line_box_mm=6.0, angle_rad=np.radians(15.0))
CLOSE = Apart(lines_mm=3.0, boxes_mm=2.0, line_box_mm=2.0, angle_rad=np.radians(4.9))
BENT = ((bent_legs, TIGHT), (doubled_legs, TIGHT), (bent_legs, CLOSE), (doubled_legs, CLOSE))
# How often one thing may be taken up again for another.
TAKEN_UP_AT_MOST = 6
# More than these cannot leave one station in the plain directions; their housings get the small boxes.
CROWDED = 20
# After so many that lie over something, nothing is taken up or bent any more for another.
HOPELESS = 40


@dataclass(frozen=True)
class Laid:
    """How one limb lies.

    Attributes:
        points: Corners of its way, (k, 2). [mm]
        box: Of its housing, (4,); None for a run. [mm]
        over: That it lies over something.
    """

    points: Array
    box: Array | None
    over: bool = False


@dataclass
class Laying:
    """One piece of loom as it is being laid.

    Attributes:
        tree: What is laid.
        spine: The trunk's way.
        trunk: Stations along it.
        trunk_runs: Runs along it.
        size_mm: Greatest width and height; infinite where there is no limit. [mm]
        taste: What is preferred.
    """

    tree: BoardTree
    spine: Spine
    trunk: tuple[str, ...]
    trunk_runs: tuple[BoardRun, ...]
    size_mm: tuple[float, float]
    taste: Taste = field(default_factory=Taste)
    laid: dict[int, Laid] = field(default_factory=dict)
    at_mm: dict[str, Array] = field(default_factory=dict)
    trunk_points: list[Array] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._room = Room()
        self._number = {name: rank for rank, name in enumerate(self.tree.stations)}
        self.limbs = limbs_of(self.tree, self.trunk, self.trunk_runs)
        self._taken_up: dict[int, int] = {}
        self._over = 0
        self._lay_trunk()

    def run(self, give_up: bool = False) -> bool:
        """Lay everything; whether it was done: asked to give up, it ends at the first thing that would lie over."""
        waiting = [self._turn(index) for station in self.trunk for index in self.limbs.hung.get(station, ())]
        heapq.heapify(waiting)
        while waiting:
            _, index = heapq.heappop(waiting)
            limb = self.limbs.all[index]
            if index in self.laid or limb.start not in self.at_mm:
                continue
            for other in self._lay(index):
                heapq.heappush(waiting, self._turn(other))
            if give_up and self._over:
                return False
            if limb.end is not None:
                for below in self.limbs.hung.get(limb.end, ()):
                    heapq.heappush(waiting, self._turn(below))
        return True

    @property
    def over(self) -> int:
        """How many things lie over something."""
        return sum(laid.over for laid in self.laid.values())

    @property
    def blemishes(self) -> tuple[int, int, int]:
        """How much lies over something, is bent, and has a small box."""
        bent = sum(len(laid.points) > 2 for laid in self.laid.values())
        small = sum(
            laid.box is not None
            and isinstance(limb.what, Leaf)
            and laid.box[2] - laid.box[0] < limb.what.box_mm[0] - 1e-6
            for limb, laid in self.all_laid()
        )
        return self.over, bent, int(small)

    def all_laid(self) -> Iterator[tuple[Limb, Laid]]:
        """Branches and tails as they lie, from the trunk outward."""
        for index, limb in enumerate(self.limbs.all):
            yield limb, self.laid[index]

    def reach(self) -> tuple[Array, Array]:
        """Least and greatest x and y, (2,) each. [mm]"""
        return self._room.reach()

    def _turn(self, index: int) -> tuple[float, int]:
        return (-round(self.limbs.all[index].weight_mm, 6), index)

    def _lay_trunk(self) -> None:
        along = 0.0
        self.at_mm[self.trunk[0]] = self.spine.point(0.0)
        for run, start, end in zip(self.trunk_runs, self.trunk, self.trunk[1:], strict=False):
            points = self.spine.piece(along, along + run.length_mm)
            along += run.length_mm
            self.at_mm[end] = points[-1]
            self._room.add_lines(-2, points, run.thick_mm / 2, (self._number[start], self._number[end]))
            self.trunk_points.append(points)

    def _lay(self, index: int) -> list[int]:
        """Lay one limb; what was taken up for it."""
        limb = self.limbs.all[index]
        crowded = len(self.limbs.hung[limb.start]) > CROWDED
        boxes = [None] if isinstance(limb.what, BoardRun) else [limb.what.box_mm, limb.what.small_box_mm][crowded:]
        origin = self.at_mm[limb.start]
        straight = straight_legs(origin, limb.length_mm)
        for apart, box in [(ROOMY, boxes[0]), *((TIGHT, box) for box in boxes)]:
            if self._take_best(index, self._tried(limb, straight, box), apart):
                return []
        plain = self._tried(limb, straight, boxes[-1])
        hopeless = self._over >= HOPELESS
        if not hopeless and not crowded:
            taken_up = self._take_up(index, plain)
            if taken_up is not None:
                return taken_up
        fine = straight_legs(origin, limb.length_mm, FINE_RAD)
        if self._take_best(index, self._tried(limb, fine, boxes[-1]), CLOSE):
            return []
        for make, apart in BENT if not hopeless else ():
            legs = make(origin, limb.length_mm)
            if len(legs) and self._take_best(index, self._tried(limb, legs, boxes[-1]), apart):
                return []
        self._lay_over(index, plain)
        return []

    def _tried(self, limb: Limb, legs: Array, box: tuple[float, float] | None) -> Tried:
        boxes = None if box is None else boxes_at(legs, box)
        return Tried(legs, boxes, limb.what.thick_mm / 2, self._number[limb.start])

    def _take_best(self, index: int, tried: Tried, apart: Apart) -> bool:
        lines, boxes = self._room.in_the_way(tried, apart)
        free = ~(lines.any(axis=1) | boxes.any(axis=1)) & self._on_board(tried)
        if not free.any():
            return False
        cost = np.where(free, costs(self._room, tried, self._prospect(index)), np.inf)
        self._settle(index, tried, int(np.argmin(np.round(cost, 6))))
        return True

    def _prospect(self, index: int) -> Prospect:
        limb = self.limbs.all[index]
        above = self.limbs.leads_to.get(limb.start)
        came = self.laid[above].points[-2:] if above is not None and above in self.laid else None
        to_come: dict[str, float] = {}
        for station in self.at_mm:
            hung = self.limbs.hung.get(station, ())
            weight = sum(self.limbs.all[other].weight_mm for other in hung if other not in self.laid)
            if weight and station != limb.start:
                to_come[station] = weight
        places = np.array([self.at_mm[station] for station in to_come]).reshape(-1, 2)
        return Prospect(limb, came, places, np.array(list(to_come.values())), self.size_mm, self.taste)

    def _on_board(self, tried: Tried) -> Truth:
        low, high = self._room.reach()
        lows, highs = tried.reach()
        size = np.maximum(high, highs) - np.minimum(low, lows)
        # Where something had to go beyond the edge already, what lies within that is no worse.
        fits: Truth = np.all(size <= np.maximum(self.size_mm, high - low) + 1e-6, axis=1)
        return fits

    def _settle(self, index: int, tried: Tried, way: int, over: bool = False) -> None:
        limb, points = self.limbs.all[index], points_of(tried.legs[way])
        box = None if tried.boxes is None else tried.boxes[way]
        ends = (self._number[limb.start], -1 if limb.end is None else self._number[limb.end])
        self._room.add_lines(index, points, tried.half_mm, ends)
        if box is not None:
            self._room.add_box(index, box)
        if limb.end is not None:
            self.at_mm[limb.end] = points[-1]
        self.laid[index] = Laid(points, box, over)

    def _take_up(self, index: int, tried: Tried) -> list[int] | None:
        """Lay it where the least has to be taken up, and take that up; None where nothing may be."""
        lines, boxes = self._room.in_the_way(tried, TIGHT)
        fits, above = self._on_board(tried), self.limbs.above(index)
        best: tuple[float, int, list[int]] | None = None
        for way in np.flatnonzero(fits):
            hit = np.concatenate([self._room.line_owner[lines[way]], self._room.box_owner[boxes[way]]])
            owners = {int(owner) for owner in hit}
            if any(owner < 0 or owner in above or self._taken_up.get(owner, 0) >= TAKEN_UP_AT_MOST for owner in owners):
                continue
            cost = sum(self.limbs.all[owner].weight_mm * (1 + self._taken_up.get(owner, 0)) for owner in owners)
            if best is None or (round(cost, 6), int(way)) < best[:2]:
                best = (round(cost, 6), int(way), sorted(owners))
        if best is None:
            return None
        removed = [gone for owner in best[2] for gone in self._remove(owner)]
        for owner in best[2]:
            self._taken_up[owner] = self._taken_up.get(owner, 0) + 1
        self._settle(index, tried, best[1])
        return removed

    def _remove(self, index: int) -> list[int]:
        """Take up a limb and all beyond it; the ones that were taken up."""
        if index not in self.laid:
            return []
        self._room.remove(index)
        del self.laid[index]
        gone = [index]
        end = self.limbs.all[index].end
        if end is not None:
            self.at_mm.pop(end, None)
            for below in self.limbs.hung.get(end, ()):
                gone += self._remove(below)
        return gone

    def _lay_over(self, index: int, tried: Tried) -> None:
        lines, boxes = self._room.in_the_way(tried, TIGHT)
        hits = lines.sum(axis=1) + 3 * boxes.sum(axis=1) + np.where(self._on_board(tried), 0, 1000)
        self._settle(index, tried, int(np.argmin(hits)), over=True)
        self._over += 1
