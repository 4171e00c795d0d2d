"""Two descriptions held against each other: cases that can be counted on the fingers, and laws of the comparison."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion import resources
from conversion.bench.compare import Comparison, compare_plans
from conversion.bench.compare.doing import TASKS, Task, wire_change
from conversion.bench.compare.findings import compare_findings
from conversion.bench.compare.laid import Laid, laid_wires
from conversion.bench.compare.names import Names, match_names
from conversion.bench.compare.text import comparison_lines, counted
from conversion.bench.compare.wires import Match, match_wires
from conversion.description import Place, read_description
from conversion.plan import Plan
from conversion.rules import Finding, find_all
from tests.rules.patching import patched_copy, patched_plan

DEMOS = ("market-van", "trials-buggy", "first-attempt")


@cache
def plan_of(demo: str) -> Plan:
    return Plan(read_description(resources.harnesses_dir() / demo))


@cache
def findings_of(demo: str) -> tuple[Finding, ...]:
    return find_all(plan_of(demo))


def compared(new: Plan) -> Comparison[Finding]:
    return compare_plans(plan_of("market-van"), new, findings_of("market-van"), find_all(new))


def patched(folder: Path, *lines: str) -> Comparison[Finding]:
    """The market van against a patched copy of it."""
    return compared(patched_plan(folder, lines))


def rewritten(folder: Path, *changes: tuple[str, str]) -> Comparison[Finding]:
    """The market van against a copy in which every occurrence of some words is another."""
    file = patched_copy(folder, []) / "conversion.yaml"
    text = file.read_text("utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    file.write_text(text, "utf-8")
    return compared(Plan(read_description(file)))


def ends(laid: Laid | None) -> str:
    return f"{laid.wire.start.name} to {laid.wire.end.name}" if laid else ""


def told(found: Comparison[Finding], task: Task) -> list[str]:
    """The ends of the wires of a task."""
    return [ends(change.laid) for change in found.wires if task in change.tasks]


@pytest.mark.parametrize("demo", DEMOS)
def test_a_description_does_not_differ_from_itself(demo: str) -> None:
    plan = plan_of(demo)
    found = compare_plans(plan, Plan(plan.written), findings_of(demo), findings_of(demo))
    assert not found.differs
    assert list(comparison_lines(found))[2:] == [
        "Nothing changed: the loom that was begun is the loom that is planned."
    ]


def test_a_device_that_is_gone_takes_its_wires_with_it(tmp_path: Path) -> None:
    found = patched(tmp_path, "conversion: devices.P1 removed")
    assert [(change.old, change.new) for change in found.devices] == [("P1", None)]
    assert told(found, "cut out") == ["K1.9 to P1.2", "Z1 to P1.1"]
    # The wires after them have other tags; nothing else is done to them.
    assert set(found.counts) == {"cut out", "re-label"}
    for change in found.wires:
        if "re-label" in change.tasks:
            match = change.match
            assert match.old and match.new and ends(match.old) == ends(match.new)
            assert match.old.wire.tag != match.new.wire.tag
    assert [said.rule for said in found.findings.came] == ["completeness/need-open"]
    assert not found.findings.went


def test_what_is_taken_out_one_way_is_added_the_other_way(tmp_path: Path) -> None:
    less = patched_plan(tmp_path, ["conversion: devices.P1 removed"])
    there = compared(less)
    back = compare_plans(less, plan_of("market-van"), find_all(less), findings_of("market-van"))
    assert told(there, "cut out") == told(back, "add")
    assert told(back, "cut out") == []
    assert there.findings.came == back.findings.went and there.findings.went == back.findings.came
    assert {(f.name, f.old, f.new) for f in there.computed} == {(f.name, f.new, f.old) for f in back.computed}


@pytest.mark.parametrize("gone", ["devices.S1", "devices.M1", "loom.splices.Z1", "loom.splices.Z2"])
def test_it_is_the_same_wires_from_either_side(tmp_path: Path, gone: str) -> None:
    less = patched_plan(tmp_path, [f"conversion: {gone} removed"])
    there = compare_plans(plan_of("market-van"), less, (), ())
    back = compare_plans(less, plan_of("market-van"), (), ())
    pairs = {(ends(c.match.old), ends(c.match.new)) for c in there.wires}
    assert pairs == {(ends(c.match.new), ends(c.match.old)) for c in back.wires}
    assert told(there, "cut out") == told(back, "add") != []


def test_a_longer_run_is_taken_from_the_slack_as_long_as_there_is_any(tmp_path: Path) -> None:
    # Two new terminations of 15 mm at each of two ends: 60 mm are laid in; at a splice there are none.
    little = patched(tmp_path / "little", "conversion: loom.runs.board-pedal.length = 560 mm")
    assert set(little.counts) == {"leave"} and "Z1 to S1.3" in told(little, "leave")
    more = patched(tmp_path / "more", "conversion: loom.runs.board-pedal.length = 590 mm")
    assert set(more.counts) == {"leave", "make anew"}
    assert "Z1 to S1.3" in told(more, "make anew") and "K1.10 to S1.2" in told(more, "leave")
    much = patched(tmp_path / "much", "conversion: loom.runs.board-pedal.length = 640 mm")
    assert set(much.counts) == {"make anew"}
    assert told(much, "make anew") == told(little, "leave")
    assert [(f.name, f.old, f.new) for f in much.written] == [("loom.runs.board-pedal.length", "540 mm", "640 mm")]
    less = patched(tmp_path / "less", "conversion: loom.runs.board-pedal.length = 440 mm")
    assert told(less, "shorten") == told(little, "leave") and set(less.counts) == {"shorten"}


def test_another_size_or_colour_is_another_wire(tmp_path: Path) -> None:
    found = patched(
        tmp_path,
        "conversion: loom.wires.1.colour = GYBU",
        "conversion: loom.wires.2.size = 4 mm²",
    )
    anew = {ends(change.laid): change.tasks["make anew"] for change in found.wires if "make anew" in change.tasks}
    assert set(anew) == {"K1.16 to M1.1", "K1.17 to M1.6"}
    assert "GYBU instead of" in anew["K1.16 to M1.1"] and "4.00 mm² instead of" in anew["K1.17 to M1.6"]
    assert not found.counts.get("move") and not found.counts.get("cut out")


def test_two_terminals_that_change_places_move_two_ends(tmp_path: Path) -> None:
    found = patched(
        tmp_path,
        "B1: housings.A.cavities.3 = pedal.b.signal",
        "B1: housings.A.cavities.6 = pedal.a.signal",
    )
    moved = {change.match.new.wire.roles[0]: change.match.moved for change in found.wires if "move" in change.tasks}
    assert {role: [(a.name, b.name) for a, b in pairs] for role, pairs in moved.items()} == {
        "pedal.a.signal": [("B1.3", "B1.6")],
        "pedal.b.signal": [("B1.6", "B1.3")],
    }
    # A contact that only changes its place in a housing is not crimped again, and nothing else is touched.
    assert found.counts == {"move": 2, "re-label": 2}


def test_a_wire_of_the_right_colour_is_moved_before_one_is_cut_again(tmp_path: Path) -> None:
    found = patched(
        tmp_path,
        "K1: housings.A.cavities.20 = pedal.b.signal",
        "K1: housings.A.cavities.23 = pedal.a.signal",
        "B1: housings.A.cavities.3 = pedal.b.signal",
        "B1: housings.A.cavities.6 = pedal.a.signal",
    )
    assert found.counts == {"move": 2, "re-label": 2}
    assert set(told(found, "move")) == {"K1.23 to B1.6", "K1.20 to B1.3"}
    assert {len(change.match.moved) for change in found.wires} == {2}


def test_a_terminal_that_serves_another_purpose_keeps_its_wire() -> None:
    laid = laid_wires(plan_of("market-van"))[0]
    other = replace(laid, wire=replace(laid.wire, roles=("other.lamp",), purpose="own connection"))
    description = plan_of("market-van").description
    names = match_names(description, description)
    (match,) = match_wires([laid], [other], names)
    change = wire_change(match, names)
    assert change is not None and change.tasks == {"re-label": "now own connection"}


def test_a_splice_that_is_gone_moves_the_wires_that_met_there(tmp_path: Path) -> None:
    found = patched(tmp_path, "conversion: loom.splices.Z1 removed")
    assert [(change.old, change.new) for change in found.splices] == [("Z1", None)]
    assert told(found, "cut out") == ["Z1 to F2.2"]
    moved = [change for change in found.wires if change.match.moved]
    assert [[(a.name, b.name) for a, b in change.match.moved] for change in moved] == [[("Z1", "F2.2")]] * 4
    # A splice has no tail and nothing laid in for new terminations: the way to a housing is longer.
    assert all(set(change.tasks) == {"make anew"} for change in moved)


def test_a_device_that_goes_elsewhere_has_its_wires_laid_otherwise(tmp_path: Path) -> None:
    found = patched(tmp_path, "conversion: devices.B1.station = panel")
    laid = told(found, "lay otherwise")
    assert laid and all(" to B1." in each for each in laid) and len(laid) == 6
    assert found.devices[0].said == ("it moves from pedal to panel",)


def test_another_run_between_the_same_stations_is_named(tmp_path: Path) -> None:
    found = patched(
        tmp_path,
        "conversion: loom.runs.below = {between: [board, pedal], length: 640 mm}",
        "conversion: loom.runs.board-pedal.closed_to = [sensors]",
    )
    told_so = {change.tasks["make anew"] for change in found.wires if "make anew" in change.tasks}
    assert told_so and all(said.endswith("; through below instead of board-pedal") for said in told_so)


def test_a_renamed_run_station_and_splice_change_nothing(tmp_path: Path) -> None:
    found = rewritten(tmp_path, ("bulkhead-engine", "front-run"), ("Z1", "Z7"))
    assert [(change.old, change.new) for change in found.splices] == [("Z1", "Z7")]
    assert set(found.counts) == {"re-label"} and all("Z7" in each for each in told(found, "re-label"))
    assert found.written == () and found.computed == ()
    assert found.findings.came == () and found.findings.went == ()


def test_a_renamed_device_keeps_its_wires(tmp_path: Path) -> None:
    found = rewritten(tmp_path, ("S2", "S9"))
    assert [(change.old, change.new) for change in found.devices] == [("S2", "S9")]
    assert set(found.counts) == {"re-label"}
    assert {end.partition(" to ")[2] for end in told(found, "re-label")} == {"S9.1", "S9.2"}
    assert found.findings.came == () and found.findings.went == ()


def test_figures_that_follow_are_told_as_documents_print_them(tmp_path: Path) -> None:
    found = patched(tmp_path, "conversion: linkage.pedal.full_stop.set_at = 21.5° ± 0.5°")
    assert found.wires == ()
    computed = {figure.name: (figure.old, figure.new) for figure in found.computed}
    assert computed["lever at full, planned"] == ("22.5°", "21.5°")
    assert all(old != new for old, new in computed.values())
    assert "0 came, 0 went" in counted(found)


def test_a_figure_that_is_no_longer_known_takes_what_rests_on_it_along(tmp_path: Path) -> None:
    found = patched(tmp_path, "B1: lever.swing = unknown")
    computed = {figure.name: figure for figure in found.computed}
    assert computed["swing left in the module at full"].new is None
    assert [(f.name, f.new) for f in found.written if "swing" in f.name] == [("B1: lever.swing", None)]
    assert found.findings.came


def finding(rule: str, subject: str, message: str) -> Finding:
    return Finding(rule, "NOTE", subject, Place("conversion.yaml", 1, 1), message, "Do so.")


def test_findings_are_matched_through_new_names() -> None:
    old = [finding("a/b", "W1", "W1 is thin: 1 A."), finding("a/b", "W2", "W2 is thin."), finding("a/c", "B1", "Gone.")]
    new = [finding("a/b", "W2", "W2 is thin: 2 A."), finding("a/b", "W3", "W3 is thin."), finding("a/d", "B1", "Came.")]
    found = compare_findings(old, new, {"W1": "W2", "W2": "W3"})
    assert found.came == (new[2],) and found.went == (old[2],)
    assert found.changed == ((old[0], new[0]),)


def renumbered(laid: tuple[Laid, ...], seed: int) -> tuple[Laid, ...]:
    """The same wires with other tags, in another order, some of them named from their other end."""
    order = random.Random(seed)
    tags = [each.wire.tag for each in laid]
    order.shuffle(tags)
    found = []
    for each, tag in zip(laid, tags, strict=True):
        wire = replace(each.wire, tag=tag)
        if order.random() < 0.5:
            wire = replace(wire, start=wire.end, end=wire.start)
            each = replace(each, start_station=each.end_station, end_station=each.start_station)
        found.append(replace(each, wire=wire))
    order.shuffle(found)
    return tuple(found)


@settings(deadline=None, max_examples=40)
@given(seed=st.integers(0, 10_000), demo=st.sampled_from(DEMOS))
def test_tags_order_and_direction_say_nothing_about_which_wire_it_is(seed: int, demo: str) -> None:
    laid = laid_wires(plan_of(demo))
    description = plan_of(demo).description
    names = match_names(description, description)
    other = renumbered(laid, seed)
    for match in match_wires(laid, other, names):
        assert match.old is not None and match.new is not None and match.moved == ()
        assert {*match.old.ends} == {*match.new.ends}
        change = wire_change(match, names)
        assert change is None or set(change.tasks) == {"re-label"}


@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_every_wire_of_both_looms_is_told_of_once(data: st.DataObject) -> None:
    laid = laid_wires(plan_of("market-van"))
    description = plan_of("market-van").description
    names = match_names(description, description)
    before = data.draw(st.lists(st.sampled_from(laid), unique_by=lambda each: each.wire.tag))
    after = data.draw(st.lists(st.sampled_from(laid), unique_by=lambda each: each.wire.tag))
    matches = match_wires(before, after, names)
    assert sorted(m.old.wire.tag for m in matches if m.old) == sorted(each.wire.tag for each in before)
    assert sorted(m.new.wire.tag for m in matches if m.new) == sorted(each.wire.tag for each in after)
    both = {each.wire.tag for each in before} & {each.wire.tag for each in after}
    assert both <= {m.new.wire.tag for m in matches if m.old and m.new and m.old.wire.tag == m.new.wire.tag}


def test_tasks_stand_in_working_order(tmp_path: Path) -> None:
    found = compare_plans(plan_of("first-attempt"), plan_of("market-van"), (), ())
    order = list(TASKS)
    for change in found.wires:
        places = [order.index(task) for task in change.tasks]
        assert places == sorted(places)
    assert list(found.counts) == [task for task in order if task in found.counts]
    assert not any(change.tasks.keys() >= {"make anew", "shorten"} for change in found.wires)


def test_no_way_is_not_another_way() -> None:
    laid = laid_wires(plan_of("market-van"))[0]
    names = Names({}, {}, {}, {})
    lost = replace(laid, cut_mm=None)
    assert wire_change(Match(laid, replace(lost)), match_names(*[plan_of("market-van").description] * 2)) is None
    assert wire_change(Match(None, laid), names).tasks == {"add": ""}
    assert wire_change(Match(laid, None), names).tasks == {"cut out": ""}
