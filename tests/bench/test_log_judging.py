"""Every fault that a sweep can show, put into a sound log; and the sound log itself, in which nothing is found."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.bench.sweeps import judged, names, plan, sweep, text, wanted


@pytest.mark.parametrize("rate_hz", [20.0, 50.0, 200.0, 1000.0])
def test_a_sound_log_has_nothing_above_a_note(tmp_path: Path, rate_hz: float) -> None:
    time, pad, volts = sweep(rate_hz)
    for verdict in (judged(tmp_path, text(time, volts)), judged(tmp_path, text(time, volts, pad))):
        assert verdict.passes, verdict.findings
        for name, track in verdict.record.tracks.items():
            assert track.rest_v == pytest.approx(wanted().tracks[name].rest_v[0], abs=0.006)
            assert track.full_v == pytest.approx(wanted().tracks[name].full_v[0], abs=0.006)


def test_noise_is_told_in_volts(tmp_path: Path) -> None:
    """Against the standard deviation that was put in."""
    time, _, volts = sweep(noise_v=0.004)
    track = judged(tmp_path, text(time, volts)).record.tracks["a"]
    assert track.noise_v == pytest.approx(0.004, rel=0.1)
    time, _, volts = sweep(noise_v=0.03)
    assert names(judged(tmp_path, text(time, volts)))["noise"] == "FIX"


def test_swapped_tracks(tmp_path: Path) -> None:
    time, _, volts = sweep()
    found = names(judged(tmp_path, text(time, {"a": volts["b"], "b": volts["a"]})))
    assert found == {"tracks-swapped": "HOLD"}


def test_a_reversed_track(tmp_path: Path) -> None:
    time, _, volts = sweep()
    found = judged(tmp_path, text(time, volts | {"b": 5.0 - volts["b"]})).findings
    reversed_ones = [each for each in found if each.name == "readings/track-reversed"]
    assert [each.subject for each in reversed_ones] == ["track b"]
    assert reversed_ones[0].severity == "HOLD"


def test_rest_and_full_outside_the_window(tmp_path: Path) -> None:
    time, _, volts = sweep()
    found = names(judged(tmp_path, text(time, volts | {"a": volts["a"] + 0.5})))
    assert found["rest-outside-window"] == "HOLD"
    assert found["full-outside-window"] == "HOLD"


def test_a_pedal_that_does_not_reach_full(tmp_path: Path) -> None:
    keys = [(0, 0), (1.5, 0), (6, 0.8), (7.5, 0.8), (12, 0), (16, 0)]
    time, _, volts = sweep(keys=keys)
    found = names(judged(tmp_path, text(time, volts)))
    assert found["slope"] == "FIX"
    assert "full-outside-window" in found or "full-off-plan" in found


def test_a_low_supply_is_told_from_a_lever_that_stands_wrong(tmp_path: Path) -> None:
    time, _, volts = sweep()
    low = judged(tmp_path, text(time, volts | {"a": 0.94 * volts["a"]}))
    assert names(low)["supply"] == "FIX"
    assert "4.70 V" in next(found.message for found in low.findings if found.name == "readings/supply")
    shifted = judged(tmp_path, text(time, {name: row + 0.06 for name, row in volts.items()}))
    assert "supply" not in names(shifted)


def test_a_logged_supply_is_judged_itself(tmp_path: Path) -> None:
    time, _, volts = sweep()
    log = text(time, volts).splitlines()
    lines = [log[0] + ";supply a [V]", *(line + ";4.80" for line in log[1:])]
    verdict = judged(tmp_path, "\n".join(lines) + "\n")
    assert [found.subject for found in verdict.findings if found.name == "readings/supply"] == ["track a"]


def test_drop_outs_inside_and_outside_of_what_is_valid(tmp_path: Path) -> None:
    time, _, volts = sweep()
    volts["a"][1000] -= 0.5
    volts["b"][500:510] = 0.0
    verdict = judged(tmp_path, text(time, volts))
    by_name = {found.name: found for found in verdict.findings}
    assert by_name["readings/drop-out"].place.line == 1002
    assert by_name["readings/outside-valid"].place.line == 502
    assert verdict.record.tracks["b"].outside.count == 1
    assert verdict.record.tracks["b"].outside.longest.lasts_s == pytest.approx(0.045, abs=1e-6)


def test_disagreement_counts_once_it_lasts(tmp_path: Path) -> None:
    time, _, volts = sweep()
    span = np.ptp(volts["b"])
    for rows, name in ((10, "disagree-shortly"), (60, "disagree")):
        changed = volts["b"].copy()
        changed[900 : 900 + rows] += 0.12 * span
        verdict = judged(tmp_path, text(time, volts | {"b": changed}))
        assert name in names(verdict)
        worst = verdict.record.worst_apart["a", "b"]
        assert worst == pytest.approx(12.0, abs=1.5)


def test_a_dead_spot(tmp_path: Path) -> None:
    time, _, volts = sweep()
    low, high = np.quantile(volts["b"][400:1100], [0.40, 0.46])
    held = np.where((volts["b"] > low) & (volts["b"] < high), low, volts["b"])
    verdict = judged(tmp_path, text(time, volts | {"b": held}))
    dead = [found for found in verdict.findings if found.name == "readings/dead-spot"]
    assert [found.subject for found in dead] == ["track b"]
    place = 100.0 * (low - wanted().tracks["b"].rest_v[0]) / np.ptp([end[0] for end in _ends("b")])
    assert f"between {place:.0f} %" in dead[0].message or f"between {place - 1:.0f} %" in dead[0].message
    assert time[dead[0].place.line - 2] == pytest.approx(3.45, abs=0.3)


def _ends(name: str) -> tuple[tuple[float, float, float], ...]:
    return wanted().tracks[name].rest_v, wanted().tracks[name].full_v


def test_play_is_seen_with_the_pad_and_without(tmp_path: Path) -> None:
    time, pad, volts = sweep()
    behind = np.interp(time, time, pad)
    behind[1300:] = np.minimum(pad[1300:] + 0.05 * pad.max(), pad.max())
    late = {n: np.interp(behind, wanted().pad_mm, t.volts) for n, t in wanted().tracks.items()}
    assert names(judged(tmp_path, text(time, late, pad)))["hysteresis"] == "FIX"
    assert names(judged(tmp_path, text(time, volts | {"b": late["b"]})))["hysteresis"] == "FIX"


def test_a_release_is_timed(tmp_path: Path) -> None:
    """The time that was put in: from 14.40 s to within 2 % of rest, 0.98 of 0.16 s later."""
    time, _, volts = sweep(1000.0, noise_v=0.001)
    (release,) = judged(tmp_path, text(time, volts)).record.releases
    assert release.from_full
    assert release.start_s == pytest.approx(14.40, abs=0.01)
    assert release.returned_s == pytest.approx(0.98 * 0.16, abs=0.01)


def test_a_pedal_that_sticks(tmp_path: Path) -> None:
    keys = [(0, 0), (1.5, 0), (6, 1), (7.5, 1), (12, 0), (13, 0), (13.6, 1), (14.4, 1), (14.56, 0.06)]
    slow, stuck = [*keys, (16.4, 0.0), (20.0, 0.0)], [*keys, (20.0, 0.06)]
    time, _, volts = sweep(keys=slow)
    assert names(judged(tmp_path, text(time, volts)))["slow-return"] == "HOLD"
    time, _, volts = sweep(keys=stuck)
    assert names(judged(tmp_path, text(time, volts)))["does-not-return"] == "HOLD"


def test_a_slow_sweep_back_is_no_release(tmp_path: Path) -> None:
    time, _, volts = sweep(keys=[(0, 0), (1.5, 0), (6, 1), (7.5, 1), (12, 0), (14, 0)])
    verdict = judged(tmp_path, text(time, volts))
    assert not verdict.record.releases
    assert names(verdict) == {"no-release": "NOTE"}


def test_a_track_that_stands_still(tmp_path: Path) -> None:
    time, _, volts = sweep()
    assert names(judged(tmp_path, text(time, volts | {"b": np.full_like(time, 0.51)})))["stands-still"] == "HOLD"


def test_the_logged_per_cent_is_compared(tmp_path: Path) -> None:
    time, pad, volts = sweep()
    log = text(time, volts).splitlines()
    for factor, expected in ((1.0, False), (0.9, True)):
        share = np.interp(pad, wanted().pad_mm, wanted().percent) * factor
        lines = [log[0] + ";per cent", *(f"{line};{one:.1f}" for line, one in zip(log[1:], share, strict=True))]
        assert ("other-percent" in names(judged(tmp_path, "\n".join(lines) + "\n"))) is expected


def test_the_limit_of_the_return_is_the_standards(tmp_path: Path) -> None:
    time, _, volts = sweep()
    assert judged(tmp_path, text(time, volts)).limit_s == plan().return_time.limit_s


def test_sound_logs_of_every_rate_and_step_raise_no_alarm(tmp_path: Path) -> None:
    """Forty made-up sound sweeps; a logger's steps of 20 mV count as noise, and as nothing else."""
    random = np.random.default_rng(11)
    for seed in range(20):
        rate_hz, noise_v = float(random.choice([20.0, 50.0, 400.0])), float(random.choice([0.001, 0.004, 0.006]))
        step_v = float(random.choice([0.0, 0.001, 0.005, 0.02]))
        time, pad, volts = sweep(rate_hz, noise_v, seed=seed)
        if step_v:
            volts = {name: step_v * np.round(row / step_v) for name, row in volts.items()}
        for log in (text(time, volts), text(time, volts, pad)):
            assert set(names(judged(tmp_path, log))) <= ({"noise"} if step_v == 0.02 else set()), (rate_hz, noise_v)
