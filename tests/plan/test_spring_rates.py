"""A spring by its coil: its rate with limits, what is asked for where a figure lacks, and what cannot be."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from conversion.description import DescriptionError, Missing
from conversion.plan import Plan
from conversion.plan.link.spring_rates import spring_rate
from conversion.rules import find_all
from tests.rules.patching import patched_plan

COIL = "conversion: springs.main = {acts_on: pedal, type: extension, fixed_end: [-70 mm, 14 mm, -20 mm], "
REST = "moving_end: [-4 mm, 14 mm, -60 mm], free_length: 62 mm, initial_tension: 20 N, "


def with_coil(folder: Path, coil: str, more: str = "") -> Plan:
    return patched_plan(folder, [f"{COIL}{REST}coil: {coil}{more}}}"])


def test_the_rate_is_that_of_the_coil_and_its_limits_are_those_of_caliper_and_count(tmp_path: Path) -> None:
    plan = with_coil(tmp_path, "{wire: 2.0 mm ± 0.02 mm, outside: 16.0 mm ± 0.1 mm, coils: 20}")
    form = plan.description.conversion.springs["main"]
    rate = spring_rate(plan.description, form, "main", "")  # type: ignore[arg-type]
    assert rate.nominal == pytest.approx(2.0**4 * 79.3e3 / (8 * 14.0**3 * 20))
    assert rate.low == pytest.approx(1.98**4 * 79.3e3 / (8 * (16.1 - 1.98) ** 3 * 20.5))
    assert rate.high == pytest.approx(2.02**4 * 79.3e3 / (8 * (15.9 - 2.02) ** 3 * 19.5))
    # What is judged is the least rate.
    way = plan.spring_ways[0]
    np.testing.assert_allclose(way.force_n, 20.0 + rate.low * (way.length_mm - 62.0))
    assert not [finding for finding in find_all(plan) if finding.severity == "HOLD"]


def test_stainless_wire_is_softer(tmp_path: Path) -> None:
    rates = []
    for steel in ("spring", "stainless"):
        plan = with_coil(tmp_path / steel, f"{{wire: 2.0 mm, outside: 16.0 mm, coils: 20, steel: {steel}}}")
        form = plan.description.conversion.springs["main"]
        rates.append(spring_rate(plan.description, form, "main", "").nominal)  # type: ignore[arg-type]
    assert rates[1] / rates[0] == pytest.approx(69.0 / 79.3)


def test_a_wire_that_was_not_measured_is_asked_for(tmp_path: Path) -> None:
    plan = with_coil(tmp_path, "{wire: unknown, outside: 16.0 mm, coils: 20}")
    with pytest.raises(Missing) as missing:
        _ = plan.returns
    assert missing.value.path == "springs.main.coil.wire"


@pytest.mark.parametrize(
    ("coil", "more", "says"),
    [
        ("{wire: 2.0 mm, outside: 16.0 mm, coils: 20}", ", rate: 0.9 N/mm", "either its 'rate' or its 'coil'"),
        ("{wire: 2.0 mm, outside: 4.0 mm, coils: 20}", "", "more than two wires across"),
        ("{wire: 2.0 mm, outside: 16.0 mm, coils: 0}", "", "springs.main.coil.coils"),
        ("{wire: 0 mm, outside: 16.0 mm, coils: 20}", "", "springs.main.coil.wire"),
    ],
)
def test_coils_that_cannot_be_are_told_at_their_place(coil: str, more: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(DescriptionError) as told:
        with_coil(tmp_path, coil, more)
    assert says in str(told.value)


def test_a_spring_of_which_neither_is_said_is_told(tmp_path: Path) -> None:
    with pytest.raises(DescriptionError, match="either its 'rate' or its 'coil'"):
        patched_plan(tmp_path, [f"{COIL}{REST.rstrip(', ')}}}"])
