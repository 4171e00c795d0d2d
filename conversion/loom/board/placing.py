"""Words beside the loom: each at a place where nothing lies, as near as can be to what it speaks of."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from conversion.linkage.turning import Array
from conversion.loom.board.touching import box_distance_mm, line_distance_mm, line_in_box

_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92)
_ROUND = tuple(np.array([math.cos(turn), math.sin(turn)]) for turn in np.radians(range(0, 360, 15)))
# Upright first, then slanting, then level.
_ORDER = (6, 18, 3, 9, 15, 21, 0, 12, 4, 8, 16, 20, 5, 7, 17, 19)


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
    best: tuple[float, Placed] | None = None
    half = np.array(words.size_mm) / 2
    for tried, led in _batches(words, ground):
        middles, anchors = tried[:, :2], tried[:, 2:]
        there = np.concatenate([middles - half, middles + half], axis=1)
        ways = np.concatenate([np.clip(anchors, there[:, :2], there[:, 2:]), anchors], axis=1) if led else None
        hits = _hits(there, ways, _near(ground, there, anchors), _near_boxes(boxes, there, anchors, ground), leaders)
        least = int(np.argmin(hits))
        clear = bool(hits[least] < 1e-9)
        placed = Placed(there[least], None if ways is None else ways[least].reshape(2, 2), clear)
        if clear:
            return placed
        if best is None or hits[least] < best[0]:
            best = (float(hits[least]), placed)
    assert best is not None, "there is always a place to try"
    return best[1]


def _batches(words: Words, ground: Ground) -> Iterator[tuple[Array, bool]]:
    """Places to try, the nearest first: middle of the words and what they speak of, (n, 4); and whether led to."""
    yield np.array(list(_beside(words, ground))), False
    step = max(2.0 * ground.gap_mm, 0.5 * words.size_mm[1])
    for number in range(1, max(2, int(ground.far_mm / step))):
        yield _away(words, number * step), True


def _near(ground: Ground, there: Array, anchors: Array) -> Ground:
    """The ground with only the lines that some place to try could come near."""
    low = np.minimum(there[:, :2].min(axis=0), anchors.min(axis=0))
    high = np.maximum(there[:, 2:].max(axis=0), anchors.max(axis=0))
    reach = (ground.half_mm + 2 * ground.gap_mm)[:, None]
    lines = ground.lines
    lows = np.minimum(lines[:, :2], lines[:, 2:]) - reach
    highs = np.maximum(lines[:, :2], lines[:, 2:]) + reach
    near = np.all(lows <= high, axis=1) & np.all(highs >= low, axis=1)
    return replace(ground, lines=lines[near], half_mm=ground.half_mm[near])


def _near_boxes(boxes: Array, there: Array, anchors: Array, ground: Ground) -> Array:
    low = np.minimum(there[:, :2].min(axis=0), anchors.min(axis=0)) - 2 * ground.gap_mm
    high = np.maximum(there[:, 2:].max(axis=0), anchors.max(axis=0)) + 2 * ground.gap_mm
    near: Array = boxes[np.all(boxes[:, :2] <= high, axis=1) & np.all(boxes[:, 2:] >= low, axis=1)]
    return near


def _hits(there: Array, ways: Array | None, ground: Ground, boxes: Array, leaders: Array) -> Array:
    """How much each place has against it; nothing where it is clear."""
    hits = line_in_box(ground.lines, there, ground.half_mm[:, None] + ground.gap_mm).sum(axis=0).astype(float)
    hits += (box_distance_mm(there, boxes) < ground.gap_mm - 1e-9).sum(axis=1)
    hits += line_in_box(leaders, there, 0.5 * ground.gap_mm).sum(axis=0)
    outside = np.any(there[:, :2] < ground.inside[:2], axis=1) | np.any(there[:, 2:] > ground.inside[2:], axis=1)
    hits += 100.0 * outside
    if ways is not None:
        hits += line_in_box(ways, boxes, 0.3 * ground.gap_mm).sum(axis=1)
        # What the words speak of lies at the leader's end, and is no hindrance.
        own = line_distance_mm(ways[:, [2, 3, 2, 3]], ground.lines) <= ground.half_mm
        hits += 0.2 * ((line_distance_mm(ways, ground.lines) < ground.half_mm + 0.3) & ~own).sum(axis=1)
        hits += 2.0 * (line_distance_mm(ways, leaders) < 0.5).sum(axis=1)
    return hits


def _beside(words: Words, ground: Ground) -> Iterator[tuple[float, float, float, float]]:
    """Middle of the words and the point that they speak of: close to the line, on either side of it."""
    start, end = words.along
    half_thick = _thickness_at(words, ground)
    length = math.dist(start, end)
    if length < 1e-6:
        for out in (_ROUND[index] for index in _ORDER):
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


def _away(words: Words, far_mm: float) -> Array:
    """All round, so far from the line: middle of the words and the point that they speak of, (n, 4)."""
    start, end = words.along
    shares = np.array([0.5, 0.3, 0.7] if math.dist(start, end) > 1e-6 else [0.5])
    at = np.repeat(start + shares[:, None] * (end - start), len(_ROUND), axis=0)
    outs = np.tile(np.array(_ROUND), (len(shares), 1))
    support = np.min(np.array(words.size_mm) / 2 / np.maximum(np.abs(outs), 1e-9), axis=1)
    return np.concatenate([at + (far_mm + support)[:, None] * outs, at], axis=1)


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
