"""The sensing circuits that follow from a description: sound ones against the sweep, loads and wires by hand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from conversion import resources
from conversion.circuit import Resistor, solve
from conversion.description import Missing, read_description
from conversion.plan import Plan
from conversion.plan.circuits.parts import BATTERY, CHASSIS, SensingCircuit
from conversion.plan.circuits.sensing_circuit import SHARED_GROUND_OHM
from conversion.sensing import Sensor, gather_tracks
from tests.rules.patching import patched_plan

DEMOS = ("market-van", "trials-buggy", "first-attempt")
SENSORS: tuple[Sensor, ...] = ("pedal", "throttle")
BARE = [
    "conversion: loom.contact_resistance = 0.1 mohm",
    *(f"conversion: devices.{device}.tail = 1 mm" for device in ("K1", "B1", "M1")),
    *(f"K1: supplies.{name}.source_resistance = 0.1 mohm" for name in ("one", "two", "three", "four")),
    *(
        f"conversion: loom.runs.{run}.length = 1 mm"
        for run in ("controller-board", "board-pedal", "board-bulkhead", "bulkhead-engine")
    ),
]
"""A loom in which nothing is lost."""


def demo(name: str) -> Plan:
    return Plan(read_description(resources.harnesses_dir() / name))


def read_v(circuit: SensingCircuit, track: str) -> np.ndarray:
    return solve(circuit.network).at(circuit.inputs[track])


@pytest.mark.parametrize("sensor", SENSORS)
def test_without_losses_it_reads_what_the_sweep_reads(sensor: Sensor, tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, BARE)
    for track, swept in plan.sensor(sensor).tracks.items():
        assert read_v(plan.circuit(sensor), track) == pytest.approx(swept.volts, abs=2e-5)
        bare = gather_tracks(plan.description, sensor)[track].model.volts(plan.sensor(sensor).position)
        assert read_v(plan.circuit(sensor), track) == pytest.approx(bare, abs=2e-5)


@pytest.mark.parametrize("sensor", SENSORS)
@pytest.mark.parametrize("name", DEMOS)
def test_with_losses_it_differs_by_what_wires_and_supply_explain(name: str, sensor: Sensor) -> None:
    plan = demo(name)
    circuit = plan.circuit(sensor)
    operating = solve(circuit.network)
    # Each track's own current through its whole loop at most; a motor's current through a shared ground on top.
    lost_ohm = 0.5 + sum(e.ohm for e in circuit.elements.values() if e.kind in ("wire", "contact", "splice"))
    drawn_a = sum(5.0 / model.model.track_ohm.nominal for s in SENSORS for model in plan.tracks(s).values()
                  if model.model.track_ohm.nominal) or 0.05  # fmt: skip
    shared_v = float(np.max(np.abs(operating.at("sensor ground of K1")))) if name == "first-attempt" else 0.0
    for track, swept in plan.sensor(sensor).tracks.items():
        off = operating.at(circuit.inputs[track]) - swept.volts
        assert np.max(np.abs(off)) < lost_ohm * drawn_a + shared_v
        assert np.max(np.abs(off)) > 1e-5, "real wires cost something"
    assert not np.any(operating.undetermined)


def test_one_track_by_hand(tmp_path: Path) -> None:
    """5 V through 0.5 ohm, 1160 mm of 0.5 mm² and two tails of 150 mm with 30 mm of slack at 20 °C (39.0 mohm/m).

    Four contacts of 10 mohm; nothing pulls.
    """
    sized = [f"{{role: pedal.a.{which}, size: 0.5 mm²}}" for which in ("supply", "ground")]
    plan = patched_plan(
        tmp_path,
        [
            "K1: accepts.pedal.tracks.a.pull = none",
            "conversion: loom.temperature = 20 °C",
            *(f"conversion: devices.{device}.tail = 150 mm" for device in ("K1", "B1")),
            f"conversion: loom.wires = [{', '.join(sized)}]",
        ],
    )
    circuit, ratio = plan.circuit("pedal"), plan.pedal_tracks["a"].model.output_ratio(plan.pedal.position)
    way = 1.520 * 0.0390 + 2 * 0.010
    by_hand = 5.0 * (ratio * 1600.0 + way) / (1600.0 + 0.5 + 2 * way)
    assert read_v(circuit, "a") == pytest.approx(by_hand, abs=1e-9)


def test_cold_wires_have_less(tmp_path: Path) -> None:
    hot, cold = (
        patched_plan(tmp_path / where, [f"conversion: loom.temperature = {degc}"]).circuit("pedal").elements["W1"].ohm
        for where, degc in (("hot", "60 °C"), ("cold", "20 °C"))
    )
    assert hot / cold == pytest.approx(1.0 + 0.00393 * 40.0)


def test_a_length_that_is_not_known_is_missing_by_its_name(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.runs.board-pedal.length = unknown"])
    with pytest.raises(Missing) as raised:
        _ = plan.circuit("pedal")
    assert raised.value.path == "loom.runs.board-pedal.length" and "cannot be computed" in raised.value.why


def test_a_device_without_a_station_is_told(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: devices.B1.station removed"])
    with pytest.raises(Missing, match="B1 has no station"):
        _ = plan.circuit("pedal")


def test_every_contact_stands_between_its_device_and_its_wire() -> None:
    circuit = demo("market-van").circuit("pedal")
    names = {terminal.name: nodes for terminal, nodes in circuit.terminals.items()}
    assert (names["K1.20"].inside, names["K1.20"].outside) == ("K1.20 inside", "K1.20")
    assert names["K1.19"].inside == "0" and names["K1.18"].inside == circuit.supplies["one"]
    contact = circuit.elements["contact K1.20"]
    assert (contact.a, contact.b, contact.conductors) == ("K1.20 inside", "K1.20", ("W9", "K1.20"))


def test_a_spliced_ground_is_one_wire_and_two_branches() -> None:
    circuit = demo("first-attempt").circuit("pedal")
    into = [e.name for e in circuit.elements.values() if e.kind == "splice" and "splice Z1" in (e.a, e.b)]
    assert into == ["W4 in splice Z1", "W5 in splice Z1", "W6 in splice Z1"]


def test_a_motor_that_shares_the_ground_lifts_the_sensors() -> None:
    plan = demo("first-attempt")
    body = plan.description.throttle_body
    assert body is not None and body[1].motor.current is not None
    operating = solve(plan.circuit("pedal").network)
    amps = body[1].motor.current.high
    # The tracks' own current comes on top; the motor's falls by what its way to the battery loses.
    assert operating.at("sensor ground of K1") == pytest.approx(amps * SHARED_GROUND_OHM, rel=0.05)


def test_a_sensor_grounded_at_the_body_sees_the_motor(tmp_path: Path) -> None:
    """7 A through two ground wires of the control unit pull the body below the control unit's ground."""
    plan = patched_plan(tmp_path, ["conversion: loom.wires = [{role: pedal.a.ground, from: X1.1}]"])
    circuit = plan.circuit("pedal")
    operating = solve(circuit.network)
    ways = [e for e in circuit.elements.values() if e.kind == "contact" and e.a == "0" and "ground.31" in e.roles]
    assert len(ways) == 2
    wires = [circuit.elements[way.conductors[0]].ohm for way in ways]
    # The stud's own contact is one for all of them.
    parallel = 1.0 / sum(1.0 / (ohm + 0.01) for ohm in wires)
    assert operating.at("X1.1") == pytest.approx(-7.0 * parallel, rel=0.02)
    sound = read_v(patched_plan(tmp_path / "sound", []).circuit("pedal"), "a")
    ratio = plan.pedal_tracks["a"].model.output_ratio(plan.pedal.position)
    assert operating.at(circuit.inputs["a"]) - sound == pytest.approx((1.0 - ratio) * operating.at("X1.1"), abs=2e-3)


