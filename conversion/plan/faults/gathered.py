"""The single faults that can happen in the loom as it is described, each once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from conversion.description.complaints import listed
from conversion.faults.fault import INSULATING_OHM, Fault, Joined, Resupplied, Weakened
from conversion.plan.circuits.conductors import Conductor, find_conductors, is_sensing
from conversion.plan.circuits.laid_loom import ALONG
from conversion.plan.circuits.nodes import Nodes
from conversion.plan.circuits.parts import GROUND, Element, SensingCircuit
from conversion.plan.circuits.sensing_circuit import SHARED_GROUND
from conversion.plan.faults.bridges import bridge_faults
from conversion.plan.faults.mechanics import mechanical_faults
from conversion.sensing import Sensor

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

_SERIES_OHM = (0.0, INSULATING_OHM)


def list_faults(plan: Plan, sensor: Sensor, circuit: SensingCircuit) -> tuple[Fault, ...]:
    """Every single fault of a sensor's tracks, loom, supplies and mechanics, no two alike.

    Args:
        plan: Wires, routes, housings and return springs.
        sensor: Whose readings are judged.
        circuit: The plan's circuit of that sensor.
    """
    conductors = find_conductors(plan.description, plan.wiring)
    return (
        *_weakened(plan, circuit, conductors),
        *bridge_faults(plan, circuit, conductors),
        *_supplies(plan, circuit, conductors),
        *_lifted_grounds(plan, circuit, conductors),
        *mechanical_faults(plan, sensor),
    )


def _weakened(plan: Plan, circuit: SensingCircuit, conductors: tuple[Conductor, ...]) -> Iterator[Fault]:
    """Every wire, contact, splice and wiper open; every contact with resistance."""
    ours = [each for each in circuit.elements.values() if _serves(plan, circuit, conductors, each)]
    for each in ours:
        yield Fault(
            _opened(each),
            "open",
            circuit.sensor,
            Weakened(each.name, each.a, each.b, each.ohm),
            each.place,
            _places(plan, each),
            each.conductors,
        )
    for each in ours:
        if each.kind in ("contact", "splice") or each.words.startswith("wiper"):
            name = f"resistance in {_described(each)}"
            change = Weakened(each.name, each.a, each.b, each.ohm, _SERIES_OHM)
            yield Fault(name, "contact", circuit.sensor, change, each.place, _places(plan, each), each.conductors)


def _serves(plan: Plan, circuit: SensingCircuit, conductors: tuple[Conductor, ...], each: Element) -> bool:
    if each.kind not in ("wire", "contact", "splice", "wiper") and not each.words.startswith("series resistor"):
        return False
    if any(role.startswith(f"{circuit.sensor}.") for role in each.roles):
        return True
    # Between a splice and the control unit a wire serves all that the splice joins.
    unit = plan.description.control_unit
    for conductor in conductors:
        if conductor.splices and conductor.tracks(circuit.sensor):
            for wire in conductor.wires:
                ends = [end.device for end in (wire.start, wire.end) if end in conductor.terminals]
                if wire.tag in each.conductors and unit is not None and unit[0] in ends:
                    return True
    return False


def _described(each: Element) -> str:
    """An element with its wire, as a sentence goes on."""
    if each.kind == "contact":
        *tags, terminal = each.conductors
        return f"the contact {terminal} of {'+'.join(tags)}"
    if each.kind == "splice":
        return f"the end of {each.words}"
    return f"the {each.words}" if each.kind in ("wiper", "ground") else each.words


def _opened(each: Element) -> str:
    if each.kind == "contact":
        *tags, terminal = each.conductors
        return f"{'+'.join(tags)} out of its contact {terminal}"
    if each.kind == "splice":
        return f"{each.conductors[0]} out of {each.words.partition(' in ')[2]}"
    return f"{each.words} open"


def _places(plan: Plan, each: Element) -> tuple[str, ...]:
    if each.place != ALONG:
        return (each.place,)
    runs = tuple(f"run {run}" for run in plan.routes[each.name].runs)
    return runs or (ALONG,)


def _supplies(plan: Plan, circuit: SensingCircuit, conductors: tuple[Conductor, ...]) -> Iterator[Fault]:
    """Each sensor supply that feeds the sensor: low, missing, dragged down by what else it feeds."""
    nodes, sensor = Nodes(plan.description), circuit.sensor
    unit = plan.description.control_unit
    for name, supply in unit[1].supplies.items() if unit else ():
        fed = [role for role in supply.roles if role.startswith(f"{sensor}.")]
        if name not in circuit.sources or not fed or supply.voltage is None:
            continue
        words, place = f"supply '{name}' of {nodes.unit}", f"inside {nodes.unit}"
        low = Resupplied(circuit.sources[name], (0.0, supply.voltage.nominal))
        yield Fault(f"{words} low", "supply-low", sensor, low, place, (place,))
        missing = Resupplied(circuit.sources[name], None)
        yield Fault(f"{words} missing", "supply-missing", sensor, missing, place, (place,))
        others = [role for role in supply.roles if role not in fed]
        loads = [each for each in conductors if set(others) & set(each.roles)]
        if loads:
            through = listed([each.words for each in loads], "and")
            dragged = Joined(circuit.supplies[name], GROUND, (0.0, INSULATING_OHM))
            title = f"{words} dragged down by what else it feeds, through {through}"
            tags = tuple(tag for each in loads for tag in each.tags)
            yield Fault(title, "supply-dragged", sensor, dragged, place, (place,), tags)


def _lifted_grounds(plan: Plan, circuit: SensingCircuit, conductors: tuple[Conductor, ...]) -> Iterator[Fault]:
    """Resistance where the motor's current and a sensor's flow back through one thing."""
    shared = [circuit.elements[SHARED_GROUND]] if SHARED_GROUND in circuit.elements else []
    unit = plan.description.control_unit
    for conductor in conductors:
        if unit is None or not (conductor.is_grounded and conductor.serves(circuit.sensor, "ground")):
            continue
        at_unit = [terminal for terminal in conductor.terminals if terminal.device == unit[0]]
        carrying = {wire.tag for terminal in at_unit for wire in plan.wiring.at(terminal) if "ground.31" in wire.roles}
        shared += [
            each for each in circuit.elements.values()
            if carrying & set(each.conductors) and not any(is_sensing(role) for role in each.roles)
        ]  # fmt: skip
    for each in shared:
        name = f"resistance in {_described(each)}, with the motor's current through it"
        change = Weakened(each.name, each.a, each.b, each.ohm, _SERIES_OHM)
        yield Fault(name, "ground-lifted", circuit.sensor, change, each.place, (each.place,), each.conductors)
