"""The board at its true size: the loom as it lies there, its clips and housings, and words beside everything."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString

from conversion.drawings.board_strip import strip_shapes
from conversion.drawings.board_words import SMALL_MM, Block, block, housing_lines, run_block, splices_at, station_block
from conversion.fit.shapes import Circle, Line, Purpose, Shape, TemplateSheet, Text
from conversion.linkage.turning import Array
from conversion.loom.board.placing import Ground, Words, place_words
from conversion.plan import Plan
from conversion.plan.loom.board import STRIP_MM, BoardPlan

LEAST_WIDTH_MM = 900.0
"""Of the sheet: what is told along its lower edge needs as much. [mm]"""

NODE_MM = 2.5
"""Radius of a station's mark beyond the loom. [mm]"""

SPLICE_MM = 5.0
BAND_MM, BAND_OFF_MM = 10.0, 28.0
"""Length of the place for labels on a tail, and how far its middle is from the housing. [mm]"""

CLIP_MM = 3.5
"""How far the stroke of a clip stands out beyond the loom on either side. [mm]"""

_GAP_MM = 3.0
_FAR_MM = 450.0
_THINNEST_MM = 2.0


def board_sheet(plan: Plan) -> TemplateSheet:
    """The sheet of a plan's loom; lower left corner of the board at the origin.

    Raises:
        Missing: the loom cannot be laid; see :func:`~conversion.plan.loom.board.board_plan`.
    """
    board = plan.board
    layout = board.layout
    width, height = max(layout.width_mm, LEAST_WIDTH_MM), layout.height_mm + STRIP_MM
    up = np.array([0.0, STRIP_MM])
    loom = [shape.moved(up) for shape in (*_outlines(board), *_centres(board), *_marks(plan))]
    boxes = [shape.moved(up) for shape in _boxes(plan)]
    words = [shape.moved(up) for shape in _words(plan, np.array([6.0, 4.0, width - 6.0, layout.height_mm - 6.0]))]
    edge = Line(np.array([[0, 0], [width, 0], [width, height], [0, height]], float), Purpose.BOARD, closed=True)
    title = f"{plan.description.conversion.title}: board of the loom"
    return TemplateSheet("board", title, (edge, *loom, *boxes, *words, *strip_shapes(plan, width)), width, height)


def thick_mm(board: BoardPlan) -> dict[str, float]:
    """How thick each run and tail is drawn, by name of the run or the housing. [mm]"""
    found = {run.name: run.thick_mm for run in board.tree.runs} | {
        leaf.name: leaf.thick_mm for leaf in board.tree.leaves
    }
    return {name: max(thick, _THINNEST_MM) for name, thick in found.items()}


def station_thick_mm(board: BoardPlan) -> dict[str, float]:
    """The thickest of what meets at each station. [mm]"""
    thick, found = thick_mm(board), dict.fromkeys(board.layout.stations, _THINNEST_MM)
    for run in board.tree.runs:
        for station in run.between:
            found[station] = max(found[station], thick[run.name])
    for leaf in board.tree.leaves:
        found[leaf.station] = max(found[leaf.station], thick[leaf.name])
    return found


def _outlines(board: BoardPlan) -> Iterator[Line]:
    """The loom as thick as it is, as one outline."""
    thick = thick_mm(board)
    parts = [
        LineString(points).buffer(thick[name] / 2, quad_segs=6)
        for name, points in (*board.layout.runs.items(), *board.layout.tails.items())
    ]
    # A tail ends at its housing, and not with a round end inside it.
    boxes = shapely.union_all([shapely.box(*box) for box in board.layout.boxes.values()])
    whole = shapely.union_all(parts).difference(boxes)
    for area in getattr(whole, "geoms", [whole]):
        for ring in (area.exterior, *area.interiors):
            yield Line(np.array(ring.coords)[:-1], Purpose.LOOM, closed=True)


def _centres(board: BoardPlan) -> Iterator[Line]:
    """The middle of every run and tail, as long as it is."""
    for points in (*board.layout.runs.values(), *board.layout.tails.values()):
        yield Line(points, Purpose.CENTRE)


