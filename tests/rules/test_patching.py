"""The patch lines do what they say, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion import resources
from conversion.description import read_description
from tests.rules.patching import BASE, lines_of, patched_copy, patched_plan


def test_an_unpatched_copy_describes_the_same(tmp_path: Path) -> None:
    copy = patched_plan(tmp_path, []).written
    original = read_description(resources.harnesses_dir() / BASE)
    assert copy.conversion == original.conversion
    assert copy.parts == original.parts


def test_values_are_set_added_and_removed(tmp_path: Path) -> None:
    description = patched_plan(
        tmp_path,
        [
            "conversion: linkage.rod.length = 150 mm ± 1 mm, assumed",
            "conversion: devices.K2.fed_from.'feed.in' = F4",
            "conversion: springs.second removed",
            "conversion: vehicle.countries.3 = nz",
            "B1: lever.springs.count = 1",
            "P1: title = Another lamp",
        ],
    ).description
    linkage = description.conversion.linkage
    assert linkage is not None and linkage.rod.length is not None
    assert (linkage.rod.length.nominal, linkage.rod.length.evidence) == (150.0, "assumed")
    assert description.conversion.devices["K2"].fed_from["feed.in"] == "F4"
    assert list(description.conversion.springs) == ["main"]
    assert description.conversion.vehicle.countries[-1] == "nz"
    assert description.parts["B1"].lever.springs.count == 1
    assert description.parts["P1"].title == "Another lamp"
    assert description.conversion.devices["P1"].part == "parts/warning-lamp.yaml"


def test_a_shipped_part_itself_is_left_alone(tmp_path: Path) -> None:
    shipped = resources.harnesses_dir() / "parts" / "warning-lamp.yaml"
    before = shipped.read_bytes()
    patched_copy(tmp_path, ["P1: title = Another lamp"])
    assert shipped.read_bytes() == before


@pytest.mark.parametrize(
    "line",
    [
        "conversion linkage",
        "conversion: springs.third removed",
        "Z9: title = x",
        "conversion: vehicle.countries.9 = nz",
    ],
)
def test_a_line_that_means_nothing_is_refused(line: str, tmp_path: Path) -> None:
    with pytest.raises(ValueError):
        patched_copy(tmp_path, [line])


def test_continued_lines_are_put_together() -> None:
    assert lines_of("a: b = [1,\n  2]\n\nc: d removed") == ["a: b = [1, 2]", "c: d removed"]
