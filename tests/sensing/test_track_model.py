"""A track with its loads: cases for the head first, then laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion.sensing import PullTo, Span, TrackModel, loaded_volts
from conversion.sensing.track_model import Loads

UNLOADED = Loads(5.0, 1000.0, 500.0, 0.0, np.inf, np.inf, False, False)


def model(**changes: object) -> TrackModel:
    """A 1 kohm potentiometer from 10 % to 90 %, nothing loading it."""
    values: dict[str, object] = {
        "position": np.array([0.0, 1.0]),
        "ratio": np.array([0.1, 0.9]),
        "ratio_low": np.array([0.1, 0.9]),
        "ratio_high": np.array([0.1, 0.9]),
        "stretch": Span.exact(1.0),
        "supply_v": Span.exact(5.0),
        "track_ohm": Span.exact(1000.0),
        "source_ohm": Span.exact(0.0),
        "module_pull": None,
        "series_ohm": Span.exact(0.0),
        "unit_pull": None,
    }
    return TrackModel(**(values | changes))  # type: ignore[arg-type]


def test_without_a_load_resistances_do_not_matter() -> None:
    volts, _ = loaded_volts(np.array([0.2, 0.8]), UNLOADED)
    assert volts.tolist() == [1.0, 4.0]


def test_source_of_a_potentiometer_at_its_middle_is_a_quarter_of_it() -> None:
    _, ohm = loaded_volts(np.array([0.5]), UNLOADED)
    assert ohm.tolist() == [250.0 + 500.0]


def test_pull_to_ground_lowers_and_pull_to_supply_raises() -> None:
    free = model().volts(np.array([0.5]))
    down = model(unit_pull=PullTo("ground", Span.exact(10_000.0))).volts(np.array([0.5]))
    up = model(unit_pull=PullTo("supply", Span.exact(10_000.0))).volts(np.array([0.5]))
    assert down[0] < free[0] < up[0]
    # 250 ohm against 10 kohm from 2.5 V: 2.5 * 10000 / 10250, and the mirror image of it.
    assert down[0] == pytest.approx(2.5 * 10_000 / 10_250)
    assert up[0] == pytest.approx(5.0 - 2.5 * 10_000 / 10_250)


def test_series_resistor_acts_only_on_what_is_behind_it() -> None:
    pull = PullTo("ground", Span.exact(4000.0))
    before = model(module_pull=pull, series_ohm=Span.exact(1000.0)).volts(np.array([0.5]))
    assert before[0] == pytest.approx(2.5 * 4000 / 4250)
    behind = model(unit_pull=pull, series_ohm=Span.exact(1000.0)).volts(np.array([0.5]))
    assert behind[0] == pytest.approx(2.5 * 4000 / 5250)


def test_stops_hold_the_output_beyond_the_sweep() -> None:
    assert model().volts(np.array([-0.5, 0.0, 1.0, 1.5])).tolist() == [0.5, 0.5, 4.5, 4.5]


def test_a_table_is_followed_point_by_point() -> None:
    bent = model(
        position=np.array([0.0, 0.5, 1.0]),
        ratio=np.array([0.1, 0.2, 0.9]),
        ratio_low=np.array([0.1, 0.2, 0.9]),
        ratio_high=np.array([0.1, 0.2, 0.9]),
    )
    assert bent.volts(np.array([0.25, 0.75])) == pytest.approx([0.75, 2.75])


def test_corners_hold_the_tolerance_of_output_and_supply() -> None:
    wide = model(ratio_low=np.array([0.08, 0.88]), ratio_high=np.array([0.12, 0.92]), supply_v=Span(5.0, 4.9, 5.1))
    corners = wide.corner_volts(np.array([0.0, 1.0]))
    assert corners.min(axis=0) == pytest.approx([0.08 * 4.9, 0.88 * 4.9])
    assert corners.max(axis=0) == pytest.approx([0.12 * 5.1, 0.92 * 5.1])


positive = st.floats(1.0, 1e6)
shares = st.floats(0.0, 1.0)


@given(ratio=shares, track=positive, source=positive, series=positive, pull=positive, supply=st.floats(1.0, 15.0))
def test_the_input_never_leaves_the_rails(
    ratio: float, track: float, source: float, series: float, pull: float, supply: float
) -> None:
    for to_supply in (False, True):
        loads = Loads(supply, track, source, series, pull, pull, to_supply, to_supply)
        volts, ohm = loaded_volts(np.array([ratio]), loads)
        assert -1e-9 <= volts[0] <= supply + 1e-9
        assert 0.0 <= ohm[0] <= pull


@given(ratio=shares, low=st.floats(0.0, 0.05), pull=positive)
def test_no_tolerance_gives_no_band(ratio: float, low: float, pull: float) -> None:
    exact = model(unit_pull=PullTo("ground", Span.exact(pull)))
    corners = exact.corner_volts(np.array([ratio]))
    assert np.ptp(corners) == 0.0
    spread = model(
        ratio_low=np.array([0.1 - low, 0.9 - low]), unit_pull=PullTo("ground", Span(pull, pull * 0.9, pull * 1.1))
    )
    inside = spread.corner_volts(np.array([ratio]))
    nominal = exact.volts(np.array([ratio]))[0]
    assert inside.min() <= nominal + 1e-12 and inside.max() >= nominal - 1e-12
