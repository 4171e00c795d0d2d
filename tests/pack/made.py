"""Packs that the tests of this folder look into, each made once."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from functools import cache, lru_cache
from pathlib import Path

import pypdf

from conversion.checklist import build_checklist
from conversion.description import read_description
from conversion.drawings import Drawings
from conversion.pack.build import build_pack
from conversion.pack.document import DataTable, Document
from conversion.pack.records import gather_records
from conversion.pack.sections import data_tables, write_document
from conversion.plan import Plan
from conversion.resources import harnesses_dir
from conversion.rules import Finding, find_all

DEMO = "market-van"
POINTS_PER_MM = 72 / 25.4


def demo_plan(name: str = DEMO) -> Plan:
    """A worked conversion's plan."""
    return Plan(read_description(harnesses_dir() / name))


def pack_of(plan: Plan) -> tuple[dict[str, bytes], tuple[Finding, ...]]:
    """Files of a plan's pack, and the findings in it."""
    findings = find_all(plan)
    return build_pack(plan, findings, lambda what: None), findings


def document_of(plan: Plan, findings: Sequence[Finding], drawn: Drawings) -> Document:
    """A plan's pack before it is set."""
    stages = build_checklist(plan, findings)
    return write_document(plan, findings, stages, drawn, recorded=gather_records(plan, stages, lambda what: None))


def tables_of(plan: Plan) -> dict[str, DataTable]:
    """Tables of a plan's pack by name."""
    findings = find_all(plan)
    stages = build_checklist(plan, findings)
    recorded = gather_records(plan, stages, lambda what: None)
    return {table.name: table for table in data_tables(plan, findings, stages, recorded=recorded)}


@cache
def demo_pack(name: str = DEMO) -> dict[str, bytes]:
    """Files of a worked conversion's pack."""
    return pack_of(demo_plan(name))[0]


def pages_of(pdf: bytes) -> list[str]:
    """Text of each page on one line, without the places at which long words may break."""
    return list(_pages_of(pdf))


# Taking the text out of a pack lasts longer than making it, and several tests look into the same one.
@lru_cache(maxsize=4)
def _pages_of(pdf: bytes) -> tuple[str, ...]:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return tuple(squeezed(page.extract_text()) for page in reader.pages)


def text_of(pdf: bytes) -> str:
    """Text of the whole PDF; see pages_of."""
    return " ".join(pages_of(pdf))


def squeezed(text: str) -> str:
    """Text with runs of white space made one space."""
    return re.sub(r"\s+", " ", text.replace("\u200b", ""))


def crushed(text: str) -> str:
    """Text without any white space: lines of a PDF may break inside a long word."""
    return re.sub(r"[\s\u200b]+", "", text)


# What a description may hold and no document may obey.
HOSTILE = (
    """<script>alert(1)</script> #panic("x") $x$ *b* _i_ @a & "q" 's' `r` [x] {{ 7*7 }} {% raw %} // c \\ = - + ~"""
)
LONG = "donaudampfschifffahrt" * 12
FOREIGN = "Ἑλλάς Привет 日本語 العربية"


def hostile_copy(folder: Path) -> Path:
    """A copy of the worked conversion in which every free text is hostile, long or foreign."""
    from tests.rules.patching import patched_copy

    text = repr_yaml(f"{HOSTILE} {FOREIGN}")
    lines = [
        f"conversion: title = {repr_yaml('=cmd ' + HOSTILE)}",
        f"conversion: builder = {text}",
        f"conversion: revision = {repr_yaml(LONG)}",
        f"conversion: vehicle.identity = {repr_yaml(LONG + HOSTILE)}",
        f"conversion: waived.clutch-switch = {text}",
        f"conversion: loom.wires.1.reason = {text}",
        f"conversion: loom.wires.2.reason = {repr_yaml(LONG)}",
        f"B1: title = {text}",
        f"B1: note = {text}",
        f"M1: title = {repr_yaml(LONG)}",
        f"K1: title = {text}",
        "K1: housings.A.cavities.13 = {unused: " + text + "}",
    ]
    stations = ("controller", "panel", "board", "pedal", "bulkhead", "engine", "battery")
    lines += [f"conversion: loom.stations.{name} = {text}" for name in stations]
    for number, device in enumerate(demo_plan().description.conversion.devices):
        lines.append(f"conversion: devices.{device}.place = {text if number % 2 else repr_yaml(LONG)}")
    return patched_copy(folder, lines)


def repr_yaml(text: str) -> str:
    """A text as a YAML scalar on one line."""
    return "'" + text.replace("'", "''") + "'"
