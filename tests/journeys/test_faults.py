"""`treadle faults` from the shell: what it prints, what it exports, and how it ends."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from conversion import resources
from conversion.plan.faults.words import ABOUT
from tests.journeys.command import treadle
from tests.rules.patching import patched_copy

VAN = resources.harnesses_dir() / "market-van"
KEYS = {
    "sensor", "fault", "kind", "place", "class", "above_limit", "worst_rise_percent", "pedal_percent", "resistance_ohm",
    "rise_at_rest_percent", "rise_meanwhile_percent", "noticed_by", "noticed_share", "within_s", "with_brake",
    "needs_history", "undetermined", "reads_v", "rise_percent", "would_close",
}  # fmt: skip


def flowing(text: str) -> str:
    return " ".join(text.split())


def test_the_demo_has_nothing_above_the_limit_and_says_what_the_verdict_is_about() -> None:
    answer = treadle("faults", VAN)
    assert answer.code == 0 and answer.err == ""
    assert answer.out.count("0  above the limit") == 2
    assert flowing(answer.out).count(ABOUT) == 2


def test_the_first_attempt_ends_with_the_worst_told_and_what_would_close_it() -> None:
    answer = treadle("faults", resources.harnesses_dir() / "first-attempt")
    assert answer.code == 1
    assert "at rest 107.1 %" in answer.out
    assert answer.out.count("Would close it: ") >= 10


@pytest.mark.parametrize("latent", [False, True])
def test_json_has_every_fault_every_pair_and_a_summary(latent: bool) -> None:
    once = treadle("faults", VAN, "--json", *(["--latent"] if latent else []))
    data = json.loads(once.out)
    assert set(data) == {"about", "faults", "pairs", "summary"} and once.code == 0
    assert all(set(fault) == KEYS for fault in data["faults"])
    for sensor, summary in data["summary"].items():
        mine = [fault for fault in data["faults"] if fault["sensor"] == sensor]
        classes = ("unnoticed, higher", "unnoticed, no higher", "noticed")
        assert sum(summary[each] for each in classes) == len(mine) > 50
        for fault in mine:
            # What both inputs read with the fault fully grown, and the worst rise, at each position.
            assert {len(volts) for volts in fault["reads_v"].values()} == {len(summary["positions_percent"])}
            assert abs(max(fault["rise_percent"]) - fault["worst_rise_percent"]) < 0.001
    assert bool(data["pairs"]) is latent
    for pair in data["pairs"]:
        assert pair["worst_rise_percent"] >= pair["rise_at_rest_percent"] >= 0.0 and pair["found_by"]


def test_a_limit_of_ones_own_decides_how_it_ends(tmp_path: Path) -> None:
    """Taking the larger of two tracks lets one of them rise as far as the agreement passes: 8 % in the demo."""
    lines = ["K1: accepts.pedal.takes = larger"]
    assert treadle("faults", patched_copy(tmp_path / "a", lines)).code == 1  # 5 % with the foot off
    lax = [*lines, "conversion: limits = {unnoticed_rise: 9 %, unnoticed_rise_at_rest: 9 %}"]
    assert treadle("faults", patched_copy(tmp_path / "b", lax)).code == 0


def test_an_unknown_figure_leaves_one_sensor_unjudged_and_says_which(tmp_path: Path) -> None:
    answer = treadle("faults", patched_copy(tmp_path, ["B1: lever.swing = unknown"]))
    assert answer.code == 1 and "lever.swing" in answer.err and "Traceback" not in answer.err
    assert "Throttle: " in answer.out and "Pedal: " not in answer.out


def test_a_description_that_cannot_be_read_ends_with_2(tmp_path: Path) -> None:
    answer = treadle("faults", patched_copy(tmp_path, ["conversion: limits = {unnoticed_rise: 8 mm}"]))
    assert answer.code == 2 and "limits.unnoticed_rise" in answer.err
