"""Whatever stands under as_wired, the answer is complaints that can be printed, or findings, and nothing else."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from conversion import resources
from conversion.bench.wired.words import AS_PLANNED, wired_by_tag, wired_differences, wired_in_words
from conversion.checklist.job import Job
from conversion.checklist.stages.loom import loom
from conversion.description import DescriptionError, read_description
from conversion.pack.sections.wires import wires_data, wires_section
from conversion.plan import Plan
from conversion.rules import Rule, all_rules

RULES: list[Rule] = [rule for rule in all_rules() if rule.name.startswith("wired/")]
RUN = settings(deadline=None, max_examples=50, suppress_health_check=list(HealthCheck))

WORDS = st.sampled_from(
    ["K1.18", "K1.20", "B1.3", "B1.1", "B1.6", "K1.A.20", "Z1", "Z2", "Z9", "K1", "K1.", ".18", "K1.99", "X1.1", "é",
     "G1.plus", "F1.2", "K1.14", "M1.2", "", " ", "~", "1", "K1.18 ", "treadle:x", "\u202e", "K" * 70, "S4.1", "S4.2"]
)  # fmt: skip
ODD = st.recursive(WORDS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=2))
LISTS = st.lists(st.lists(WORDS, min_size=2, max_size=2) | ODD, max_size=6) | ODD


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("fuzz") / "market-van"
    shutil.copytree(resources.harnesses_dir() / "market-van", folder)
    return folder


def answered(home: Path, written: object) -> Plan | None:
    """The plan, or None where the description is refused in words."""
    base = (resources.harnesses_dir() / "market-van" / "conversion.yaml").read_text("utf-8")
    text = yaml.safe_dump({"as_wired": written}, allow_unicode=True)
    try:
        return Plan(read_description(home, content=f"{base}\n{text}".encode()))
    except DescriptionError as refused:
        for complaint in refused.complaints:
            line = str(complaint)
            assert line.isprintable() and len(line) < 1000
            assert complaint.place.line >= 1 and complaint.place.column >= 1
        return None


def look_at_everything(plan: Plan) -> None:
    found = [finding for rule in RULES for finding in rule.find(plan)]
    assert len(found) == len(wired_differences(plan)), "each difference is told by one rule"
    for finding in found:
        assert finding.decided and finding.subject and finding.message.endswith(".") and finding.remedy.endswith(".")
        assert len(finding.message) < 2000
    assert all(each.place.line >= 1 for each in wired_in_words(plan))
    status = wired_by_tag(plan)
    grave = {wire.tag for each in wired_differences(plan) if each.kind != "again" for wire in each.wires}
    assert {tag for tag, words in status.items() if words != AS_PLANNED} == grave
    assert wires_section(plan).blocks and wires_data(plan).rows
    assert loom(Job(plan, tuple(found))).steps


@RUN
@given(LISTS)
def test_anything(home: Path, written: object) -> None:
    plan = answered(home, written)
    if plan is not None and plan.description.as_wired is not None:
        look_at_everything(plan)


def places() -> list[str]:
    description = read_description(resources.harnesses_dir() / "market-van")
    names = [
        description.terminal(device, housing, cavity).name
        for device, part in description.parts.items()
        for housing, form in part.housings.items()
        for cavity in form.names
    ]
    return [*names, "Z1", "Z2"]


@RUN
@given(st.lists(st.lists(st.sampled_from(places()), min_size=2, max_size=2, unique=True), min_size=1, max_size=60))
def test_any_pairs_of_places(home: Path, written: list[list[str]]) -> None:
    told = {frozenset(pair): pair for pair in written}
    plan = answered(home, list(told.values()))
    assert plan is not None
    look_at_everything(plan)
    # What counts as planned is joined indeed; worked out without the code under test.
    reached: dict[str, set[str]] = {}
    for one, other in written:
        both = reached.get(one, {one}) | reached.get(other, {other})
        reached.update(dict.fromkeys(both, both))
    status = wired_by_tag(plan)
    for wire in plan.wiring.wires:
        one, other = wire.start.name, wire.end.name
        if status[wire.tag] == AS_PLANNED and not {one, other} & {"Z1", "Z2"}:
            assert other in reached.get(one, set()), wire.tag
