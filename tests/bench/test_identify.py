"""Unknown modules: hundreds simulated and measured with an imperfect meter, and what must never be taken for one."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from conversion.bench.unknown.identify import Identification, identify
from conversion.bench.unknown.turns import turns
from tests.bench.simulated_modules import KINDS, NONE_KINDS, Module, module, no_potentiometer, read_off, shuffled

EACH = 30


def judged(made: Module, found: Identification) -> str:
    """``right``, ``wrong``, or the verdict that claims nothing."""
    if found.verdict != "found":
        return found.verdict
    tracks = {(frozenset(track.ends), track.wiper) for track in found.tracks}
    contacts = {(frozenset((each.terminal, each.partner)), each.closed) for each in found.contacts}
    return "right" if tracks == set(made.tracks) and contacts == set(made.contacts) else "wrong"


@cache
def rates(kind: str, normal: bool) -> Counter[str]:
    """How often modules of a kind are judged what."""
    rng = np.random.default_rng(KINDS.index(kind))
    counted: Counter[str] = Counter()
    for _ in range(EACH):
        made = module(kind, rng)
        found = identify(made.measured(rng, normal=normal))
        counted[judged(made, found)] += 1
        if found.verdict == "undecided":
            assert found.further, "undecided, and no reading is named that would decide"
        if found.verdict == "found":
            _compare_figures(made, found)
    return counted


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("normal", [False, True], ids=["within 1 %", "1 % standard deviation"])
def test_modules_are_understood_or_it_is_said_that_they_are_not(kind: str, normal: bool) -> None:
    counted = rates(kind, normal)
    assert counted["wrong"] == 0
    assert counted["right"] >= 0.9 * EACH, counted
    assert counted["no-fit"] <= (1 if normal else 0), counted


def _compare_figures(made: Module, found: Identification) -> None:
    for track in found.tracks:
        first, rest, full = made.shares[track.wiper]
        shares = (rest, full) if track.ends[0] == first else (1.0 - rest, 1.0 - full)
        off = np.abs(track.share - np.array(shares)) / track.share_spread
        assert off.max() < 5.0


@pytest.mark.parametrize("kind", NONE_KINDS)
def test_what_is_no_potentiometer_is_not_taken_for_one(kind: str) -> None:
    rng = np.random.default_rng(3)
    for _ in range(25):
        found = identify(read_off(no_potentiometer(kind, rng), rng, 0.01, 0.3, False))
        assert found.verdict == "no-fit" or (found.verdict == "undecided" and found.further)


def test_two_wipers_on_one_track_fit_nothing() -> None:
    rng = np.random.default_rng(4)
    made = Module(terminals=4)
    ohm, low, high = 2000.0, ("touch", 2), ("touch", 3)
    made.elements = [
        (0, low, 0.1 * ohm, 0.6 * ohm), (low, high, 0.2 * ohm, 0.25 * ohm), (high, 1, 0.7 * ohm, 0.15 * ohm),
        (low, 2, 900.0, 900.0), (high, 3, 900.0, 900.0),
    ]  # fmt: skip
    assert identify(made.measured(rng)).verdict == "no-fit"


@pytest.mark.parametrize("pull_ohm", [3e3, 2e4, 1e5])
def test_pull_resistors_inside_never_lead_to_a_wrong_answer(pull_ohm: float) -> None:
    rng = np.random.default_rng(5)
    for _ in range(15):
        made = module("separate", rng)
        for ends, wiper in made.tracks:
            made.elements.append((wiper, min(ends), pull_ohm, pull_ohm))
        assert judged(made, identify(made.measured(rng))) != "wrong"


def test_a_slip_is_named_or_changes_nothing() -> None:
    rng = np.random.default_rng(6)
    named = 0
    for number in range(40):
        made = module(KINDS[number % len(KINDS)], rng)
        readings = made.measured(rng)
        position, i, j = rng.choice(np.argwhere(np.isfinite(readings.ohm)))
        factor = rng.choice([0.1, 0.5, 0.8, 0.95, 1.05, 1.3, 2.0, 10.0])
        for table in (readings.ohm, readings.tolerance_ohm):
            table[position, [i, j], [j, i]] *= factor
        found = identify(readings)
        assert judged(made, found) != "wrong"
        if found.verdict == "undecided" and not 0.9 < factor < 1.1:
            named += 1
            assert (position, (min(i, j), max(i, j))) in [(each.position, each.pair) for each in found.further]
    assert named >= 15


@pytest.mark.parametrize("unread", [1, 3, 6])
def test_pairs_left_out_lead_to_the_reading_that_decides(unread: int) -> None:
    """Following the advice ends with the right answer."""
    rng = np.random.default_rng(7)
    for number in range(18):
        made = module(KINDS[number % len(KINDS)], rng)
        whole = made.measured(rng)
        readings = whole
        for _ in range(unread):
            first, second = rng.choice(made.terminals, 2, replace=False)
            readings = readings.without(int(rng.integers(2)), int(first), int(second))
        found = identify(readings)
        for _ in range(10):
            assert judged(made, found) != "wrong"
            if found.verdict != "undecided" or not any(each.position is not None for each in found.further):
                break
            for each in found.further:
                if each.position is not None:
                    for i, j in (each.pair, each.pair[::-1]):
                        readings.ohm[each.position, i, j] = whole.ohm[each.position, i, j]
                        readings.tolerance_ohm[each.position, i, j] = whole.tolerance_ohm[each.position, i, j]
            found = identify(readings)
        assert judged(made, found) in ("right", judged(made, identify(whole)))


def _opposed(wiper_ohm: float) -> Module:
    """Equal tracks on both supplies, one the mirror image of the other."""
    made = Module(terminals=4)
    for wiper, rest, full in ((2, 0.2, 0.8), (3, 0.8, 0.2)):
        touch = ("touch", wiper)
        made.elements += [
            (0, touch, 2000.0 * rest, 2000.0 * full),
            (touch, 1, 2000.0 * (1 - rest), 2000.0 * (1 - full)),
            (touch, wiper, wiper_ohm, wiper_ohm),
        ]
        made.tracks.append((frozenset((0, 1)), wiper))
    return made


def test_ends_and_wipers_that_no_reading_tells_apart_are_to_be_watched() -> None:
    """A ring of four: with no resistor in the wipers' way it is the same network with ends and wipers exchanged."""
    rng = np.random.default_rng(8)
    found = identify(_opposed(0.5).measured(rng))
    assert found.verdict == "undecided"
    assert {(each.position, each.pair) for each in found.further} == {(None, (0, 1)), (None, (2, 3))}
    made = _opposed(800.0)
    assert judged(made, identify(made.measured(rng))) == "right"


