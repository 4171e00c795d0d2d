"""The system drawing: each device once, each wire named or counted once, and still to be read when there are many."""

from __future__ import annotations

import re
import shutil
import xml.etree.ElementTree as ET
from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest
import yaml

from conversion import resources
from conversion.description import read_description
from conversion.drawings import graph_engine
from conversion.drawings.drawing import Drawing
from conversion.drawings.system import system_drawing
from conversion.drawings.system_words import function_of
from conversion.plan import Plan
from tests.drawings.placed import outside, overlapping, placed_texts
from tests.drawings.varied import varied
from tests.large_description import write_large_description

HOSTILE = 'a <b> "c" $x$ & \\N'
_COUNT = re.compile(r"(?:.* · )?(\d+) wires")
_TAGS = re.compile(r"(?:.* · )?(W\d+(?: W\d+)*)")


def demo(name: str = "market-van") -> Plan:
    return Plan(read_description(resources.harnesses_dir() / name))


def words(drawing: Drawing) -> list[str]:
    return [text.words for text in placed_texts(drawing.svg)]


def counted(drawing: Drawing) -> int:
    """The wires that the drawing speaks of."""
    only_counted = sum(int(match[1]) for each in words(drawing) if (match := _COUNT.fullmatch(each)))
    return only_counted + len(tags(drawing))


def tags(drawing: Drawing) -> list[str]:
    """Every tag on the drawing."""
    return [tag for each in words(drawing) if (match := _TAGS.fullmatch(each)) for tag in match[1].split()]


def without_splices(data: dict[str, Any]) -> None:
    """Fuses of a kind that hold several wires take the splices' place."""
    del data["loom"]["splices"]
    for name in ("F1", "F2"):
        data["devices"][name]["part"] = "parts/wide-fuse.yaml"


def plan_without_splices(folder: Path) -> Plan:
    varied(folder, None)
    target = folder / "varied"
    fuse = (
        "kind: fuse\ntitle: Fuse\nrating: 5 A\nhousings:\n  A:\n    positions: 2\n    cavities:\n"
        "      1: feed.in\n      2: {roles: [feed.out], holds: 9}\n"
    )
    (target / "parts" / "wide-fuse.yaml").write_text(fuse, "utf-8")
    path = target / "conversion.yaml"
    data = yaml.safe_load(path.read_text("utf-8"))
    without_splices(data)
    path.write_text(yaml.safe_dump(data, allow_unicode=True, sort_keys=False), "utf-8")
    return Plan(read_description(target))


@pytest.mark.parametrize("name", ["market-van", "trials-buggy", "first-attempt"])
def test_every_device_is_there_in_words_and_once(name: str) -> None:
    plan = demo(name)
    drawn = words(system_drawing(plan))
    for reference, part in plan.description.parts.items():
        assert drawn.count(reference) == 1
        assert any(each and part.title.startswith(each.rstrip("…").rstrip()) for each in drawn)


def test_every_wire_is_counted_once_by_its_function(tmp_path: Path) -> None:
    plan = plan_without_splices(tmp_path)
    drawing = system_drawing(plan)
    assert counted(drawing) == len(plan.wiring.wires)
    drawn = words(drawing)
    by_function: dict[str, list[str]] = defaultdict(list)
    for wire in plan.wiring.wires:
        by_function[function_of(wire)].append(wire.tag)
    for function in ("pedal track a", "pedal track b", "throttle motor"):
        assert f"{function} · {' '.join(by_function[function])}" in drawn
    assert len(set(tags(drawing))) == len(tags(drawing))


def test_a_splice_of_one_function_says_it_once() -> None:
    """On the line that leads to it; the wires that spread from there have their tags alone."""
    plan = demo()
    drawing = system_drawing(plan)
    at_z1 = [wire for wire in plan.wiring.wires if "Z1" in (wire.start.name, wire.end.name)]
    assert {wire.roles[0] for wire in at_z1} == {"feed.15"}
    drawn = words(drawing)
    assert "Z1" in drawn and drawn.count("ignition feed") == 1
    assert counted(drawing) == len(plan.wiring.wires) and {wire.tag for wire in at_z1} <= set(tags(drawing))


def test_it_shows_the_tag_of_every_wire_and_no_terminal() -> None:
    plan = demo()
    drawn = " ".join(words(system_drawing(plan)))
    assert sorted(tags(system_drawing(plan))) == sorted(wire.tag for wire in plan.wiring.wires)
    assert not re.search(r"\bK1\.\d", drawn)
    assert all(wire.colour not in drawn.split() for wire in plan.wiring.wires)


@pytest.mark.parametrize("name", ["market-van", "trials-buggy", "first-attempt"])
def test_it_prints_to_be_read(name: str) -> None:
    drawing = system_drawing(demo(name))
    assert drawing.width_mm <= 180.0 and drawing.height_mm <= 235.0
    root = ET.fromstring(drawing.svg)
    assert (root.attrib["width"], root.attrib["height"]) == (f"{drawing.width_mm:g}mm", f"{drawing.height_mm:g}mm")
    scale = drawing.width_mm / float(root.attrib["viewBox"].split()[2])
    texts = placed_texts(drawing.svg)
    assert min(text.size for text in texts) * scale >= 2.0
    assert overlapping(texts, slack=0.3) == [] and outside(drawing.svg) == []
    assert set(re.findall(r'(?:stroke|fill)="([^"]*)"', drawing.svg)) <= {"none", "black", "white", "#ffffff"}


def test_many_devices_of_a_kind_share_a_shape(tmp_path: Path) -> None:
    plan = Plan(read_description(write_large_description(tmp_path)))
    drawing = system_drawing(plan)
    own = sum(wire.group == "other" for wire in plan.wiring.wires)
    drawn = words(drawing)
    devices = sum(part.kind == "other" for part in plan.description.parts.values())
    assert f"{devices} × other device" in drawn and f"{own} wires" in drawn and devices > 40
    assert drawing.caption.endswith("Devices of one kind at one station share a shape.")
    # What is there once keeps its own shape.
    assert {"K1", "B1", "M1", "F1", "F2"} <= set(drawn)
    assert drawing.width_mm <= 180.0 and drawing.height_mm <= 235.0 and outside(drawing.svg) == []


def test_words_of_the_description_are_shown_as_written(tmp_path: Path) -> None:
    plan = varied(tmp_path, lambda data: data["devices"]["X1"].update(place=HOSTILE))
    assert HOSTILE in words(system_drawing(plan))


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert system_drawing(demo()) == system_drawing(demo())


def test_a_single_device_is_a_drawing_too(tmp_path: Path) -> None:
    def only_a_battery(data: dict[str, Any]) -> None:
        data["devices"] = {"G1": {"part": "treadle:battery", "place": "boot"}}
        for name in ("linkage", "springs", "loom"):
            del data[name]

    drawing = system_drawing(varied(tmp_path, only_a_battery))
    assert "G1" in words(drawing) and counted(drawing) == 0


@pytest.mark.needs("dot")
def test_the_systems_engine_draws_the_same_system(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = demo()
    ours = system_drawing(plan)
    dot = shutil.which("dot")
    assert dot is not None
    monkeypatch.setattr(graph_engine, "_engines", lambda: [Path(dot)])
    theirs = system_drawing(plan)
    # The engines measure text differently, so another layout may fit best, with titles cut elsewhere.
    assert set(plan.description.parts) <= set(words(ours)) & set(words(theirs))
    assert counted(ours) == counted(theirs)
    assert theirs.width_mm <= 180.0 and theirs.height_mm <= 235.0
