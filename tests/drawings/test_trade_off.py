"""The chart of a search: its panels, its steps, and the numbers of the settings."""

from __future__ import annotations

import re
from functools import cache

import numpy as np

from conversion import resources
from conversion.description import read_description
from conversion.drawings.trade_off import _best_left, trade_off_chart
from conversion.plan import Plan
from conversion.plan.searching.search import SearchOutcome, search_plan


@cache
def outcome() -> SearchOutcome:
    file = resources.harnesses_dir() / "market-van" / "conversion.yaml"
    return search_plan(Plan(read_description(file)), file, 4000, 1, lambda said: None)


def test_the_line_is_the_best_of_all_that_sweep_as_much() -> None:
    x, best = _best_left(np.array([80.0, 90.0, 85.0]), np.array([3.0, 1.0, 0.5]), -1.0)
    # Above 80 % nothing has more than 1, which is had at 90 %; 3 is had at 80 % and below.
    assert x.tolist() == [80.0, 80.0, 85.0, 85.0, 90.0]
    assert best.tolist() == [3.0, 1.0, 1.0, 1.0, 1.0]


def test_every_measure_has_its_panel_and_every_setting_its_number() -> None:
    svg = trade_off_chart(outcome()).svg
    texts = re.findall(r">([^<>]+)</text>", svg)
    for title in ("Margin to the nearer", "Greatest distance from the wanted feel", "transmission", "Greatest force"):
        assert any(title in text for text in texts), title
    numbers = {part for text in texts for part in text.split(", ")}
    assert {str(place) for place in range(1, len(outcome().settings) + 1)} <= numbers


def test_the_chart_is_the_same_each_time() -> None:
    assert trade_off_chart(outcome()).svg == trade_off_chart(outcome()).svg