def test_a_clamped_input_leads_the_battery_into_its_supply(tmp_path: Path) -> None:
    def on_battery(clamp: str) -> tuple[float, SensingCircuit]:
        plan = patched_plan(tmp_path / clamp.split()[0], [f"K1: accepts.pedal.tracks.a.clamp = {clamp}"])
        circuit = plan.circuit("pedal")
        touched = circuit.network.with_elements(Resistor("touch", "K1.20", BATTERY, 0.01))
        return float(solve(touched).at(circuit.inputs["a"])[0]), circuit

    borne, protected = on_battery("protected")
    held, clamped = on_battery("to supply")
    assert borne == pytest.approx(14.8, abs=0.3) and 5.0 < held < 5.5
    assert protected.inputs["a"] == "K1.20 inside" and clamped.inputs["a"] == "K1.20 read"
    assert protected.full_scale_v["a"] == 5.0


def test_a_shorted_supply_gives_its_limit(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["K1: supplies.one.limit = 30 mA"])
    circuit = plan.circuit("pedal")
    shorted = circuit.network.with_elements(Resistor("touch", circuit.supplies["one"], "0", 10.0))
    # 30 mA less what the track takes at 0.3 V.
    assert float(solve(shorted).at(circuit.supplies["one"])[0]) == pytest.approx(
        0.03 / (1 / 10.0 + 1 / 1600.0), rel=0.01
    )


