"""The loom as it lies on the board, every length true, nothing crossing anything."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import groupby, product

import numpy as np

from conversion.linkage.turning import Array
from conversion.loom.board.cost import Taste
from conversion.loom.board.search import HOPELESS, Laying
from conversion.loom.board.spine import spine_of
from conversion.loom.board.tree import BoardTree, Leaf, trunk_of

BORDER_MM = 25.0
BETWEEN_PIECES_MM = 60.0
# Rows of a trunk that is longer than its board, as shares of the board's height.
_ROWS_APART = (0.5, 0.35, 0.7, 0.2)
_TALLER = (1.25, 1.6, 2.5, 4.0)
ROWS_APART_MM = 40.0
"""Least between two rows of a trunk, which housings have to hang in: a board too low for its rows is taken larger."""

TASTES = (Taste(), Taste(look_ahead=1.0, centred=True), Taste(crowd=0.4, look_ahead=1.0), Taste(crowd=1.5))
TASTES_OF_MANY = (Taste(), Taste(crowd=3.0), Taste(crowd=8.0))
FEW = 40
"""Runs of a loom whose layout is tried again until it has no blemish, and on every size of board; of a larger one the
first is taken in which nothing lies over anything."""


@dataclass(frozen=True)
class Fold:
    """A bend that is there on the board only; in the car the loom is straight there.

    Attributes:
        what: Name of the run or of the housing whose tail is bent.
        at_mm: Where, (2,). [mm]
        turn_deg: By how much. [°]
    """

    what: str
    at_mm: Array
    turn_deg: float


@dataclass(frozen=True)
class Layout:
    """Where everything lies; x to the right, y up, from the board's lower left corner.

    Attributes:
        runs: Corners of each run from its first station to its second, (k, 2). [mm]
        tails: Corners of each tail from its station outward, (k, 2). [mm]
        boxes: Box of each housing: least x and y, greatest x and y, (4,). [mm]
        small: Housings whose box is the small one.
        stations: Place of each, (2,). [mm]
        trunks: Stations along the trunk of each piece of the loom.
        folds: Bends of the board.
        over: What lies over something else, because no way beside it was found.
        width_mm: Of the board. [mm]
        height_mm: Of the board. [mm]
        fits: Whether the described board is large enough; true where none is described.
    """

    runs: Mapping[str, Array]
    tails: Mapping[str, Array]
    boxes: Mapping[str, Array]
    small: frozenset[str]
    stations: Mapping[str, Array]
    trunks: tuple[tuple[str, ...], ...]
    folds: tuple[Fold, ...]
    over: tuple[str, ...]
    width_mm: float
    height_mm: float
    fits: bool = True


@dataclass
class _Gathered:
    runs: dict[str, Array] = field(default_factory=dict)
    tails: dict[str, Array] = field(default_factory=dict)
    boxes: dict[str, Array] = field(default_factory=dict)
    stations: dict[str, Array] = field(default_factory=dict)
    trunks: list[tuple[str, ...]] = field(default_factory=list)
    over: list[str] = field(default_factory=list)


def lay_board(tree: BoardTree, length_mm: float | None = None, height_mm: float | None = None) -> Layout:
    """Lay a loom at true scale: the longest way as a straight trunk, branches at multiples of 15°.

    Args:
        tree: Without a loop; see :func:`find_loop`.
        length_mm: Of the described board, level; None where none is described: the board is as large as needed. [mm]
        height_mm: The same, upright. [mm]

    Returns:
        The layout. Where the trunk is longer than the board it lies in rows, and what finds no straight way is bent;
        each such bend is among the folds. A board that is too small all the same is taken larger, and `fits` says so.

    Raises:
        ValueError: there is nothing to lay.

    Example:
        >>> from conversion.loom.board.tree import BoardRun, Leaf
        >>> tree = BoardTree(("a", "b"), (BoardRun("ab", ("a", "b"), 300.0),), (Leaf("K1", "a", 100.0),))
        >>> layout = lay_board(tree)
        >>> float(layout.stations["b"][0] - layout.stations["a"][0]), layout.folds
        (300.0, ())
    """
    pieces = tree.pieces()
    if not pieces:
        raise ValueError("there is nothing to lay on the board")
    width, left = math.inf, math.inf
    if length_mm is not None and height_mm is not None:
        width, left = length_mm - 2 * BORDER_MM, height_mm - 2 * BORDER_MM
    gathered, foot, widest = _Gathered(), 0.0, 0.0
    for piece in pieces:
        laying = _lay_piece(piece, width, max(left, 1.0))
        low, high = laying.reach()
        _gather(gathered, laying, np.array([-low[0], foot - high[1]]))
        foot -= high[1] - low[1] + BETWEEN_PIECES_MM
        left -= high[1] - low[1] + BETWEEN_PIECES_MM
        widest = max(widest, high[0] - low[0])
    high_mm = -foot - BETWEEN_PIECES_MM
    needed = (widest + 2 * BORDER_MM, high_mm + 2 * BORDER_MM)
    if length_mm is None or height_mm is None:
        return _layout(tree, gathered, needed[0], needed[1], np.array([BORDER_MM, BORDER_MM + high_mm]), True)
    fits = bool(needed[0] <= length_mm + 1e-6 and needed[1] <= height_mm + 1e-6)
    board = np.maximum(needed, [length_mm, height_mm])
    corner = (board - [widest, high_mm]) / 2 + [0.0, high_mm]
    return _layout(tree, gathered, float(board[0]), float(board[1]), corner, fits)


def _lay_piece(piece: BoardTree, width_mm: float, height_mm: float) -> Laying:
    """The way of laying it with the fewest blemishes, on the smallest board on which nothing lies over anything."""
    trunk, runs = trunk_of(piece)
    total = sum(run.length_mm for run in runs)
    few = len(piece.runs) <= FEW
    tastes = TASTES if few else TASTES_OF_MANY
    best: Laying | None = None
    for size, ways in groupby(_attempts(total, width_mm, height_mm, _end_mm(piece, trunk), few), lambda each: each[0]):
        for (_, row, apart), taste in product(ways, tastes):
            laying = Laying(piece, spine_of(total, row, apart), trunk, runs, size, taste)
            # What lies over something is taken on no described board, and of a large loom only in the last attempt.
            if not laying.run(give_up=math.isfinite(size[0]) or (not few and taste is not tastes[-1])):
                continue
            if best is None or laying.blemishes < best.blemishes:
                best = laying
            if not any(best.blemishes) or laying.over >= HOPELESS or not (few or best.over):
                break
        if best is not None and not best.over:
            return best
    assert best is not None, "there is always a first attempt"
    return best


def _end_mm(piece: BoardTree, trunk: tuple[str, ...]) -> float:
    """What the housings at the trunk's ends may need beyond it. [mm]"""
    ends = (trunk[0], trunk[-1])
    return max((leaf.tail_mm + max(leaf.box_mm) for leaf in piece.leaves if leaf.station in ends), default=0.0)


