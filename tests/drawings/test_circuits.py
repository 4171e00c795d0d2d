"""The circuit drawings: every wire once, the plan's own figures, nothing outside the paper or over anything else."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import yaml

from conversion import resources
from conversion.description import Terminal, read_description
from conversion.drawings.circuits import circuit_drawings
from conversion.drawings.drawing import Drawing
from conversion.plan import Plan
from conversion.quantities import show
from conversion.sensing import Sensor
from tests.drawings.picture import SVG
from tests.drawings.placed import outside, overlapping, placed_texts
from tests.drawings.varied import Change, varied
from tests.large_description import write_large_description

HOSTILE = 'a <b>&amp; "c" $x^2$ & \\alpha'
_TAG = re.compile(r"W\d+")


def demo(name: str = "market-van") -> Plan:
    return Plan(read_description(resources.harnesses_dir() / name))


def sheets(plan: Plan) -> dict[str, Drawing]:
    drawings = circuit_drawings(plan)
    assert len({drawing.name for drawing in drawings}) == len(drawings)
    return {drawing.name: drawing for drawing in drawings}


def words(drawing: Drawing) -> list[str]:
    return [text.words for text in placed_texts(drawing.svg)]


def tags(drawing: Drawing) -> Counter[str]:
    return Counter(text for text in words(drawing) if _TAG.fullmatch(text))


# Variations of the worked conversion, each a change of its file and of part files.


def three_hall_tracks(part: dict[str, Any]) -> None:
    part["title"] = HOSTILE
    part["housings"] = {
        "A": {
            "positions": 8,
            "cavities": {
                1: "pedal.a.supply", 2: "pedal.a.ground + pedal.b.ground", 3: "pedal.a.signal",
                4: "pedal.b.supply + pedal.c.supply", 5: "pedal.b.signal", 6: "pedal.c.signal", 7: "pedal.c.ground",
                8: "pedal.idle.signal",
            },
        },
        "B": {
            "positions": 3,
            "cavities": {1: "pedal.idle.ground", 2: "pedal.kickdown.signal", 3: "pedal.kickdown.ground"},
        },
    }  # fmt: skip
    part["tracks"] = {
        "a": {
            "principle": "hall", "output": {"rest": "10 %", "full": "90 %"}, "source_resistance": "100 ohm",
            "series": "470 ohm", "pull": {"to": "supply", "resistance": "10 kohm"},
        },
        "b": {
            "principle": "hall", "output": {"rest": "90 %", "full": "10 %"}, "source_resistance": "100 ohm",
            "series": "1 kohm", "pull": {"to": "ground", "resistance": "10 kohm"},
        },
        "c": {
            "principle": "inductive", "output": {"rest": "20 %", "full": "60 %"}, "source_resistance": "unknown",
            "series": "unknown", "pull": "unknown",
        },
    }  # fmt: skip
    part["idle_contact"] = {"closes": "below", "at": "2°"}
    part["kickdown_contact"] = {"closes": "above", "at": "22°"}


def more_inputs(part: dict[str, Any]) -> None:
    cavities = part["housings"]["A"]["cavities"]
    cavities |= {
        28: "pedal.idle.signal", 29: "pedal.idle.ground", 30: "pedal.kickdown.signal", 31: "pedal.c.signal",
        32: "pedal.c.ground", 22: "pedal.b.ground + pedal.kickdown.ground", 21: "pedal.b.supply + pedal.c.supply",
    }  # fmt: skip
    part["supplies"]["two"]["roles"] = ["pedal.b.supply", "pedal.c.supply"]
    tracks = part["accepts"]["pedal"]["tracks"]
    tracks["a"]["pull"]["to"] = "supply"
    tracks["c"] = {"valid": "0.2 V..4.5 V", "rest": "0.3 V..1.6 V", "full": "1.7 V..3.2 V", "pull": "unknown"}


def joined_grounds(data: dict[str, Any]) -> None:
    data["loom"]["splices"] |= {
        "Z9": {"station": "pedal", "joins": ["pedal.a.ground", "pedal.b.ground"]},
        "Z8": {"station": "pedal", "joins": ["pedal.a.signal"]},
        "a-long-name-of-a-splice": {"station": "engine", "joins": ["throttle.a.ground", "throttle.b.ground"]},
    }
    data["loom"]["wires"].append({"role": "throttle.b.signal", "left_out": "not wanted"})


def series_resistors(part: dict[str, Any]) -> None:
    for track in part["tracks"].values():
        track["series"] = "2.2 kohm"


def without_second_track_or_swing(part: dict[str, Any]) -> None:
    cavities = part["housings"]["A"]["cavities"]
    for number in (4, 5, 6):
        del cavities[number]
    part["tracks"]["b"]["resistance"] = "unknown"
    part["lever"]["swing"] = "unknown"


def without_throttle_and_relay(data: dict[str, Any]) -> None:
    del data["devices"]["M1"], data["devices"]["K2"]
    data["devices"]["K1"]["fed_from"]["feed.87"] = "F3"
    data["loom"]["splices"]["Z2"] = {"station": "board", "joins": ["feed.30"]}
    del data["loom"]["wires"]


def with_long_names(part: dict[str, Any]) -> None:
    housing = part["housings"].pop("A")
    part["housings"] = {
        "a-housing-with-a-name-that-goes-on-and-on": housing,
        "B": {"positions": 1, "cavities": {1: "other.tell-tale.of-its-own"}},
    }
    part["title"] = f"{HOSTILE} {'and so on ' * 40}"


VARIATIONS: dict[str, dict[str, Change]] = {
    "hall": {"pedal_module": three_hall_tracks, "control_unit": more_inputs},
    "joined": {"conversion": joined_grounds, "pedal_module": series_resistors},
    "little": {"conversion": without_throttle_and_relay, "pedal_module": without_second_track_or_swing},
    "long": {"pedal_module": with_long_names, "control_unit": with_long_names, "throttle_body": with_long_names},
}


@pytest.fixture(scope="module", params=["market-van", "trials-buggy", "first-attempt", *VARIATIONS])
def plan(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Plan:
    if request.param in VARIATIONS:
        return varied(tmp_path_factory.mktemp(request.param), **VARIATIONS[request.param])
    return demo(request.param)


def test_every_wire_is_drawn_and_once_a_sheet(plan: Plan) -> None:
    found = [tags(drawing) for drawing in circuit_drawings(plan)]
    assert {tag for each in found for tag in each} == {wire.tag for wire in plan.wiring.wires}
    assert [each for each in found if max(each.values(), default=0) > 1] == []


def test_nothing_overlaps_or_leaves_the_paper(plan: Plan) -> None:
    for drawing in circuit_drawings(plan):
        assert outside(drawing.svg) == [], drawing.name
        assert overlapping(placed_texts(drawing.svg)) == [], drawing.name


def test_each_sheet_prints_on_a_page(plan: Plan) -> None:
    for drawing in circuit_drawings(plan):
        root = ET.fromstring(drawing.svg)
        assert root.attrib["viewBox"] == f"0 0 {drawing.width_mm:g} {drawing.height_mm:g}"
        assert drawing.width_mm == 180.0 and 0.0 < drawing.height_mm <= 240.0, drawing.name
        assert min(text.size for text in placed_texts(drawing.svg)) >= 2.0


def test_lines_are_black_on_white(plan: Plan) -> None:
    for drawing in circuit_drawings(plan):
        colours = set(re.findall(r"(?:stroke|fill)[:=]\"?([a-z#0-9]+)", drawing.svg))
        assert colours <= {"none", "black", "white", "#000000", "#ffffff", "#6e6e6e"}, drawing.name
        assert all(re.fullmatch(r"none|[\d., ]+", dashes) for dashes in _dashes(drawing.svg)), drawing.name


def _dashes(svg: str) -> list[str]:
    return re.findall(r"stroke-dasharray[:=]\"?([^;\"]+)", svg)


def test_the_same_plan_gives_the_same_bytes(plan: Plan) -> None:
    assert circuit_drawings(plan) == circuit_drawings(plan)


@pytest.mark.parametrize("sensor", ["pedal", "throttle"])
@pytest.mark.parametrize("name", ["market-van", "trials-buggy", "first-attempt"])
def test_volts_are_the_plans(name: str, sensor: Sensor) -> None:
    plan = demo(name)
    drawn = words(sheets(plan)[f"circuit-{sensor}"])
    sweep = plan.pedal if sensor == "pedal" else plan.throttle
    gathered = plan.pedal_tracks if sensor == "pedal" else plan.throttle_tracks
    assert len(sweep.tracks) == 2
    for track, swept in sweep.tracks.items():
        for word, index in zip(("rest", "full") if sensor == "pedal" else ("closed", "open"), (0, -1), strict=True):
            nominal, low, high = (
                show(float(values[index]), "voltage") for values in (swept.volts, swept.volts_min, swept.volts_max)
            )
            assert f"{word} {nominal} ({low}..{high})" in drawn
        supply = gathered[track].model.supply_v
        nominal, low, high = (show(value, "voltage") for value in (supply.nominal, supply.low, supply.high))
        assert f"{nominal} ({low}..{high})" in drawn
    assert show(0.0, "voltage") in drawn


def test_the_pedals_sheet_has_its_wires_and_terminals_and_no_others() -> None:
    plan = demo()
    drawing = sheets(plan)["circuit-pedal"]
    expected = {wire.tag: wire for wire in plan.wiring.wires if wire.roles[0].startswith("pedal.")}
    assert set(tags(drawing)) == set(expected) and len(expected) == 6
    drawn = words(drawing)
    for wire in expected.values():
        assert f"{show(wire.size_mm2, 'area')} {wire.colour}" in drawn
        assert all(drawn.count(end.name) == 1 for end in (wire.start, wire.end))


def test_terminals_stand_on_the_sheets_of_their_wires(plan: Plan) -> None:
    """Names that are too long for their room are shortened, and are not looked for."""
    drawings = circuit_drawings(plan)
    for wire in plan.wiring.wires:
        for drawing in (each for each in drawings if wire.tag in tags(each)):
            ends = [end for end in (wire.start, wire.end) if isinstance(end, Terminal) and len(end.name) < 8]
            assert all(end.name in words(drawing) for end in ends), (drawing.name, wire.tag)


def test_tracks_that_share_a_terminal_share_one_wire() -> None:
    plan = demo("first-attempt")
    shared = next(wire for wire in plan.wiring.wires if len(wire.roles) == 2)
    assert shared.roles == ("throttle.a.supply", "throttle.b.supply")
    drawing = sheets(plan)["circuit-throttle"]
    assert tags(drawing)[shared.tag] == 1
    assert sum(each.startswith("supply ") for each in words(drawing)) == 1
    assert [words(drawing).count(end.name) for end in (shared.start, shared.end)] == [1, 1]


def test_a_splice_of_both_grounds_is_one_place(tmp_path: Path) -> None:
    plan = varied(tmp_path, joined_grounds)
    drawing = sheets(plan)["circuit-pedal"]
    assert words(drawing).count("Z9") == 1
    met = {wire.tag for wire in plan.wiring.wires if "Z9" in (wire.start.name, wire.end.name)}
    assert len(met) == 4 and met <= set(tags(drawing))


def test_what_is_not_wired_is_said(tmp_path: Path) -> None:
    drawn = words(sheets(varied(tmp_path, **VARIATIONS["little"]))["circuit-pedal"])
    assert drawn.count("no terminal") == 3 and drawn.count("no wire") == 3
    assert drawn.count("volts not known") == 1 and "5.00 V (4.95 V..5.05 V)" in drawn


def test_words_of_the_description_are_shown_as_written(tmp_path: Path) -> None:
    plan = varied(tmp_path, lambda data: data["devices"]["B1"].update(place=HOSTILE), brake_switch=_hostile)
    drawings = sheets(plan)
    assert HOSTILE in words(drawings["circuit-pedal"]) and HOSTILE in words(drawings["circuit-feeds"])


def _hostile(part: dict[str, Any]) -> None:
    part["title"] = HOSTILE


@pytest.mark.parametrize(
    ("role", "closed"), [("brake.make", False), ("brake.break", True)], ids=["make contact", "break contact"]
)
def test_contacts_are_drawn_as_with_the_pedal_released(tmp_path: Path, role: str, closed: bool) -> None:
    def one_contact(part: dict[str, Any]) -> None:
        part["housings"]["A"]["cavities"] = {1: "feed.30", 2: role, 3: "screen", 4: "empty"}

    def no_clutch(data: dict[str, Any]) -> None:
        del data["devices"]["S2"], data["devices"]["S1"]["fed_from"]["feed.15"]

    svg = sheets(varied(tmp_path, no_clutch, brake_switch=one_contact))["circuit-switches"].svg
    strokes = [element for element in ET.fromstring(svg).iter(f"{SVG}path")]
    # A contact that is closed at rest has the stop on which its blade lies as a further stroke.
    assert len(strokes) == (2 if closed else 1)


def test_functions_that_are_not_described_have_no_sheet(tmp_path: Path) -> None:
    def only_a_battery(data: dict[str, Any]) -> None:
        data["devices"] = {name: data["devices"][name] for name in ("G1", "X1")}
        for name in ("linkage", "springs", "loom"):
            del data[name]
        for device in data["devices"].values():
            del device["station"]

    assert list(sheets(varied(tmp_path, only_a_battery))) == ["circuit-grounds"]


def test_a_wire_of_no_function_is_on_the_sheet_of_others(tmp_path: Path) -> None:
    def own(data: dict[str, Any]) -> None:
        data["devices"]["X1"].pop("grounded_at", None)
        data["loom"]["wires"].append({"from": "X1.1", "to": "G1.plus", "reason": "a mistake"})

    plan = varied(tmp_path, own)
    extra = next(wire for wire in plan.wiring.wires if wire.roles == ("other.additional",))
    assert any(extra.tag in tags(drawing) for drawing in circuit_drawings(plan))
    plan = demo("trials-buggy")
    tacho = next(wire for wire in plan.wiring.wires if wire.group == "other")
    assert tags(sheets(plan)["circuit-others"]) == Counter([tacho.tag])


def many_fuses(count: int, *, in_a_row: bool) -> Change:
    """Further fuses between the battery and nothing, side by side or one behind the other."""

    def change(data: dict[str, Any]) -> None:
        for number in range(10, 10 + count):
            before = f"F{number - 1}" if in_a_row and number > 10 else "G1"
            data["devices"][f"F{number}"] = {"part": "parts/plain-fuse.yaml", "place": "box", "fed_from": before}

    return change


@pytest.mark.parametrize("in_a_row", [False, True])
def test_many_paths_go_on_over_several_sheets(tmp_path: Path, in_a_row: bool) -> None:
    plan = with_fuses(tmp_path, 30, in_a_row=in_a_row)
    feeds = [drawing for name, drawing in sheets(plan).items() if name.startswith("circuit-feeds")]
    assert len(feeds) > 1 and feeds[0].title.endswith(f"sheet 1 of {len(feeds)}")
    every = sum((tags(drawing) for drawing in feeds), Counter())
    assert set(every.values()) == {1}
    assert {wire.tag for wire in plan.wiring.of_role("feed.in")} <= set(every)
    for drawing in feeds:
        assert drawing.height_mm <= 240.0 and outside(drawing.svg) == []
        assert overlapping(placed_texts(drawing.svg)) == []


def with_fuses(folder: Path, count: int, *, in_a_row: bool) -> Plan:
    """The plan with further fuses, whose terminals and those of the battery hold as many wires as needed."""
    target = folder / "source"
    varied(target, None)
    parts = target / "varied" / "parts"
    fuse = "kind: fuse\ntitle: Fuse\nrating: 5 A\nhousings:\n  A:\n    positions: 2\n    cavities:\n      1: feed.in\n"
    (parts / "plain-fuse.yaml").write_text(fuse + "      2: {roles: [feed.out], holds: 2}\n", "utf-8")
    battery = "kind: supply\ntitle: Battery\nhousings:\n  A:\n    positions: 2\n    cavities:\n"
    battery += "      1: {roles: [feed.out], holds: 500}\n      2: ground.31\n"
    (parts / "plain-battery.yaml").write_text(battery, "utf-8")
    path = target / "varied" / "conversion.yaml"
    data = yaml.safe_load(path.read_text("utf-8"))
    data["devices"]["G1"]["part"] = "parts/plain-battery.yaml"
    many_fuses(count, in_a_row=in_a_row)(data)
    path.write_text(yaml.safe_dump(data, allow_unicode=True, sort_keys=False), "utf-8")
    return Plan(read_description(target / "varied"))


def test_thousands_of_wires_are_counted_and_not_drawn(tmp_path: Path) -> None:
    plan = Plan(read_description(write_large_description(tmp_path)))
    drawings = sheets(plan)
    others = [name for name in drawings if name.startswith("circuit-others")]
    assert others == ["circuit-others"] and tags(drawings["circuit-others"]) == Counter()
    own = sum(wire.group == "other" for wire in plan.wiring.wires)
    drawn = words(drawings["circuit-others"])
    assert drawn[0].startswith(f"{own} wires, too many to be drawn")
    counted = [re.match(r"K1 to A\d+: (\d+) \(W", each) for each in drawn[1:]]
    assert sum(int(match[1]) for match in counted if match) == own > 2000
    assert outside(drawings["circuit-others"].svg) == []
