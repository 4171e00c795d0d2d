"""Words beside the loom: each at a place where nothing lies, as near as can be to what it speaks of."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from conversion.linkage.turning import Array
from conversion.loom.board.touching import box_distance_mm, line_distance_mm, line_in_box

_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92)
_ROUND = tuple(math.radians(each) for each in range(0, 360, 15))


@dataclass(frozen=True)
class Words:
    """What is to be placed.

    Attributes:
        size_mm: Width and height of the block of words. [mm]
        along: The line that it speaks of, (2, 2); both ends equal for a point. [mm]
    """

    size_mm: tuple[float, float]
    along: Array


@dataclass(frozen=True)
class Placed:
    """Where a block of words stands.

    Attributes:
        box: Least x and y, greatest x and y, (4,). [mm]
        leader: From the words to what they speak of, (2, 2); None where they stand right beside it. [mm]
        clear: Whether nothing lies there.
    """

    box: Array
    leader: Array | None
    clear: bool


@dataclass(frozen=True)
class Ground:
    """Where words may stand.

    Attributes:
        lines: What they keep clear of, (n, 4). [mm]
        half_mm: Half the thickness of each line, (n,). [mm]
        boxes: The same of boxes, (m, 4). [mm]
        inside: Least x and y, greatest x and y of the sheet, (4,). [mm]
        gap_mm: To be left around words. [mm]
        far_mm: Farthest that words may be moved away, with a leader. [mm]
    """

    lines: Array
    half_mm: Array
    boxes: Array
    inside: Array
    gap_mm: float
    far_mm: float


def place_words(wanted: Sequence[Words], ground: Ground) -> list[Placed]:
    """Places in the order given; earlier ones have the better choice.

    Example:
        >>> ground = Ground(np.array([[0.0, 0, 100, 0]]), np.array([2.0]), np.empty((0, 4)),
        ...     np.array([-50.0, -50, 150, 50]), 1.0, 40.0)
        >>> (placed,) = place_words([Words((20.0, 4.0), np.array([[0.0, 0], [100, 0]]))], ground)
        >>> placed.box.round(3).tolist(), placed.leader, placed.clear
        ([40.0, 3.0, 60.0, 7.0], None, True)
    """
    boxes, leaders, found = ground.boxes.reshape(-1, 4), np.empty((0, 4)), []
    for words in wanted:
        placed = _place(words, ground, boxes, leaders)
        boxes = np.concatenate([boxes, placed.box[None]])
        if placed.leader is not None:
            leaders = np.concatenate([leaders, placed.leader.reshape(1, 4)])
        found.append(placed)
    return found


def _place(words: Words, ground: Ground, boxes: Array, leaders: Array) -> Placed:
    best: tuple[float, Array] | None = None
    for candidates, led in ((_beside(words, ground), False), (_away(words, ground), True)):
        tried = np.array(list(candidates))
        if not len(tried):
            continue
        middles, anchors = tried[:, :2], tried[:, 2:]
        half = np.array(words.size_mm) / 2
        there = np.concatenate([middles - half, middles + half], axis=1)
        hits = _hits(there, ground, boxes, leaders)
        ways = np.concatenate([_edge(there, anchors), anchors], axis=1) if led else None
        if ways is not None:
            hits = hits + line_in_box(ways, boxes, 0.3 * ground.gap_mm).sum(axis=1)
            hits = hits + 0.2 * (line_distance_mm(_shortened(ways), ground.lines) < ground.half_mm + 0.3).sum(axis=1)
            if len(leaders):
                hits = hits + 2 * (line_distance_mm(ways, leaders) < 0.5).sum(axis=1)
        clear = np.flatnonzero(hits < 1e-9)
        if len(clear):
            first = int(clear[0])
            return Placed(there[first], None if ways is None else ways[first].reshape(2, 2), True)
        worst = int(np.argmin(hits))
        if best is None or hits[worst] < best[0]:
            best = (float(hits[worst]), there[worst])
    assert best is not None, "there is always a place to try"
    return Placed(best[1], None, False)


def _hits(there: Array, ground: Ground, boxes: Array, leaders: Array) -> Array:
    hits = line_in_box(ground.lines, there, ground.half_mm[:, None] + ground.gap_mm).sum(axis=0)
    if len(boxes):
        hits = hits + (box_distance_mm(there, boxes) < ground.gap_mm - 1e-9).sum(axis=1)
    if len(leaders):
        hits = hits + line_in_box(leaders, there, 0.5 * ground.gap_mm).sum(axis=0)
    outside = np.any(there[:, :2] < ground.inside[:2], axis=1) | np.any(there[:, 2:] > ground.inside[2:], axis=1)
    total: Array = hits + 100.0 * outside
    return total


def _beside(words: Words, ground: Ground) -> Iterator[tuple[float, float, float, float]]:
    """Middle of the words and the point that they speak of: close to the line, on either side of it."""
    start, end = words.along
    half_thick = _thickness_at(words, ground)
    length = math.dist(start, end)
    if length < 1e-6:
        for angle in (_ROUND[index] for index in (6, 18, 3, 9, 15, 21, 0, 12, 4, 8, 16, 20, 5, 7, 17, 19)):
            out = np.array([math.cos(angle), math.sin(angle)])
            yield *(start + (half_thick + 2.0 * ground.gap_mm + _support(words, out)) * out), *start
        return
    way = (end - start) / length
    across = np.array([-way[1], way[0]]) if way[0] >= 0 else np.array([way[1], -way[0]])
    # What is kept clear about a box has square corners.
    clear = (half_thick + ground.gap_mm) * (abs(across[0]) + abs(across[1]))
    off = clear + abs(across[0]) * words.size_mm[0] / 2 + abs(across[1]) * words.size_mm[1] / 2
    for share in _SHARES:
        at = start + share * (end - start)
        for side in (1.0, -1.0):
            yield *(at + side * (off + 1e-6) * across), *at


def _away(words: Words, ground: Ground) -> Iterator[tuple[float, float, float, float]]:
    """Farther and farther from the line, all round."""
    start, end = words.along
    shares = (0.5, 0.3, 0.7) if math.dist(start, end) > 1e-6 else (0.5,)
    step = max(2.0 * ground.gap_mm, 0.5 * words.size_mm[1])
    for number in range(1, max(2, int(ground.far_mm / step))):
        for share in shares:
            at = start + share * (end - start)
            for angle in _ROUND:
                out = np.array([math.cos(angle), math.sin(angle)])
                yield *(at + (number * step + _support(words, out)) * out), *at


def _edge(there: Array, anchors: Array) -> Array:
    """The point of each box that is nearest to its anchor."""
    nearest: Array = np.clip(anchors, there[:, :2], there[:, 2:])
    return nearest


def _shortened(ways: Array) -> Array:
    """Leaders without their last part, which ends at what they speak of."""
    short = ways.copy()
    short[:, 2:] = ways[:, :2] + 0.9 * (ways[:, 2:] - ways[:, :2])
    return short


def _thickness_at(words: Words, ground: Ground) -> float:
    """Half the thickness of what lies along the words' own line. [mm]"""
    middle = words.along.mean(axis=0)
    if not len(ground.lines):
        return 0.0
    on_it = line_distance_mm(np.concatenate([middle, middle])[None], ground.lines)[0] < 1e-6
    return float(ground.half_mm[on_it].max(initial=0.0))


def _support(words: Words, out: Array) -> float:
    """From the middle of the words to their edge, in a direction. [mm]"""
    return float(np.min(np.array(words.size_mm) / 2 / np.maximum(np.abs(out), 1e-9)))
