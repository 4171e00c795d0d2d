"""The list of what was really wired: each mistake in it has an error of its own, and any list has an answer."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion.bench.wired.words import wired_by_tag, wired_in_words
from conversion.description import DescriptionError, read_description
from conversion.plan import Plan
from tests.rules.patching import patched_copy

GOOD = "[K1.18, B1.1]"


def complaints(folder: Path, written: str, base: str = "market-van", own_file: str | None = None) -> list[str]:
    home = patched_copy(folder, [f"conversion: as_wired = {written}"], base)
    if own_file is not None:
        (home / "as-wired.yaml").write_text(own_file, "utf-8")
    with pytest.raises(DescriptionError) as caught:
        read_description(home)
    return [str(complaint) for complaint in caught.value.complaints]


@pytest.mark.parametrize(
    ("written", "path", "said"),
    [
        (
            "[[K1.18, B1.99]]",
            "as_wired.1.2",
            "B1 has no place '99'; its places are B1.1, B1.2, B1.3, B1.4, B1.5 and B1.6.",
        ),
        ("[[K1.188, B1.1]]", "as_wired.1.1", "K1 has no place '188'; its places are K1.1 to K1.34."),
        ("[[k1.18, B1.1]]", "as_wired.1.1", "there is no device 'k1'; did you mean 'K1.18'?"),
        ("[[QQ7.1, B1.1]]", "as_wired.1.1", "there is no device 'QQ7'; known are B1, M1"),
        (
            "[[K1.7, Z9]]",
            "as_wired.1.2",
            "there is no splice 'Z9'; splices are Z1 and Z2; a terminal is written as K1.18 is.",
        ),
        ("[[K1.7, fuse-board]]", "as_wired.1.2", "splices are Z1 and Z2"),
        ("[[G1.Plus, F1.1]]", "as_wired.1.1", "G1 has no place 'Plus'; did you mean 'G1.plus'?"),
        ("[[K1, B1.1]]", "as_wired.1.1", "'K1' is a device; name one of its places, such as 'K1.1'"),
        ("[[K1.18, K1.18]]", "as_wired.1", "both ends are K1.18"),
        ("[[K1.18, K1.A.18]]", "as_wired.1", "both ends are K1.18"),
        (f"[{GOOD}, [K1.19, B1.2], [B1.A.1, K1.18]]", "as_wired.3", "B1.1 to K1.18 is entry 1 already"),
        ("[[K1.18]]", "as_wired.1", "one end stands here and an entry has two"),
        ("[[]]", "as_wired.1", "no end stands here and an entry has two"),
        ("[[K1.7, Z1, S2.1]]", "as_wired.1", "3 ends stand here and an entry has two"),
        ("[K1.18 B1.1]", "as_wired.1", "'K1.18 B1.1' is no pair of ends; write [K1.18, B1.1]"),
        ("[{from: K1.18, to: B1.1}]", "as_wired.1", "a mapping is no pair of ends; write [K1.18, B1.1]"),
        ("[[K1.18, [B1.1]]]", "as_wired.1.2", "a list stands here; a single text is needed"),
        ("[['K1.18 ', B1.1]]", "as_wired.1.1", "'K1.18 ' is no name"),
        ("[]", "as_wired", "no entries stand here; write at least 1"),
        ("{K1.18: B1.1}", "as_wired", "a mapping stands here; a list or a single text is needed"),
        (
            "as-wired.csv",
            "as_wired",
            "'as-wired.csv' cannot be read here; its name ends with .yaml",
        ),
        ("as-wierd.yaml", "as_wired", "there is no file 'as-wierd.yaml'"),
        (
            "../as-wired.yaml",
            "as_wired",
            "leads out of the conversion's folder; keep lists of what was wired inside it",
        ),
        ("lists\\as-wired.yaml", "as_wired", "has a backslash"),
    ],
)
def test_each_mistake_has_its_own_error(tmp_path: Path, written: str, path: str, said: str) -> None:
    [only] = complaints(tmp_path, written)
    file, line, column, told_path, message = only.split(":", 4)
    assert file == "conversion.yaml" and int(line) > 1 and int(column) >= 1
    assert told_path.strip() == path
    assert said in message


def test_a_device_with_several_housings_wants_the_housing(tmp_path: Path) -> None:
    [only] = complaints(tmp_path, "[[K1.4, X1.1]]", "trials-buggy")
    assert only.endswith("K1 has the housings P and S; write 'K1.P.4' or 'K1.S.4'.")
    [none] = complaints(tmp_path / "2", "[[K1.99, X1.1]]", "trials-buggy")
    assert none.endswith("K1 has the housings P and S; write the housing too, such as 'K1.P.5'.")
    [far] = complaints(tmp_path / "3", "[[K1.P.11, X1.1]]", "trials-buggy")
    assert "K1 has no place 'P.11'; " in far


def test_all_mistakes_are_told_at_once(tmp_path: Path) -> None:
    assert len(complaints(tmp_path, "[[K1.18, B1.1], [K1.99, B1.2], [K1.20], [Z1, Z1], [S1.1, F1.2]]")) == 1
    assert len(complaints(tmp_path / "2", "[[K1.18, B1.1], [K1.99, B1.2], [Z1, Z1], [S1.1, F9.2]]")) == 3


def test_a_file_of_its_own_tells_its_own_places(tmp_path: Path) -> None:
    told = complaints(tmp_path, "as-wired.yaml", own_file="- [K1.18, B1.1]\n- [K1.19, B1.99]\n")
    assert told == [
        "as-wired.yaml:2:11: 2.2: B1 has no place '99'; its places are B1.1, B1.2, B1.3, B1.4, B1.5 and B1.6."
    ]
    [empty] = complaints(tmp_path / "2", "as-wired.yaml", own_file="")
    assert empty.startswith("as-wired.yaml:1:1: ")
    [mapping] = complaints(tmp_path / "3", "as-wired.yaml", own_file="as_wired:\n  - [K1.18, B1.1]\n")
    assert mapping == "as-wired.yaml:1:1: a mapping stands here; a list is needed, such as [one, two]."
    [syntax] = complaints(tmp_path / "4", "as-wired.yaml", own_file="- [K1.18, B1.1\n- [K1.19, B1.2]\n")
    assert syntax.startswith("as-wired.yaml:")


def test_a_mistake_in_the_file_is_told_with_those_of_the_conversion(tmp_path: Path) -> None:
    home = patched_copy(tmp_path, ["conversion: as_wired = as-wired.yaml", "conversion: vehicle.mass = 12 V"])
    (home / "as-wired.yaml").write_text("- [K1.18]\n", "utf-8")
    with pytest.raises(DescriptionError) as caught:
        read_description(home)
    assert [complaint.place.file for complaint in caught.value.complaints] == ["as-wired.yaml", "conversion.yaml"]


def test_the_same_list_says_the_same_wherever_it_stands(tmp_path: Path) -> None:
    pairs = [("K1.20", "B1.6"), ("K1.23", "B1.3")]
    home = patched_copy(tmp_path, ["conversion: as_wired = as-wired.yaml"])
    (home / "as-wired.yaml").write_text("".join(f"- [{one}, {other}]\n" for one, other in pairs), "utf-8")
    inside = patched_copy(tmp_path / "2", ["conversion: as_wired = [[K1.20, B1.6], [K1.23, B1.3]]"])
    plans = [Plan(read_description(folder)) for folder in (home, inside)]
    said = [[(each.subject, each.message, each.remedy) for each in wired_in_words(plan)] for plan in plans]
    assert said[0] == said[1] and said[0]
    assert wired_by_tag(plans[0])["W9"] == "crossed with W10"
    assert str(wired_in_words(plans[0])[0].place) == "as-wired.yaml:1:3"


def test_a_place_that_is_described_as_empty_may_be_named(tmp_path: Path) -> None:
    description = read_description(patched_copy(tmp_path, ["conversion: as_wired = [[K1.14, K1.A.15]]"]))
    assert description.as_wired is not None
    assert [each.name for end in description.as_wired.pairs[0] if (each := description.find_place(end))] == [
        "K1.14", "K1.15",
    ]  # fmt: skip
