"""Rules on descriptions that lack much: nothing breaks, every figure that is not known is told, and nothing twice."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from conversion import resources
from conversion.description import read_description
from conversion.description.complaints import dotted
from conversion.plan import Plan
from conversion.rules import all_rules, find_all
from tests.rules.patching import BASE, patched_plan

RULES = {rule.name: rule for rule in all_rules()}
NOT_KNOWN = (
    "completeness/safety-figure-unknown",
    "completeness/figure-unknown",
    "completeness/wire-length-unknown",
    "return/stop-load-unknown",
)
LITTLE = {
    "no control unit": (["conversion: devices.K1 removed"], "completeness/no-control-unit"),
    "no pedal module": (
        ["conversion: linkage removed", "conversion: devices.B1 removed"],
        "completeness/no-pedal-module",
    ),
    "no throttle body": (["conversion: devices.M1 removed"], "completeness/no-throttle-body"),
    "no linkage": (["conversion: linkage removed", "conversion: springs removed"], "completeness/no-linkage"),
    "a battery alone": (
        [
            "conversion: devices = {G1: {part: 'treadle:battery', place: engine bay}}",
            "conversion: linkage removed",
            "conversion: springs removed",
            "conversion: loom removed",
        ],
        "completeness/no-control-unit",
    ),
    "nothing but a battery and its ground": (
        [
            "conversion: devices = {G1: {part: 'treadle:battery', place: engine bay}, "
            "X1: {part: 'treadle:ground-stud', place: engine bay}}",
            "conversion: linkage removed",
            "conversion: springs removed",
            "conversion: loom removed",
        ],
        "completeness/no-control-unit",
    ),
}


@pytest.mark.parametrize("little", LITTLE)
def test_a_description_without_much_is_told_of_and_breaks_nothing(little: str, tmp_path: Path) -> None:
    patch, rule = LITTLE[little]
    findings = find_all(patched_plan(tmp_path, patch))
    assert rule in {finding.rule for finding in findings if finding.decided}
    twice = [each for each, count in Counter((f.rule, f.subject, f.message) for f in findings).items() if count > 1]
    assert not twice


FIGURES = [
    (figure.device or "conversion", figure.path)
    for figure in Plan(read_description(resources.harnesses_dir() / BASE)).figures
]


@pytest.mark.parametrize(
    ("file", "path"), FIGURES, ids=[f"{file}: {'.'.join(map(str, path))}" for file, path in FIGURES]
)
def test_a_figure_that_is_not_known_is_told(file: str, path: tuple[str | int, ...], tmp_path: Path) -> None:
    steps = dotted(path)
    plan = patched_plan(tmp_path, [f"{file}: {steps} = unknown"])
    subjects = [finding.subject for name in NOT_KNOWN for finding in RULES[name].find(plan)]
    whole = steps.rpartition(".")[0] if isinstance(path[-1], int) else steps
    named = whole if file == "conversion" else f"{file}: {whole}"
    # A stop is named, not its load; a run, not its length.
    assert [subject for subject in subjects if named in (subject, f"{subject}.load", f"{subject}.length")]
