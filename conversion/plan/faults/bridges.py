"""Faults in which a sensor's conductor touches what it should not: a neighbour, the body, its supply, the battery."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from conversion.description.complaints import listed
from conversion.faults.fault import Fault, Joined, Kind
from conversion.plan.circuits.conductors import Conductor, Potential
from conversion.plan.circuits.laid_loom import ALONG, end_node
from conversion.plan.circuits.parts import BATTERY, CHASSIS, SensingCircuit
from conversion.plan.faults.places import Touch, find_touches
from conversion.wiring import SplicePoint

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

_NAMED = 6

_TO: dict[Potential, tuple[Kind, str, str]] = {
    "chassis": ("to-chassis", CHASSIS, "on the body"),
    "battery": ("to-battery", BATTERY, "on battery positive"),
}


def bridge_faults(plan: Plan, circuit: SensingCircuit, conductors: tuple[Conductor, ...]) -> Iterator[Fault]:
    """Bridges between sensor conductors, then each of them on its supply, on the body and on battery positive.

    A neighbour that carries battery positive or is grounded is no bridge of its own: it is where the conductor can
    come onto battery positive or onto the body, which it can elsewhere too.
    """
    touches = find_touches(plan, conductors)
    known = set(circuit.network.nodes)
    ours = [number for number, each in enumerate(conductors) if each.tracks(circuit.sensor)]
    supplied = {
        (number, supply): touches.get((min(number, supply), max(number, supply)), ())
        for number in ours
        for supply in _supplies_of(conductors, circuit, number)
    }
    own_supply = {frozenset(pair) for pair in supplied}
    for (first, second), where in touches.items():
        if not {first, second} & set(ours) or frozenset((first, second)) in own_supply:
            continue
        touch = where[0]
        if conductors[first].is_sensing and conductors[second].is_sensing and known.issuperset(touch.nodes):
            name = f"{touch.tags[0]} and {touch.tags[1]} bridged where they lie {touch.words}"
            tags = (*conductors[first].tags, *conductors[second].tags)
            yield Fault(
                name, "bridge", circuit.sensor, Joined(*touch.nodes), touch.group, tuple(t.words for t in where), tags
            )  # fmt: skip
    for (number, supply), where in supplied.items():
        yield _on_supply(circuit, conductors[number], conductors[supply], where, (number, supply))
    for number in (*ours, *_sharing(plan, circuit, conductors, ours)):
        for potential in _TO:
            if potential == "battery" or (number in ours and not conductors[number].is_grounded):
                yield _on_potential(circuit, conductors, number, potential, touches)


def _supplies_of(conductors: tuple[Conductor, ...], circuit: SensingCircuit, number: int) -> list[int]:
    """Conductors that feed the tracks of a conductor, itself left out."""
    tracks = set(conductors[number].tracks(circuit.sensor))
    return [
        other for other, each in enumerate(conductors)
        if other != number and tracks & set(each.serves(circuit.sensor, "supply"))
        and not conductors[number].serves(circuit.sensor, "supply")
    ]  # fmt: skip


def _sharing(
    plan: Plan, circuit: SensingCircuit, conductors: tuple[Conductor, ...], ours: list[int]
) -> tuple[int, ...]:
    """Conductors of the other sensor that hang on a supply of ours: what lifts them lifts ours."""
    unit = plan.description.control_unit
    shared = {
        role
        for supply in (unit[1].supplies.values() if unit else ())
        if any(role.startswith(f"{circuit.sensor}.") for role in supply.roles)
        for role in supply.roles
    }
    known = set(circuit.network.nodes)
    return tuple(
        number for number, each in enumerate(conductors)
        if number not in ours and shared & set(each.roles) and _node(each) in known
    )  # fmt: skip


def _on_supply(
    circuit: SensingCircuit, conductor: Conductor, supply: Conductor, where: tuple[Touch, ...], order: tuple[int, int]
) -> Fault:
    name = f"{conductor.words} on its supply {supply.words}"
    nodes, place = (_node(conductor), _node(supply)), ALONG
    if where:
        touch = where[0]
        name, place = f"{name} where they lie {touch.words}", touch.group
        nodes = touch.nodes if order[0] < order[1] else touch.nodes[::-1]
    places = tuple(touch.words for touch in where) or (ALONG,)
    tags = (*conductor.tags, *supply.tags)
    return Fault(name, "to-supply", circuit.sensor, Joined(*nodes), place, places, tags)


def _on_potential(
    circuit: SensingCircuit, conductors: tuple[Conductor, ...], number: int, potential: Potential,
    touches: dict[tuple[int, int], tuple[Touch, ...]],
) -> Fault:  # fmt: skip
    """A conductor on the body or on battery positive, with the neighbours that can bring it there."""
    kind, node, words = _TO[potential]
    conductor = conductors[number]
    found: list[tuple[Touch, str]] = []
    for (first, second), where in touches.items():
        other = second if first == number else first
        if number in (first, second) and not conductors[other].is_sensing and potential in conductors[other].potentials:
            found += [(touch, touch.tags[1 if first == number else 0]) for touch in where]
    # Housings before runs: there the distance is known.
    found.sort(key=lambda each: not each[0].group.startswith("housing"))
    name, place = f"{conductor.words} {words}", ALONG
    if found and found[0][0].group.startswith("housing"):
        touch, tags = found[0]
        name, place = f"{name}, from {tags} where they lie {touch.words}", touch.group
    together: dict[str, list[str]] = {}
    for touch, tags in found:
        together.setdefault(touch.words, []).append(tags)
    places = tuple(f"{_few(tags)} {words}" for words, tags in together.items()) or (ALONG,)
    return Fault(name, kind, circuit.sensor, Joined(_node(conductor), node), place, places, conductor.tags)


def _few(tags: list[str]) -> str:
    """Wires of a whole bundle would fill a page."""
    if len(tags) <= _NAMED:
        return listed(tags, "and")
    return f"{', '.join(tags[:_NAMED])} and {len(tags) - _NAMED} more"


def _node(conductor: Conductor) -> str:
    """A node of a conductor: where its first wire begins, at the control unit or at a splice."""
    wire = conductor.wires[0]
    start = wire.start if not isinstance(wire.start, SplicePoint) else wire.end
    return end_node(wire, start)