def _attempts(
    total_mm: float, width_mm: float, height_mm: float, end_mm: float, few: bool
) -> Iterator[tuple[tuple[float, float], float | None, float]]:
    """Size of the board, length of a row, and what is between rows."""
    if math.isfinite(width_mm):
        row_mm = max(width_mm - 2 * end_mm, width_mm / 2)
        for taller in (1.0, *_TALLER) if few else (1.0,):
            size = (width_mm, height_mm * taller)
            if total_mm <= width_mm:
                yield size, None, 0.0
            rows = math.ceil(total_mm / row_mm)
            if rows > 1 and 0.9 * size[1] / rows >= ROWS_APART_MM:
                for share in _ROWS_APART if few else _ROWS_APART[:1]:
                    if (rows - 1) * share < 0.95:
                        yield size, row_mm, share * size[1]
                yield size, row_mm, 0.9 * size[1] / rows
    yield (math.inf, math.inf), None, 0.0


def _gather(gathered: _Gathered, laying: Laying, shift: Array) -> None:
    gathered.trunks.append(laying.trunk)
    gathered.stations |= {station: at + shift for station, at in laying.at_mm.items()}
    for run, points, start in zip(laying.trunk_runs, laying.trunk_points, laying.trunk, strict=False):
        gathered.runs[run.name] = (points if run.between[0] == start else points[::-1]) + shift
    for limb, laid in laying.all_laid():
        if isinstance(limb.what, Leaf):
            gathered.tails[limb.what.name] = laid.points + shift
            assert laid.box is not None, "a housing has a box"
            gathered.boxes[limb.what.name] = laid.box + np.tile(shift, 2)
        else:
            onward = limb.what.between[0] == limb.start
            gathered.runs[limb.what.name] = (laid.points if onward else laid.points[::-1]) + shift
        if laid.over:
            gathered.over.append(limb.what.name)


def _layout(tree: BoardTree, found: _Gathered, width: float, height: float, corner: Array, fits: bool) -> Layout:
    runs = {run.name: found.runs[run.name] + corner for run in tree.runs}
    tails = {leaf.name: found.tails[leaf.name] + corner for leaf in tree.leaves}
    boxes = {leaf.name: found.boxes[leaf.name] + np.tile(corner, 2) for leaf in tree.leaves}
    small = frozenset(leaf.name for leaf in tree.leaves if _width(boxes[leaf.name]) < leaf.box_mm[0] - 1e-6)
    folds = tuple(fold for name, points in [*runs.items(), *tails.items()] for fold in _folds(name, points))
    stations = {name: found.stations[name] + corner for name in tree.stations if name in found.stations}
    return Layout(
        runs, tails, boxes, small, stations, tuple(found.trunks), folds, tuple(found.over), width, height, fits
    )


def _width(box: Array) -> float:
    return float(box[2] - box[0])


def _folds(name: str, points: Array) -> Iterator[Fold]:
    for before, at, after in zip(points, points[1:], points[2:], strict=False):
        (ax, ay), (bx, by) = at - before, after - at
        turn = math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))
        if abs(turn) > 1e-6:
            yield Fold(name, at, turn)
