"""Where the names of what is in the way stand in the moving picture: inside their outline, clear of the linkage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from conversion.drawings.font_widths import text_width_mm
from conversion.linkage.turning import Array
from conversion.pack.moving import Moving

_GRID = 15


@dataclass(frozen=True)
class Label:
    """A name and the middle of its base line. [mm]"""

    text: str
    x: float
    y: float


def place_labels(outlines: Sequence[Moving], kept_clear: Array, low: Array, high: Array, size: float) -> list[Label]:
    """A label for each name, where there is room for it in the picture.

    Args:
        outlines: Closed outlines; of several with one name the first that has room is named.
        kept_clear: Points that a label keeps away from, (points, 2). [mm]
        low: Corner of the picture where x and y are least, (2,). [mm]
        high: The opposite corner, (2,). [mm]
        size: Of the letters. [mm]
    """
    labels: list[Label] = []
    for outline in outlines:
        points = outline.places[0]
        # A name on something that moves would soon stand on something else.
        moves = len(outline.flat) > 1
        if moves or not outline.title or any(label.text == outline.title for label in labels):
            continue
        half = np.array([text_width_mm(outline.title, size) / 2.0, size / 2.0])
        middle = (np.maximum(points.min(axis=0), low) + np.minimum(points.max(axis=0), high)) / 2.0
        grid = _places(points, half, low, high)
        if not len(grid):
            continue
        beyond = np.maximum(np.abs(grid[:, None, :] - kept_clear) - half, 0.0)
        room = np.min(np.linalg.norm(beyond, axis=-1), axis=-1)
        # Room enough is enough: among such places the one nearest to the middle of the outline reads best.
        away = np.linalg.norm(grid - middle, axis=-1)
        best = int(np.argmax(np.minimum(room, 2.0 * size) * 1e3 - away))
        if room[best] < 0.3 * size:
            continue
        x, y = (float(value) for value in grid[best])
        labels.append(Label(outline.title, round(x, 2), round(y + 0.35 * size, 2)))
        spots = np.linspace(grid[best] - half * [1.0, 0.0], grid[best] + half * [1.0, 0.0], 9)
        kept_clear = np.concatenate([kept_clear, spots])
    return labels


def _places(points: Array, half: Array, low: Array, high: Array) -> Array:
    """Middles that a label may have: inside the outline, or beside one that is too small for it; (places, 2)."""
    first, last = points.min(axis=0), points.max(axis=0)
    if np.any(last - first < 2.0 * half) and np.all(last - first < 8.0 * half):
        middle, reach = (first + last) / 2.0, (last - first) / 2.0 + 1.3 * half
        grid = middle + reach * np.array([[0.0, 1.0], [0.0, -1.0], [1.0, 0.0], [-1.0, 0.0]])
        return np.asarray(grid[np.all((grid - half >= low) & (grid + half <= high), axis=-1)])
    start, end = np.maximum(first, low) + half, np.minimum(last, high) - half
    if np.any(start > end):
        return np.empty((0, 2))
    grid = np.stack(np.meshgrid(*np.linspace(start, end, _GRID).T), axis=-1).reshape(-1, 2)
    corners = grid[:, None, :] + half * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    return np.asarray(grid[np.all(_inside(corners, points), axis=-1)])


def _inside(places: Array, outline: Array) -> Array:
    """Whether places lie inside a closed convex outline, (...,) of (..., 2)."""
    sides = np.diff(outline, axis=0)
    arms = places[..., None, :] - outline[:-1]
    turns = sides[:, 0] * arms[..., 1] - sides[:, 1] * arms[..., 0]
    return np.asarray(np.all(turns >= -1e-9, axis=-1) | np.all(turns <= 1e-9, axis=-1))
