"""Two signal outputs that touch, through a resistance or without one.

Source     NASA Engineering and Safety Center, technical assessment TI-10-00618 for NHTSA, 18 January 2011: in pedals
           with two potentiometer tracks a resistive short between the two signal outputs (a tin whisker was found)
           in general sets a code; over a narrow range of resistance the pedal goes on working, nothing is stored,
           and a certain second fault could then open the throttle. READ, in quotations of the report.
           Formula SAE Rules 2023 edition, T.4.2.3: the intent that two tracks shorted together may agree only at 0 %.
           READ, on an annotated page of the rules.
Read from  stored copies of pages that quote them. The volts and ohms of the pedal that was examined were not found in
           anything that was read; the module here is invented, of the same kind: equal slopes, 0.8 V apart, compared by
           the least and the greatest difference of the volts, the smaller per cent taken.
Tolerance  None: what is reproduced is which of the cases a described check notices. Where a second fault is compared
           with the same fault alone, the difference must be larger than any rounding, a fifth of the travel.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from conversion.faults.verdict import Verdict
from conversion.plan import Plan
from conversion.plan.faults.judged import FaultStudy
from conversion.plan.faults.latent import LatentPair, LatentStudy
from tests.rules.patching import patched_plan

_INPUT = "pull: {to: ground, resistance: 220 kohm ± 5 %}"
OFFSET = (
    "B1: tracks.a.output = {rest: 16.0 % ± 0.5 %, full: 62.0 % ± 0.5 %}",
    "B1: tracks.b.output = {rest: 32.0 % ± 0.5 %, full: 78.0 % ± 0.5 %}",
    "K1: accepts.pedal = {takes: smaller, scale: learned,"
    " agreement: {of: volts, at_least: 0.40 V, at_most: 1.20 V, within: 90 ms}, tracks: {"
    f"a: {{valid: 0.20 V..4.80 V, rest: 0.60 V..1.10 V, full: 2.50 V..3.40 V, {_INPUT}}},"
    f" b: {{valid: 0.20 V..4.80 V, rest: 1.30 V..1.90 V, full: 3.20 V..4.20 V, {_INPUT}}}}}}}",
)
ALIKE = (
    "B1: tracks.b.output = {rest: 18.0 % ± 0.8 %, full: 82.0 % ± 0.8 %}",
    f"K1: accepts.pedal.tracks.b = {{valid: 0.45 V..4.65 V, rest: 0.75 V..1.25 V, full: 3.45 V..4.30 V, {_INPUT}}}",
)


@cache
def plan(*lines: str) -> Plan:
    with TemporaryDirectory() as folder:
        return patched_plan(Path(folder), lines)


@cache
def pairs() -> LatentStudy:
    return plan(*OFFSET).latent("pedal")


def signal_bridge(study: FaultStudy) -> Verdict:
    return next(v for v in study.verdicts if v.fault.kind == "bridge" and {"W9", "W10"} <= set(v.fault.conductors))


def test_a_dead_short_of_the_two_outputs_is_noticed_everywhere() -> None:
    verdict = signal_bridge(plan(*OFFSET).faults("pedal"))
    assert verdict.noticed_share == 1.0 and {check.kind for check in verdict.checks} == {"agreement"}


def test_over_a_range_of_resistance_the_pedal_goes_on_working_and_nothing_notices() -> None:
    """It waits at every position, and moves what is taken by less than a tenth of the travel."""
    verdict = signal_bridge(plan(*OFFSET).faults("pedal"))
    waiting = [pair.waits for pair in pairs().pairs if pair.first is verdict.fault]
    assert waiting and not any(state.grown for state in waiting)
    assert all(100.0 < state.ohm < 100_000.0 for state in waiting)
    assert verdict.rise_percent < 10.0


def after_the_bridge(kind: str, tags: set[str]) -> tuple[LatentPair, Verdict]:
    study = plan(*OFFSET).faults("pedal")
    first = signal_bridge(study).fault
    pair = next(
        pair for pair in pairs().pairs
        if pair.first is first and pair.second.kind == kind and tags <= set(pair.second.conductors)
    )  # fmt: skip
    return pair, next(verdict for verdict in study.verdicts if verdict.fault is pair.second)


def test_a_second_fault_then_opens_the_engine_that_alone_is_noticed() -> None:
    """One signal on its supply: alone the other track gives it away; with the bridge the other is taken along."""
    pair, alone = after_the_bridge("to-supply", {"W9"})
    assert alone.noticed_share == 1.0 and alone.category == "noticed"
    assert pair.comes.rise_at_rest_percent > 20.0
    assert pair.comes.rise_percent > alone.rise_percent + 20.0


def test_the_pair_is_real_in_a_circuit_that_has_both_faults_from_the_start() -> None:
    from conversion.circuit import Resistor, solve
    from conversion.faults import Joined

    pair, _ = after_the_bridge("to-supply", {"W9"})
    study = plan(*OFFSET).faults("pedal")
    first, second = pair.first.change, pair.second.change
    assert isinstance(first, Joined) and isinstance(second, Joined)
    network = study.circuit.network.with_elements(
        Resistor("first", first.a, first.b, pair.waits.ohm),
        Resistor("second", second.a, second.b, pair.comes.ohm * 1.001),
    )
    volts = np.clip(solve(network).volts[:, network.indices(list(study.read_at))], 0.0, study.ceiling_v)
    at = np.arange(len(volts))
    assert study.believer.silent(volts, at == 0)[pair.comes.position]
    rise = study.believer.rise(volts, study.sweep.percent, at == at[-1])[pair.comes.position]
    assert rise == pytest.approx(pair.comes.rise_percent, abs=1.0)


def test_every_pair_names_the_test_that_would_find_its_first_fault() -> None:
    assert all(pair.found_by.endswith(".") and len(pair.found_by) > 40 for pair in pairs().pairs)


def agreeing_percent(study: FaultStudy) -> float:
    """The per cent at which two inputs that read the same volts also read the same per cent; nan if everywhere."""
    (rest_a, full_a), (rest_b, full_b) = study.believer.scale_v[:2]
    slopes = 100.0 / (full_a - rest_a), 100.0 / (full_b - rest_b)
    if abs(slopes[0] - slopes[1]) < 0.01 * abs(slopes[0]):
        return float("nan")
    volts = (slopes[0] * rest_a - slopes[1] * rest_b) / (slopes[0] - slopes[1])
    return float(slopes[0] * (volts - rest_a))


def test_the_worked_module_agrees_at_or_below_0_per_cent_only_when_its_outputs_touch() -> None:
    study = plan().faults("pedal")
    assert agreeing_percent(study) <= 0.5
    assert signal_bridge(study).noticed_share == 1.0


def test_a_module_of_two_equal_tracks_agrees_everywhere_when_its_outputs_touch() -> None:
    study = plan(*ALIKE).faults("pedal")
    assert np.isnan(agreeing_percent(study))
    verdict = signal_bridge(study)
    assert verdict.noticed_share == 0.0 and verdict.category == "unnoticed, no higher"
    # So it waits for whatever comes next, which takes both along.
    above = verdict.grown_v[study.sweep.percent > 10.0, :2]
    assert np.allclose(above[:, 0], above[:, 1])
