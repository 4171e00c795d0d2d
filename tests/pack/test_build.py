"""The whole pack: every file is there, the same bytes each time, and a missing figure never stops it."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from conversion.drawings import draw_all
from conversion.pack.blocks import Gap, Stage
from conversion.pack.build import build_pack
from conversion.pack.document import as_data
from conversion.pack.folder import write_folder
from conversion.pack.true_scale import file_names
from conversion.resources import harnesses_dir
from conversion.rules import find_all
from conversion.rules.report import findings_json
from tests.pack.made import DEMO, demo_pack, demo_plan, document_of, pack_of, pages_of, tables_of
from tests.rules.patching import patched_plan

ROOT = Path(__file__).resolve().parents[2]

PROGRAM = """
import hashlib, json, pathlib, sys
from conversion.description import read_description
from conversion.pack.build import build_pack
from conversion.plan import Plan
from conversion.rules import find_all
plan = Plan(read_description(pathlib.Path(sys.argv[1])))
files = build_pack(plan, find_all(plan), lambda what: None)
print(json.dumps({name: hashlib.sha256(content).hexdigest() for name, content in files.items()}))
"""


def test_every_file_is_there() -> None:
    files = demo_pack()
    drawn = draw_all(demo_plan())
    recorded = {f"drawings/record-{name}.svg" for name in ("volts", "sweep", "difference", "release")}
    tables = tables_of(demo_plan())
    assert set(files) == {
        "build-pack.pdf",
        "build-pack.html",
        "findings.json",
        "labels/label-sheet.pdf",
        *(f"drawings/{drawing.name}.svg" for drawing in drawn.drawings),
        *recorded,
        *(f"tables/{name}.csv" for name in tables),
        *(name for sheet in drawn.templates for name in file_names(sheet)),
    }
    assert drawn.templates
    assert files["build-pack.pdf"].startswith(b"%PDF")
    for drawing in drawn.drawings:
        assert files[f"drawings/{drawing.name}.svg"].decode("utf-8") == drawing.svg


def test_the_report_is_that_of_the_check() -> None:
    findings = find_all(demo_plan())
    assert json.loads(demo_pack()["findings.json"]) == findings_json(findings)


def test_the_same_bytes_elsewhere_and_at_another_time(tmp_path: Path) -> None:
    """Another folder, time zone, language and order of hashing, in a process of its own."""
    elsewhere = {
        **os.environ,
        "TZ": "Pacific/Chatham",
        "LC_ALL": "de_DE.UTF-8",
        "LANG": "de_DE.UTF-8",
        "PYTHONHASHSEED": "7",
        "PYTHONPATH": str(ROOT),
        "SOURCE_DATE_EPOCH": "1",
    }
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(harnesses_dir() / DEMO)],
        cwd=tmp_path, env=elsewhere, capture_output=True, text=True, check=True,
    )  # fmt: skip
    here = {name: hashlib.sha256(content).hexdigest() for name, content in demo_pack().items()}
    assert json.loads(done.stdout) == here


def test_it_says_what_it_is_doing() -> None:
    said: list[str] = []
    build_pack(demo_plan(), (), said.append)
    assert len(said) >= 3
    assert len(set(said)) == len(said)


def test_it_can_be_written_as_a_folder(tmp_path: Path) -> None:
    write_folder(tmp_path / "pack", demo_pack())
    written = {path.relative_to(tmp_path / "pack").as_posix() for path in (tmp_path / "pack").rglob("*.*")}
    assert written > set(demo_pack())


@pytest.mark.parametrize("name", ["trials-buggy", "first-attempt"])
def test_other_conversions_get_a_pack_as_well(name: str) -> None:
    plan = demo_plan(name)
    files, findings = pack_of(plan)
    pages = pages_of(files["build-pack.pdf"])
    hold = any(finding.severity == "HOLD" for finding in findings)
    assert ("DO NOT FIT OR START" in pages[0]) is hold
    text = " ".join(pages)
    for wire in plan.wiring.wires:
        assert f" {wire.tag} " in text


UNKNOWN = [
    "conversion: linkage.pedal.full_stop.set_at = unknown",
    "conversion: linkage.pedal.rod_pin.1 = unknown",
    "conversion: fit.bodies.pad.width = unknown",
    "conversion: fit.recess.thickness = unknown",
    "conversion: fit.members.arm.section.wall = unknown",
    "conversion: fit removed",
    "conversion: linkage.pedal.friction = unknown",
    "conversion: springs.main.rate = unknown",
    "conversion: loom.runs.board-pedal.length = unknown",
    "conversion: vehicle.supply = unknown",
    "conversion: vehicle.mass = unknown",
    "B1: lever.swing = unknown",
    "B1: lever.springs removed",
    "B1: tracks.a.output.rest = unknown",
    "M1: tracks.b.output.full = unknown",
    "M1: unpowered removed",
    "K1: supplies.one.voltage = unknown",
    "K1: accepts.pedal.tracks.a.valid = unknown",
    "K1: accepts.throttle removed",
    "conversion: linkage removed",
    "conversion: springs removed",
]


@pytest.fixture(scope="module")
def sections_of_the_demo() -> int:
    return len(document_of(demo_plan(), (), draw_all(demo_plan())).sections)


@pytest.mark.parametrize("line", UNKNOWN)
def test_a_missing_figure_leaves_a_gap_that_says_what_to_find(
    tmp_path: Path, line: str, sections_of_the_demo: int
) -> None:
    plan = patched_plan(tmp_path, [line])
    drawn = draw_all(plan)
    document = document_of(plan, find_all(plan), drawn)
    assert len(document.sections) == sections_of_the_demo
    gaps = [block for section in document.sections for block in section.blocks if isinstance(block, Gap)]
    assert len(gaps) >= len(drawn.left_out) // 3
    for gap in gaps:
        assert gap.what and gap.why.endswith(".") and gap.remedy.endswith(".")
    json.dumps(as_data(document), allow_nan=False)


def test_a_pack_with_as_little_as_can_be_is_still_set(tmp_path: Path) -> None:
    lines = [
        "conversion: linkage removed",
        "conversion: springs removed",
        "K1: supplies removed",
        "B1: tracks.a.output.rest = unknown",
    ]
    plan = patched_plan(tmp_path, lines)
    files, _ = pack_of(plan)
    text = " ".join(pages_of(files["build-pack.pdf"]))
    assert "The travel cannot be given here." in text
    assert "The return cannot be given here." in text
    assert "tables/travel.csv" not in files


def test_a_hold_stands_in_the_stage_that_it_stops(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: linkage.module.opens = clockwise"])
    findings = find_all(plan)
    document = document_of(plan, findings, draw_all(plan))
    stages = [block for section in document.sections for block in section.blocks if isinstance(block, Stage)]
    held = {
        (stage.key, line.rule)
        for stage in stages
        for step in stage.steps
        if step.halt is not None
        for line in step.halt.findings
    }
    wrong_way = [finding.rule for finding in findings if finding.severity == "HOLD"]
    assert wrong_way
    assert {rule for stage, rule in held if stage != "road"} == set(wrong_way)
