"""What makes one free way better than another: plain directions, room around, onward rather than back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.linkage.turning import Array
from conversion.loom.board.limbs import Limb
from conversion.loom.board.room import Room, Tried
from conversion.loom.board.touching import line_distance_mm
from conversion.loom.board.ways import plainness

_BACK = 0.3
_BEYOND_EDGE_PER_MM = 0.01
_BOX_AS_MM = 60.0


@dataclass(frozen=True, slots=True)
class Taste:
    """What layouts are tried with; found by looking at them.

    Attributes:
        crowd: Weight of room around; more spreads the loom, less squares it.
        look_ahead: Share of what hangs beyond a limb that has to fit on the board as if it went straight on.
        centred: Whether the trunk is meant to lie in the middle of the board.
    """

    crowd: float = 0.8
    look_ahead: float = 0.5
    centred: bool = False


@dataclass(frozen=True)
class Prospect:
    """What is known beside what lies there.

    Attributes:
        limb: To be laid.
        came: Last leg of the way to its station, (2, 2); None at the trunk. [mm]
        places: Stations that something is still to be laid from, (n, 2). [mm]
        weights_mm: How much of it, (n,). [mm]
        size_mm: Greatest width and height of the whole. [mm]
        taste: What is preferred.
    """

    limb: Limb
    came: Array | None
    places: Array
    weights_mm: Array
    size_mm: tuple[float, float]
    taste: Taste


def costs(room: Room, tried: Tried, prospect: Prospect) -> Array:
    """The cost of each way, (ways,), less is better."""
    limb = prospect.limb
    first = _unit(tried.legs[:, 0, 2:] - tried.legs[:, 0, :2])
    last = _unit(tried.legs[:, -1, 2:] - tried.legs[:, -1, :2])
    ahead = tried.legs[:, -1, 2:] + 0.5 * limb.reach_mm * last
    soft_mm = 30.0 + 0.4 * limb.reach_mm + 0.25 * limb.length_mm
    crowd = _crowd(room, ahead, soft_mm) + _pull(ahead, prospect.places, prospect.weights_mm, soft_mm)
    if prospect.came is None:
        back = np.abs(first[:, 0])
    else:
        back = 1.0 - (first * _unit(np.diff(prospect.came, axis=0))).sum(axis=1)
    farthest = tried.legs[:, -1, 2:] + prospect.taste.look_ahead * limb.reach_mm * last
    low, high = room.reach()
    size = np.maximum(high, farthest) - np.minimum(low, farthest)
    if prospect.taste.centred:
        size[:, 1] = np.maximum(size[:, 1], 2 * np.abs(farthest[:, 1]))
    beyond = np.maximum(size - np.array(prospect.size_mm), 0.0).sum(axis=1)
    plain = plainness(np.arctan2(last[:, 1], last[:, 0]))
    total: Array = plain + prospect.taste.crowd * crowd + _BACK * back + _BEYOND_EDGE_PER_MM * beyond
    return total


def _crowd(room: Room, points: Array, soft_mm: float) -> Array:
    """How much lies about each point: lengths and boxes, the nearer the more."""
    lines, boxes = room.lying()
    lengths = np.linalg.norm(lines[:, 2:] - lines[:, :2], axis=1)
    away = line_distance_mm(np.concatenate([points, points], axis=1), lines)
    crowd = (lengths * soft_mm / (away**2 + soft_mm**2)).sum(axis=1)
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2
    total: Array = crowd + _pull(points, middles, np.full(len(middles), _BOX_AS_MM), soft_mm)
    return total


def _pull(points: Array, places: Array, weights_mm: Array, soft_mm: float) -> Array:
    away = ((points[:, None] - places[None]) ** 2).sum(axis=2)
    total: Array = (weights_mm * soft_mm / (away + soft_mm**2)).sum(axis=1)
    return total


def _unit(vectors: Array) -> Array:
    unit: Array = vectors / np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-9)
    return unit