def test_three_tracks_on_one_supply() -> None:
    rng = np.random.default_rng(9)
    made = Module()
    supply = made.terminal()
    for _ in range(3):
        made.track(rng, supply, made.terminal(), made.terminal(), True, True)
    made.contact(rng, made.terminal(), supply)
    made = shuffled(made, rng)
    found = identify(made.measured(rng))
    assert judged(made, found) == "right"
    (group,) = found.groups
    assert group.best and [len(turn.supply) for turn in turns(group.best)] in ([1, 3], [3, 1])


def test_both_ways_round_are_mirror_images() -> None:
    rng = np.random.default_rng(10)
    (group,) = identify(module("single track", rng).measured(rng)).groups
    assert group.best
    one, other = turns(group.best)
    assert one.supply == other.ground and one.ground == other.supply
    assert np.allclose(np.array(one.outputs) + np.array(other.outputs), 1.0)


def test_an_order_of_terminals_changes_nothing() -> None:
    rng = np.random.default_rng(11)
    made = module("shared both with a contact", rng)
    readings = made.measured(rng)
    order = rng.permutation(made.terminals)
    from dataclasses import replace

    turned = replace(
        readings,
        ohm=readings.ohm[:, order][:, :, order],
        tolerance_ohm=readings.tolerance_ohm[:, order][:, :, order],
    )
    place = np.argsort(order)
    one, other = identify(readings), identify(turned)
    assert {(frozenset(place[list(track.ends)].tolist()), int(place[track.wiper])) for track in one.tracks} == {
        (frozenset(track.ends), track.wiper) for track in other.tracks
    }


@pytest.mark.parametrize("normal", [False, True])
def test_the_page_tells_the_rates_of_this_very_run(normal: bool) -> None:
    """Within two modules, since a last digit that differs from machine to machine may tip one."""
    total = sum((rates(kind, normal) for kind in KINDS), Counter[str]())
    page = (Path(__file__).parents[2] / "docs" / "identify.md").read_text("utf-8")
    row = re.search(rf"^\| {'1 % standard deviation' if normal else 'within ± 1 %'} \|(.*)\|$", page, re.MULTILINE)
    assert row
    said = [int(cell) for cell in row[1].split("|")]
    assert sum(said) == len(KINDS) * EACH
    for figure, word in zip(said, ("right", "undecided", "no-fit", "wrong"), strict=True):
        assert abs(figure - total[word]) <= (0 if word == "wrong" else 2), total
