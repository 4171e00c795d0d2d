"""Ways of faults that are no resistance: a supply that gives other volts, a track that stays, something that moved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Any

import numpy as np

from conversion.circuit import Network, Source, solve
from conversion.faults.believing import Array, Flags
from conversion.faults.circuit_ways import CircuitWays
from conversion.faults.fault import Held, Moved, Resupplied
from conversion.faults.ways import still_ways

_VOLTS = 5
"""Places at which a supply is looked at between its least and greatest volts: a limit or clamp may bend the way."""


def resupplied_ways(
    network: Network, index: int, change: Resupplied, inputs: Sequence[str], sound: Array
) -> CircuitWays:
    """A supply between its least and greatest volts, or nothing.

    Args:
        network: The circuit, sound.
        index: Number of the fault.
        change: What became of the supply.
        inputs: Nodes that are read, in the order of the tracks.
        sound: What they read while sound; (positions, tracks). [V]
    """
    if change.volts is None:
        return _standing(index, _read(network.without(change.source), inputs), sound)
    source = network.element(change.source)
    assert isinstance(source, Source), "the fault names a supply"
    least, most = change.volts
    # From the end that is nearer to what it should be, so that the way begins where the supply is least wrong.
    nominal = float(np.mean(source.volts))
    first, last = (most, least) if abs(most - nominal) <= abs(least - nominal) else (least, most)
    steps = 1 if least == most else _VOLTS
    # All steps as one circuit with so many times the positions: put together and solved once.
    given = np.repeat(np.linspace(first, last, steps), network.positions)
    circuit = _repeated(network, steps)
    repeated = circuit.element(change.source)
    assert isinstance(repeated, Source), "repeating keeps the kind"
    resupplied = circuit.with_elements(replace(repeated, volts=given))
    volts = _read(resupplied, inputs).reshape(steps, network.positions, len(inputs))
    if steps == 1:
        return _standing(index, volts[0], sound)
    corners = np.where(np.isnan(volts), sound, volts)
    ways = still_ways(np.full(steps - 1, index), corners[:-1], corners[1:])
    return CircuitWays(ways, corners[-1][None], np.isnan(volts[-1])[None])


def held_ways(index: int, change: Held, tracks: tuple[str, ...], sound: Array) -> CircuitWays:
    """Tracks that stay where they once were, for every place where they can have been and every place of the rest.

    ``tracks`` are the first of those that are read; what the other sensor reads moves on.

    Fully grown is a track that stays where it read at the end of the sweep.
    """
    held = np.zeros(sound.shape[1], dtype=bool)
    held[: len(tracks)] = [name in change.tracks for name in tracks]
    positions = len(sound)
    # Way i: the held tracks between what they read at position i and at the next one; the others as they are.
    start = np.broadcast_to(sound, (positions - 1, *sound.shape)).copy()
    end = start.copy()
    start[:, :, held] = sound[:-1, None, held]
    end[:, :, held] = sound[1:, None, held]
    grown = np.where(held, sound[-1], sound)
    return CircuitWays(still_ways(np.full(positions - 1, index), start, end), grown[None], _nowhere(grown))


def moved_ways(index: int, change: Moved, own: tuple[str, ...], position: Array, sound: Array) -> CircuitWays:
    """The whole sensor stands elsewhere than the foot says; the circuit is sound.

    Args:
        index: Number of the fault.
        change: Where it stands.
        own: Its tracks, the first of those that are read; the other sensor's move on.
        position: Of the sweep; (positions,).
        sound: What is read while sound; (positions, tracks). [V]
    """
    if change.follows:
        return _standing(index, sound, sound)
    if change.position is None:
        return held_ways(index, Held(own), own, sound)
    volts = sound.copy()
    for track in range(len(own)):
        volts[:, track] = np.interp(change.position, position, sound[:, track])
    return _standing(index, volts, sound)


def _repeated(network: Network, times: int) -> Network:
    """The circuit with its positions so many times one after the other."""
    elements = []
    for element in network.elements:
        figures = {field.name: getattr(element, field.name) for field in fields(element)}
        along: dict[str, Any] = {name: np.tile(value, times) for name, value in figures.items() if np.ndim(value)}
        elements.append(replace(element, **along))
    return replace(network, elements=tuple(elements))


def _read(network: Network, inputs: Sequence[str]) -> Array:
    return np.asarray(solve(network).volts[:, network.indices(list(inputs))])


def _standing(index: int, volts: Array, sound: Array) -> CircuitWays:
    floats = np.isnan(volts)
    known = np.where(floats, sound, volts)
    return CircuitWays(still_ways(np.array([index]), known[None], known[None]), known[None], floats[None])


def _nowhere(volts: Array) -> Flags:
    return np.zeros((1, *volts.shape), dtype=bool)