def _marks(plan: Plan) -> Iterator[Shape]:
    """Stations, splices, clips, and where the labels of a tail's wires go."""
    board, thick = plan.board, thick_mm(plan.board)
    at_station = station_thick_mm(board)
    for station, at in board.layout.stations.items():
        yield Circle(at, at_station[station] / 2 + NODE_MM, Purpose.MARK)
        if splices_at(plan, station):
            reach = at_station[station] / 2 + SPLICE_MM
            yield Line(at + reach * np.array([[1, 0], [0, 1], [-1, 0], [0, -1]]), Purpose.HOUSING, closed=True)
    for name, points in board.layout.runs.items():
        for along in plan.bundles[name].clips:
            at, way = point_along(points, along)
            across = (thick[name] / 2 + CLIP_MM) * np.array([-way[1], way[0]])
            yield Line(np.array([at - across, at + across]), Purpose.CLIP)
    for name, points in board.layout.tails.items():
        length = way_length(points)
        if length > 1.5 * BAND_OFF_MM:
            at, way = point_along(points, length - BAND_OFF_MM)
            on, across = BAND_MM / 2 * way, (thick[name] / 2 + 1.5) * np.array([-way[1], way[0]])
            corners = [at + on + across, at - on + across, at - on - across, at + on - across]
            yield Line(np.array(corners), Purpose.MARK, closed=True)
    for fold in board.layout.folds:
        yield Circle(fold.at_mm, thick[fold.what] / 2 + 4.0, Purpose.MARK)


def _boxes(plan: Plan) -> Iterator[Shape]:
    board = plan.board
    for name, box in board.layout.boxes.items():
        low, high = box[:2], box[2:]
        corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
        yield Line(corners, Purpose.HOUSING, closed=True)
        small = name in board.layout.small
        words = block(name, first_mm=3.5) if small else housing_lines(board.hung[name], high[0] - low[0] - 4.0)
        yield from _set(words, (low + high) / 2)


def _words(plan: Plan, inside: Array) -> Iterator[Shape]:
    """Words beside runs, stations and folds; what finds no free place near by is led to."""
    board = plan.board
    thick, at_station = thick_mm(board), station_thick_mm(board)
    wanted: list[tuple[Block, Array]] = []
    for station, at in board.layout.stations.items():
        wanted.append((station_block(plan, station), np.array([at, at])))
    for name, points in board.layout.runs.items():
        wanted.append((run_block(plan, name), longest_leg(points)))
    for number, fold in enumerate(board.layout.folds, 1):
        said = f"fold {number}: bent on the board only, straight in the car"
        wanted.append((block(said, first_mm=SMALL_MM), np.array([fold.at_mm, fold.at_mm])))
    for name in board.layout.over:
        points = board.layout.runs[name] if name in board.layout.runs else board.layout.tails[name]
        said = f"{name} lies over what is below: tie it up to get at that"
        wanted.append((block(said, first_mm=SMALL_MM), longest_leg(points)))
    ways = (*board.layout.runs.items(), *board.layout.tails.items())
    legs = [([*one, *two], thick[name] / 2 + 5.0) for name, points in ways for one, two in pairwise(points)]
    nodes = [([*at, *at], at_station[station] / 2 + SPLICE_MM) for station, at in board.layout.stations.items()]
    lines, half = zip(*legs, *nodes, strict=True)
    ground = Ground(
        np.array(lines),
        np.array(half),
        np.array(list(board.layout.boxes.values())).reshape(-1, 4),
        inside,
        _GAP_MM,
        _FAR_MM,
    )
    placed = place_words([Words(words.size_mm, along) for words, along in wanted], ground)
    for (written, _), place in zip(wanted, placed, strict=True):
        yield from _set(written, (place.box[:2] + place.box[2:]) / 2)
        if place.leader is not None:
            yield Line(place.leader, Purpose.MARK)


def _set(words: Block, middle: Array) -> Iterator[Text]:
    """The lines of a block about its middle."""
    x, top = float(middle[0]), float(middle[1]) + words.size_mm[1] / 2
    for (text, height), foot in zip(words.lines, words.feet_mm(), strict=True):
        yield Text(np.array([x, top - foot]), text, height)


def longest_leg(points: Array) -> Array:
    """The longest straight part of a way, (2, 2). [mm]"""
    legs = list(pairwise(points))
    return np.array(max(legs, key=lambda leg: round(math.dist(*leg), 6)))


def way_length(points: Array) -> float:
    """Length of a way through points. [mm]"""
    return sum(math.dist(one, two) for one, two in pairwise(points))


def point_along(points: Array, along_mm: float) -> tuple[Array, Array]:
    """Where a length along a way ends, and which way it goes on there, (2,) each. [mm]"""
    legs: Sequence[tuple[Array, Array]] = list(pairwise(points))
    for rank, (one, two) in enumerate(legs):
        length = math.dist(one, two)
        if along_mm <= length or rank == len(legs) - 1:
            way = (two - one) / max(length, 1e-9)
            return one + along_mm * way, way
        along_mm -= length
    raise ValueError("a way has at least two points")