def test_elsewhere_it_reads_elsewhere() -> None:
    plan = demo("market-van")
    circuit, sweep = plan.circuit("pedal"), plan.pedal
    at_stop = solve(circuit.at(np.zeros_like(circuit.position)))
    model = plan.pedal_tracks["a"].model
    assert at_stop.at(circuit.inputs["a"]) == pytest.approx(model.volts(np.zeros(1))[0], abs=2e-3)
    apart = solve(circuit.at({"a": np.zeros_like(circuit.position), "b": circuit.position}))
    assert apart.at(circuit.inputs["b"]) == pytest.approx(sweep.tracks["b"].volts, abs=2e-3)


def test_what_was_taken_is_said_once_and_what_is_described_is_not(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path, ["conversion: loom.contact_resistance = 5 mohm", "conversion: loom.temperature = 40 °C"]
    )
    taken = plan.circuit("pedal").taken
    assert len(set(taken)) == len(taken)
    assert not any("contact" in sentence or "°C" in sentence for sentence in taken)
    assert any("0.5 ohm" in sentence for sentence in taken)


def test_the_other_sensor_is_left_out_where_it_is_not_known(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["M1: tracks.a.resistance = unknown"])
    circuit = plan.circuit("pedal")
    assert any("throttle" in sentence and "M1: tracks.a.resistance" in sentence for sentence in circuit.left_out)
    assert "K1.26" not in circuit.network.nodes and "K1.20" in circuit.network.nodes
    with pytest.raises(Missing, match=r"M1: tracks\.a\.resistance"):
        _ = plan.circuit("throttle")


def test_a_supply_of_the_other_sensor_need_not_be_known(tmp_path: Path) -> None:
    circuit = patched_plan(tmp_path, ["K1: supplies.one.voltage = unknown"]).circuit("throttle")
    assert set(circuit.sources) == {"three", "four"}
    assert any("supplies.one.voltage" in sentence for sentence in circuit.left_out)


def test_a_track_that_no_wire_reaches_leaves_its_input_in_the_air(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path,
        ["conversion: loom.wires = [{role: pedal.a.signal, left_out: test}]", "K1: accepts.pedal.tracks.a.pull = none"],
    )
    circuit = plan.circuit("pedal")
    assert "a" in circuit.inputs
    assert np.all(np.isnan(read_v(circuit, "a")))


def test_body_and_battery_are_nodes() -> None:
    operating = solve(demo("market-van").circuit("throttle").network)
    assert operating.at(BATTERY) - operating.at(CHASSIS) == pytest.approx(14.8, abs=0.1)
