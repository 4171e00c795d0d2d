r"""From elements to matrices.

Everything that is not linear is written as a sum of currents that begin at some voltage, so that a network is

.. math:: G V + \sum_j u_j \max(0, w_j \cdot V + c_j) = I

A limit, a clamp, the knee of a drain and the rail that a follower draws from are one such *bend* each.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from conversion.circuit.network import (
    LEAST_OHM,
    Array,
    Clamp,
    Drain,
    Flags,
    Follower,
    Indices,
    Network,
    Numbers,
    Resistor,
    Source,
)


@dataclass(frozen=True)
class Bends:
    """The currents that begin at some voltage.

    Attributes:
        names: Of their elements; (bends,).
        into: u: which nodes they leave (+) and enter (−); (bends, nodes).
        slope: w; (positions, bends, nodes). [S]
        offset: c; (positions, bends). [A]
        touched: Nodes that must be determined for it to carry anything; (bends, nodes).
        follower: Number of the follower that it belongs to, or −1; (bends,).
        partners: Two that cannot both carry, as a supply cannot be at both of its limits; (couples, 2).
    """

    names: tuple[str, ...]
    into: Array
    slope: Array
    offset: Array
    touched: Flags
    follower: Indices
    partners: Indices

    def to_turn(self, wrong: Flags) -> Flags:
        """Which of those that are wrong to turn next: outputs, where there are any, before limits.

        What an output takes in must leave its upper rail before one can say whether the rail's supply is driven back;
        a supply that is taken for blocked too early leaves the rail without any conductance.
        """
        outputs = wrong & (self.follower >= 0)
        return np.where(outputs.any(axis=1, keepdims=True), outputs, wrong)

    def turned(self, on: Flags, wrong: Flags) -> Flags:
        """Turn those that are wrong; of two partners the one that was just turned stays; (items, bends)."""
        new = on ^ wrong
        for pair in (self.partners, self.partners[:, ::-1]):
            one, other = pair.T
            new[:, other] &= ~(new[:, one] & wrong[:, one] & ~wrong[:, other])
        return new


@dataclass(frozen=True)
class Followers:
    """The dependent sources; (followers,) or (positions, followers)."""

    out: Indices
    plus: Indices
    minus: Indices
    ratio: Array
    siemens: Array
    least_v: Array


@dataclass(frozen=True)
class Assembled:
    """A network as arrays.

    Attributes:
        pairs: Conductance between each two nodes, of resistors and sources; (positions, nodes, nodes). [S]
        knees: The same, of drains below their knee; (positions, nodes, nodes). [S]
        amps: Into each node, of sources; (positions, nodes). [A]
        drains: Start, end and current of those without a knee. [A]
        followers: Dependent sources.
        bends: What is not linear.
        coupled: For each element but resistors, the nodes that it ties together; (elements, nodes).
    """

    pairs: Array
    knees: Array
    amps: Array
    drains: tuple[tuple[int, int, Array], ...]
    followers: Followers
    bends: Bends
    coupled: Flags


def siemens(ohm: Numbers) -> Array:
    """Conductance of a resistance, with the least that a resistance is taken as."""
    return np.asarray(1.0 / np.maximum(ohm, LEAST_OHM))


def assemble(network: Network) -> Assembled:
    """The network as arrays."""
    positions, nodes = network.positions, len(network.nodes)
    pairs, knees = np.zeros((2, positions, nodes, nodes))
    amps = np.zeros((positions, nodes))
    drains: list[tuple[int, int, Array]] = []
    coupled = [network.ends(each) for each in network.elements if not isinstance(each, Resistor)]
    for each in network.elements:
        match each:
            case Resistor():
                _join(pairs, network.index(each.a), network.index(each.b), siemens(each.ohm))
            case Source():
                plus, minus, g = network.index(each.plus), network.index(each.minus), siemens(each.ohm)
                _join(pairs, plus, minus, g)
                amps[:, plus] += g * each.volts
                amps[:, minus] -= g * each.volts
            case Drain():
                start, end = network.index(each.start), network.index(each.end)
                if each.knee_v is None:
                    drains.append((start, end, np.broadcast_to(np.asarray(each.amps, dtype=float), positions)))
                else:
                    _join(knees, start, end, np.asarray(each.amps / np.asarray(each.knee_v)))
            case Follower() | Clamp():
                pass
    ties = np.zeros((len(coupled), nodes), dtype=bool)
    for number, ends in enumerate(coupled):
        ties[number, ends] = True
    return Assembled(pairs, knees, amps, tuple(drains), _followers(network), _bends(network), ties)


def _join(pairs: Array, a: int, b: int, g: Array) -> None:
    if a != b:
        pairs[:, a, b] += g
        pairs[:, b, a] += g


def _followers(network: Network) -> Followers:
    found = [each for each in network.elements if isinstance(each, Follower)]

    def rows(values: list[Numbers]) -> Array:
        out = np.zeros((network.positions, len(values)))
        for column, value in enumerate(values):
            out[:, column] = value
        return out

    return Followers(
        network.indices([each.out for each in found]),
        network.indices([each.plus for each in found]),
        network.indices([each.minus for each in found]),
        rows([each.ratio for each in found]),
        rows([siemens(each.ohm) for each in found]),
        np.array([each.least_v for each in found], dtype=float),
    )


def _bends(network: Network) -> Bends:
    found = list(_each_bend(network))
    positions, nodes = network.positions, len(network.nodes)
    into, touched = np.zeros((len(found), nodes)), np.zeros((len(found), nodes), dtype=bool)
    slope, offset = np.zeros((positions, len(found), nodes)), np.zeros((positions, len(found)))
    for j, (_, leaves, enters, terms, constant, _) in enumerate(found):
        into[j, leaves] += 1.0
        into[j, enters] -= 1.0
        touched[j, [leaves, enters]] = True
        for node, factor in terms:
            slope[:, j, node] += factor
            touched[j, node] = True
        offset[:, j] = constant
    follower = np.array([each[5] for each in found], dtype=np.intp)
    names = tuple(each[0] for each in found)
    partners = [(j, j + 1) for j in range(len(names) - 1) if names[j] == names[j + 1]]
    return Bends(names, into, slope, offset, touched, follower, np.array(partners, dtype=np.intp).reshape(-1, 2))


def _bounded(amps: Numbers) -> Array:
    """A limit without bound as one that nothing reaches. [A]"""
    return np.maximum(amps, -1e30)


_Bend = tuple[str, int, int, list[tuple[int, Numbers]], Numbers, int]


def _each_bend(network: Network) -> Iterator[_Bend]:
    """Name, node left, node entered, terms of the slope, offset, number of the follower."""
    number = 0
    for each in network.elements:
        match each:
            case Source():
                plus, minus, g = network.index(each.plus), network.index(each.minus), siemens(each.ohm)
                if each.limit_a is not None:
                    # What would be given above the limit goes back.
                    yield each.name, plus, minus, [(plus, -g), (minus, g)], _bounded(g * each.volts - each.limit_a), -1
                if each.sink_a is not None:
                    yield each.name, minus, plus, [(plus, g), (minus, -g)], _bounded(-g * each.volts - each.sink_a), -1
            case Drain() if each.knee_v is not None:
                start, end = network.index(each.start), network.index(each.end)
                g = np.asarray(each.amps / np.asarray(each.knee_v))
                yield each.name, end, start, [(start, g), (end, -g)], -np.asarray(each.amps), -1
            case Follower():
                out, plus, minus = network.index(each.out), network.index(each.plus), network.index(each.minus)
                g, ratio = siemens(each.ohm), np.asarray(each.ratio)
                # Current that it gives, moved from the minus rail, where all of it is counted first, to the plus rail.
                terms: list[tuple[int, Numbers]] = [(plus, g * ratio), (minus, g * (1.0 - ratio)), (out, -g)]
                yield each.name, plus, minus, terms, 0.0, number
                number += 1
            case Clamp():
                node, to, g = network.index(each.node), network.index(each.to), siemens(each.ohm)
                yield each.name, node, to, [(node, g), (to, -g)], -g * each.volts, -1
            case _:
                pass
