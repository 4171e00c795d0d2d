"""`treadle study` from the shell: what it prints, which words it takes, and how it ends."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from conversion import resources
from conversion.commands import study as words
from conversion.description.study_forms import MOST_SAMPLES, Study
from tests.journeys.command import treadle
from tests.kinds import KINDS
from tests.rules.patching import patched_copy

VAN = resources.harnesses_dir() / "market-van"
FEW = ("--samples", "400")


def test_study_prints_bands_chances_with_their_interval_and_a_ranking_with_its_method() -> None:
    answer = treadle("study", VAN)
    assert answer.code == 0 and answer.err == ""
    assert answer.out.startswith("Market van, cable pedal kept: 4 000 samples of ")
    for said in ("seed 1", "worst case", "5..95 %", "with 95 % confidence", "What matters most for", "R²"):
        assert said in answer.out


def test_study_as_json_has_the_samples_and_the_seed_that_were_asked_for() -> None:
    once, again, other = (treadle("study", VAN, *FEW, "--seed", seed, "--json") for seed in ("7", "7", "8"))
    assert once == again and once.out != other.out
    data = json.loads(once.out)
    assert (data["samples"], data["seed"]) == (400, 7)
    for chance in data["chances"]:
        assert chance["least"] <= chance["happened"] / 400 <= chance["most"]
        assert chance["confidence"] == 0.95
    assert {ranking["method"] for ranking in data["rankings"]} <= {"regression", "variance", "none"}


def test_the_description_says_how_many_unless_the_words_do(tmp_path: Path) -> None:
    folder = patched_copy(tmp_path, ["conversion: study = {samples: 500, seed: 9}"])
    data = json.loads(treadle("study", folder, "--json").out)
    assert (data["samples"], data["seed"]) == (500, 9)
    data = json.loads(treadle("study", folder, *FEW, "--json").out)
    assert (data["samples"], data["seed"]) == (400, 9)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_linkage_is_studied_and_agrees_with_travel(tmp_path: Path, kind: str) -> None:
    folder = patched_copy(tmp_path, KINDS[kind])
    answer = treadle("study", folder, *FEW, "--json")
    assert answer.code == 0
    studied, travel = (json.loads(text)["positions"] for text in (answer.out, treadle("travel", folder, "--json").out))
    assert [each["lever_deg"]["nominal"] for each in studied] == pytest.approx(
        [each["lever_deg"] for each in travel], abs=1e-6
    )


@pytest.mark.parametrize(
    "words",
    [
        ("--samples", "0"),
        ("--samples", "99"),
        ("--samples", "-5"),
        ("--samples", "1000000000"),
        ("--samples", "100001"),
        ("--samples", "many"),
        ("--samples", "1e4"),
        ("--samples", ""),
        ("--seed", "-1"),
        ("--seed", "1.5"),
        ("--seed", "10000000000"),
    ],
)
def test_a_number_that_cannot_be_is_refused(words: tuple[str, str]) -> None:
    answer = treadle("study", VAN, *words)
    assert answer.code == 2 and answer.out == ""
    assert words[0] in answer.err and "no whole number from" in answer.err


def test_the_limits_of_the_words_are_those_of_the_description() -> None:
    least, most = (
        getattr(limit, name)
        for name in ("ge", "le")
        for limit in Study.model_fields["samples"].metadata
        if hasattr(limit, name)
    )
    assert (least, most) == (words.LEAST_SAMPLES, words.MOST_SAMPLES)
    assert most == MOST_SAMPLES


@pytest.mark.parametrize(
    ("patch", "code", "said"),
    [
        ("B1: lever.swing = unknown", 1, "lever.swing is not known"),
        ("conversion: linkage removed", 1, "linkage"),
        ("K1: accepts.pedal.tracks.a.full = unknown", 1, "accepts.pedal.tracks.a.full is not known"),
        ("conversion: linkage.rod.length = 140 mm ± 160 mm", 2, "linkage.rod.length"),
        ("conversion: study = {samples: 10}", 2, "write at least 100"),
    ],
)
def test_what_keeps_a_study_from_being_made_is_said(tmp_path: Path, patch: str, code: int, said: str) -> None:
    answer = treadle("study", patched_copy(tmp_path, [patch]), *FEW)
    assert answer.code == code and said in answer.err


def test_no_description_is_said_to_be_none(tmp_path: Path) -> None:
    answer = treadle("study", tmp_path / "nowhere")
    assert answer.code == 2 and "nowhere" in answer.err
