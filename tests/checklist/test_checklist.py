"""The checklist of the worked conversion: nothing is left out, nothing stands twice, and every figure is the plan's."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from conversion import resources
from conversion.checklist import STAGES, Stage, Step, build_checklist, cover_cautions, not_checked, sign_off
from conversion.description import Place, Terminal, read_description
from conversion.plan import Plan
from conversion.plan.loom.neighbours import Neighbours, joined_by_loom
from conversion.quantities import show
from conversion.rules import Finding, find_all
from tests.rules.patching import patched_plan

DEMOS = ("market-van", "trials-buggy", "first-attempt")


@cache
def plan(demo: str = "market-van") -> Plan:
    return Plan(read_description(resources.harnesses_dir() / demo))


@cache
def stages(demo: str = "market-van") -> tuple[Stage, ...]:
    return build_checklist(plan(demo), find_all(plan(demo)))


def stage(key: str, demo: str = "market-van") -> Stage:
    return next(each for each in stages(demo) if each.key == key)


def whats(one: Stage) -> list[str]:
    return [row.what for step in one.steps for row in step.rows]


def step_with(one: Stage, words: str) -> Step:
    found = [step for step in one.steps if words in step.text]
    assert len(found) == 1, f"{len(found)} steps of {one.key} say {words!r}"
    return found[0]


def expected(one: Stage, what: str) -> str | None:
    found = [row.expected for step in one.steps for row in step.rows if row.what == what]
    assert len(found) == 1, f"{len(found)} rows of {one.key} are called {what!r}"
    return found[0]


def finding(rule: str, severity: str = "HOLD", decided: bool = True) -> Finding:
    return Finding(rule, severity, "B1", Place("conversion.yaml", 1, 1), "It is so.", "Mend it.", decided)  # type: ignore[arg-type]


@pytest.mark.parametrize("demo", DEMOS)
def test_the_stages_stand_in_working_order(demo: str) -> None:
    assert [one.key for one in stages(demo)] == list(STAGES)
    assert next(iter(STAGES)) == "strip-down" and list(STAGES)[-1] == "road"


@pytest.mark.parametrize("demo", DEMOS)
def test_steps_are_numbered_through_and_none_twice(demo: str) -> None:
    for position, one in enumerate(stages(demo), start=1):
        assert [step.number for step in one.steps] == [f"{position}.{n}" for n in range(1, len(one.steps) + 1)]


@pytest.mark.parametrize("demo", DEMOS)
def test_each_step_has_a_box_a_table_or_a_hold(demo: str) -> None:
    idle = [
        step.number
        for one in stages(demo)
        for step in one.steps
        if step.measured_unit is None and not step.rows and step.hold is None
    ]
    assert idle == []


@pytest.mark.parametrize("demo", DEMOS)
def test_each_caution_stands_at_a_step_that_is_there(demo: str) -> None:
    for one in stages(demo):
        places = {one.key, *(step.number for step in one.steps)}
        assert {caution.where for caution in one.cautions} <= places
        texts = [(caution.where, caution.text) for caution in one.cautions]
        assert len(texts) == len(set(texts))


@pytest.mark.parametrize("demo", DEMOS)
def test_no_figure_is_printed_that_is_none(demo: str) -> None:
    for one in stages(demo):
        for step in one.steps:
            for text in (step.text, step.expected, *(part for row in step.rows for part in (row.what, row.expected))):
                assert not re.search(r"\bnan\b|\bNone\b|\binf\b|\bnone (mm|V|ohm)|[<{]", text or ""), text


@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize("where", ["loom", "bench-test", "fitting"])
def test_every_wire_is_cut_rung_through_and_read_to_the_body(demo: str, where: str) -> None:
    tags = set(re.findall(r"\bW\d+\b", " ".join(whats(stage(where, demo)))))
    assert tags == {wire.tag for wire in plan(demo).wiring.wires}


def test_a_wire_says_its_ends_and_how_long_it_is_cut() -> None:
    wire = plan().wiring.of_role("pedal.a.signal")[0]
    length = plan().lengths[wire.tag].cut_mm
    rows = [row for step in stage("loom").steps for row in step.rows if row.what.startswith(f"{wire.tag},")]
    assert [row.expected for row in rows] == [show(length, "cut")]
    assert wire.start.name in rows[0].what and wire.end.name in rows[0].what and wire.colour in rows[0].what


@pytest.mark.parametrize("demo", DEMOS)
def test_every_device_is_fitted(demo: str) -> None:
    fitted = {what.split(",")[0] for what in whats(stage("fitting", demo))}
    assert set(plan(demo).description.parts) <= fitted


@pytest.mark.parametrize("demo", DEMOS)
def test_every_device_is_read_or_proven_before_the_start(demo: str) -> None:
    both = stage("bench-test", demo), stage("first-power", demo)
    texts = " ".join(text for one in both for text in (*whats(one), *(step.text for step in one.steps)))
    for reference in plan(demo).description.parts:
        assert re.search(rf"\b{reference}\b", texts), reference


def test_pad_and_lever_are_expected_as_planned() -> None:
    travel = plan().travel
    mechanical = stage("mechanical")
    nominal, least, greatest = (show(value, "length") for value in travel.pad_at_full_mm)
    assert step_with(mechanical, "Set the full stop").expected == f"{nominal} ({least} to {greatest})"
    nominal, least, greatest = (show(value, "angle") for value in travel.lever_at_full_rad)
    assert expected(mechanical, "Lever at the pedal's full stop") == f"{nominal} ({least} to {greatest})"
    nominal, least, greatest = (show(value, "angle") for value in travel.lever_at_rest_rad)
    assert step_with(mechanical, "adjust the rod").expected == f"{nominal} ({least} to {greatest})"
    left = f"{show(travel.margin_rad, 'angle')}, at least {show(travel.worst_margin_rad, 'angle')}"
    assert expected(mechanical, "Swing left to the module's own stop") == left
    assert expected(mechanical, "What ends the travel") == "the pedal's full stop"


def test_what_is_drilled_is_measured_again() -> None:
    """Holes of 6.4 mm at (-16, -20), (-16, 20) and (16, 0): 40 mm apart, then √(32² + 20²) = 37.7 mm."""
    mechanical = stage("mechanical")
    assert expected(mechanical, "Face of the bracket: hole 3") == "6.4 mm"
    between = "Face of the bracket: middle of hole {} to middle of hole {}"
    assert expected(mechanical, between.format(1, 2)) == "40.0 mm"
    assert expected(mechanical, between.format(2, 3)) == "37.7 mm"
    assert expected(mechanical, "Lever: hole for the pin") == "6.1 mm"


def test_the_lever_is_read_over_the_whole_travel() -> None:
    rows = step_with(stage("mechanical"), "in steps").rows
    assert len(rows) == 5
    middle = plan().travel
    assert show(float(middle.lever_rad[20]), "angle") in (rows[2].expected or "")
    assert show(float(middle.pad_travel_mm[20]), "length") in (rows[2].expected or "")


def test_volts_are_expected_as_planned_at_the_control_unit() -> None:
    for sensor, rest, full in (
        ("pedal", "pedal at rest", "pedal at its full stop"),
        ("throttle", "plate closed", "plate open"),
    ):
        for name, sweep in plan().sensor(sensor).tracks.items():  # type: ignore[arg-type]
            terminal = plan().wiring.of_role(f"{sensor}.{name}.signal")[0].start.name
            for words, index in ((rest, 0), (full, -1)):
                nominal, least, greatest = (
                    show(float(volts[index]), "voltage") for volts in (sweep.volts, sweep.volts_min, sweep.volts_max)
                )
                what = f"{sensor.capitalize()} track {name} at {terminal}, {words}"
                assert expected(stage("first-power"), what) == f"{nominal} ({least} to {greatest})"


def test_each_spring_comes_out_in_turn_and_the_rod_comes_off() -> None:
    rows = {row.what: row.expected for row in step_with(stage("mechanical"), "Prove the return").rows}
    cases = {(case.spring_out, case.half): case for case in plan().returns.cases if case.kind != "all-in"}
    for name in plan().description.conversion.springs:
        margin = show(cases[name, "both"].margin_nm, "moment")
        assert rows[f"Spring {name} out, rod on"] == f"returns, at least {margin} above friction"
    time = rows.pop("Time from full to rest, let go at once")
    assert time is not None and time.startswith(f"within {show(plan().return_time.limit_s, 'time')}")
    assert len(rows) == len(plan().returns.cases)
    assert show(cases["", "pedal"].margin_nm, "moment") in (rows["Rod off: the pedal"] or "")
    assert show(cases["", "module"].margin_nm, "moment") in (rows["Rod off: the lever"] or "")


def test_a_pedal_that_does_not_return_is_said_to_stay(tmp_path: Path) -> None:
    weak = patched_plan(tmp_path, ["conversion: linkage.pedal.friction = 40 N·m"])
    made = build_checklist(weak, find_all(weak))
    rows = [row for one in made for step in one.steps for row in step.rows if row.what == "All springs in, rod on"]
    assert rows and all("does not return as planned" in (row.expected or "") for row in rows)


def test_neighbours_are_read_but_not_what_the_loom_joins() -> None:
    rows = [row for row in step_with(stage("bench-test"), "neighbours").rows]
    pairs = {
        frozenset((row.what.split(" at ")[1].split(":")[0], other))
        for row in rows
        for other in row.what.split("against ")[1].split(", ")
    }
    pieces = joined_by_loom(plan().wiring)
    near = Neighbours(plan().description)
    wired = [end for end in pieces if isinstance(end, Terminal)]
    wanted = {
        frozenset((one.name, other.name))
        for one in wired
        for other in near.of(one)
        if other in pieces and pieces[other] != pieces[one]
    }
    assert pairs == wanted
    joined = {frozenset((one.name, other.name)) for one in wired for other in near.of(one)} - wanted
    assert joined, "the van has two grounds side by side, which the stud joins"
    assert sum(row.what.count(",") + 1 for row in rows) == len(pairs), "no pair stands twice"


def test_neighbours_are_those_beside_above_and_at_the_corners(tmp_path: Path) -> None:
    rows = '[["1", "2", "3"], ["4", "5"], ["6", "7", "8", "9"]]'
    lines = [f"S2: housings.B = {{positions: 9, rows: {rows}, cavities: {{{_spares('123456789')}}}}}"]
    description = patched_plan(tmp_path, lines).description
    near = Neighbours(description)

    def of(cavity: str) -> str:
        return "".join(each.cavity for each in near.of(description.terminal("S2", "B", cavity)))

    assert of("5") == "1234678" and of("1") == "245" and of("9") == "8" and of("3") == "25"
    lines = [f"S2: housings.B = {{positions: 9, rows: {rows}, cavities: {{{_spares('15')}}}}}"]
    description = patched_plan(tmp_path, lines).description
    assert [each.cavity for each in Neighbours(description).of(description.terminal("S2", "B", "1"))] == ["5"]


def _spares(cavities: str) -> str:
    return ", ".join(f"{cavity}: other.spare-{cavity}" for cavity in cavities)


def test_a_splice_is_read_through_a_terminal() -> None:
    splices = [row.what for row in step_with(stage("bench-test"), "from end to end").rows if "splice" in row.what]
    assert splices and all(re.search(r", \S+\.\S+ through splice \S+ to \S+\.\S+$", what) for what in splices)


def test_each_track_is_unplugged_in_turn() -> None:
    step = step_with(stage("commissioning"), "one track at a time")
    assert "T.4.2.7" in step.text
    assert [row.what.split(" at ")[0] for row in step.rows] == [
        "Pedal track a", "Pedal track b", "Throttle track a", "Throttle track b",
    ]  # fmt: skip
    assert {row.expected for row in step.rows} == {"the lamp lights and the throttle loses its power"}


def test_where_unplugging_is_not_noticed_it_is_said(tmp_path: Path) -> None:
    floating = patched_plan(tmp_path, ["K1: accepts.pedal.tracks.a.pull = none"])
    made = build_checklist(floating, find_all(floating))
    step = step_with(next(one for one in made if one.key == "commissioning"), "one track at a time")
    assert "without that do not go on" in (step.rows[0].expected or "")
    assert "do not notice it" in (step.rows[0].expected or "")
    assert step.rows[1].expected == "the lamp lights and the throttle loses its power"


def test_fixed_hold_points_are_always_there() -> None:
    points = {step.hold.key: step.hold for one in stages() for step in one.steps if step.hold}
    assert list(points) == [
        "before-welding", "before-pressing-hard", "before-first-power", "before-first-start", "before-the-road",
    ]  # fmt: skip
    assert all(point.second_person and not point.findings for point in points.values())


def test_a_hold_of_a_patched_description_stops_the_work(tmp_path: Path) -> None:
    patched = patched_plan(tmp_path, ["conversion: linkage.pedal.full_stop.set_at = 26°"])
    findings = find_all(patched)
    holds = {found.rule for found in findings if found.severity == "HOLD"}
    assert "travel/module-stop-first" in holds
    points = {step.hold.key: step.hold for one in build_checklist(patched, findings) for step in one.steps if step.hold}
    assert "travel/module-stop-first" in points["before-metal"].rules
    for key in ("before-fitting", "before-first-power", "before-first-start", "before-the-road"):
        assert holds <= set(points[key].rules)
    assert points["before-welding"].findings == ()


@pytest.mark.parametrize(
    ("rule", "severity", "at"),
    [
        ("return/does-not-return", "HOLD", {"before-metal", "before-fitting", "before-first-power",
                                            "before-first-start", "before-the-road"}),
        ("redundancy/shared-splice", "HOLD", {"before-loom", "before-fitting", "before-first-power",
                                              "before-first-start", "before-the-road"}),
        ("range/rest-window", "HOLD", {"before-fitting", "before-first-power", "before-first-start",
                                       "before-the-road"}),
        ("range/rest-window", "FIX", {"before-the-road"}),
        ("range/rest-window", "NOTE", set()),
    ],
)  # fmt: skip
def test_what_a_finding_stops(rule: str, severity: str, at: set[str]) -> None:
    made = build_checklist(plan(), [finding(rule, severity)])
    stopped = {step.hold.key for one in made for step in one.steps if step.hold and step.hold.findings}
    assert stopped == at


def test_an_undecided_hold_stops_the_work_as_well() -> None:
    made = build_checklist(plan(), [finding("return/does-not-return", decided=False)])
    assert any(step.hold and step.hold.key == "before-metal" for one in made for step in one.steps)


@pytest.mark.parametrize(
    ("where", "words"),
    [
        ("mechanical", ("disconnect the battery", "unplug every control unit")),
        ("mechanical", ("Fuel and brake lines",)),
        ("mechanical", ("full weight",)),
        ("mechanical", ("drill, heat", "plastic lever")),
        ("mechanical", ("lock nuts",)),
        ("mechanical", ("captive washer",)),
        ("mechanical", ("eats sweep",)),
        ("mechanical", ("rod bows",)),
        ("strip-down", ("Airbag", "column")),
        ("fitting", ("Airbag", "column")),
        ("fitting", ("fire and fumes",)),
        ("fitting", ("Hot exhaust",)),
        ("loom", ("crimp", "pull them")),
        ("bench-test", ("Fingers", "throttle plate")),
        ("first-power", ("Fingers", "throttle plate")),
        ("commissioning", ("chocked", "neutral", "second person", "stop switch")),
        ("commissioning", ("redundancy fault",)),
        ("road", ("Never drive on a redundancy fault",)),
    ],
)
def test_cautions_stand_where_the_work_is(where: str, words: tuple[str, ...]) -> None:
    assert any(all(word in caution.text for word in words) for caution in stage(where).cautions)


def test_hall_tracks_bring_their_caution_and_their_papers() -> None:
    assert not any("Hall" in caution.text for one in stages() for caution in one.cautions)
    buggy = stage("bench-test", "trials-buggy")
    step = step_with(buggy, "with the papers")
    assert any("Never power it on a guess" in caution.text for caution in buggy.cautions_at(step.number))
    read = [row for step in buggy.steps for row in step.rows if row.what.startswith("Track a, hall")]
    assert read and all("do not probe" in (row.expected or "") for row in read)


def test_three_tracks_are_all_there(tmp_path: Path) -> None:
    lines = [
        "B1: housings.C = {positions: 3, cavities: {1: pedal.c.supply, 2: pedal.c.ground, 3: pedal.c.signal}}",
        "K1: housings.C = {positions: 3, cavities: {1: pedal.c.supply, 2: pedal.c.ground, 3: pedal.c.signal}}",
        "B1: tracks.c = {principle: potentiometer, resistance: 2 kohm, source_resistance: 1 kohm, series: 0 ohm,"
        " pull: none, output: {rest: 12 %, full: 60 %}}",
        "K1: supplies.four = {voltage: 5 V, limit: 30 mA, roles: [pedal.c.supply]}",
        "K1: accepts.pedal.tracks.c = {valid: 0.2 V..4 V, rest: 0.4 V..0.9 V, full: 2.5 V..3.5 V,"
        " pull: {to: ground, resistance: 220 kohm}}",
    ]
    three = patched_plan(tmp_path, lines)
    made = {one.key: one for one in build_checklist(three, find_all(three))}
    assert any(what.startswith("Track c, end to end: B1.C.1 to B1.C.2") for what in whats(made["bench-test"]))
    assert any(what.startswith("Pedal track c at K1.C.3, pedal at rest") for what in whats(made["first-power"]))
    assert any(what.startswith("Pedal track c at K1.C.3") for what in whats(made["commissioning"]))


def test_the_cover_says_how_many_holds_there_are() -> None:
    assert not any("HOLD" in caution.text for caution in cover_cautions(plan(), ()))
    two = [finding("range/rest-window"), finding("range/full-window")]
    assert cover_cautions(plan(), two)[0].text.startswith("2 findings say HOLD")
    assert {caution.where for caution in cover_cautions(plan(), two)} == {"cover"}


def test_what_was_not_checked_ends_with_who_decides() -> None:
    said = not_checked(plan())
    assert any("real software" in line for line in said) and any("Strength" in line for line in said)
    assert "approval authority" in said[-1] and "licensed practitioner" in said[-1] and "safe or legal" in said[-1]


def test_sign_off_carries_what_identifies_the_car_and_each_hold_point() -> None:
    page = sign_off(plan(), find_all(plan()), stages())
    conversion = plan().description.conversion
    assert (page.vehicle, page.builder, page.revision) == (
        conversion.vehicle.identity, conversion.builder, conversion.revision,
    )  # fmt: skip
    assert page.date == conversion.date.isoformat()
    numbers = [step.number for one in stages() for step in one.steps if step.hold]
    assert [point.step for point in page.holds] == numbers
    assert len(page.photographs) == len(set(page.photographs)) > 8
    findings = [finding("range/rest-window"), finding("range/near", "NOTE")]
    blocked = sign_off(plan(), findings, build_checklist(plan(), findings))
    assert [found.rule for found in blocked.open_findings] == ["range/rest-window"]


def test_the_same_plan_gives_the_same_words() -> None:
    again = Plan(read_description(resources.harnesses_dir() / "market-van"))
    assert build_checklist(again, find_all(again)) == stages()
    assert replace(stages()[0], title="x") != stages()[0]


def _samples(one: Stage) -> dict[str, str | None]:
    rows = step_with(one, "samples of each contact").rows
    return {row.what.partition(":")[0]: row.expected for row in rows}


def test_each_size_of_a_contact_has_its_own_crimp_height() -> None:
    samples = _samples(stage("loom"))
    for contact in ("small socket contact", "push-on receptacle 4.8 mm", "narrow fuse contact"):
        heights = [float((samples[what] or "").split()[0]) for what in sorted(samples) if what.startswith(contact)]
        assert len(heights) > 1 and heights == sorted(set(heights)), f"{contact}: {heights}"
    assert samples["small socket contact on 0.50 mm²"] == "1.10 mm ± 0.05 mm; at least 50 N"


def test_a_crimp_height_that_is_not_named_is_left_to_be_written_in(tmp_path: Path) -> None:
    heights = "K1: housings.A.contact.crimp_height = {0.35 mm²: 1.05 mm, 0.75 mm²: 1.15 mm}"
    other = patched_plan(tmp_path, [heights, "M1: housings.A.contact.crimp_height = {1.0 mm²: 1.25 mm}"])
    samples = _samples(next(each for each in build_checklist(other, ()) if each.key == "loom"))
    said = samples["small socket contact on 0.50 mm²"]
    assert said == "height as its maker's sheet gives for 0.50 mm² (write it in); at least 50 N"
    assert (samples["small socket contact on 0.75 mm²"] or "").startswith("1.15 mm")


def test_tubes_and_seals_go_on_before_the_contact() -> None:
    for demo in DEMOS:
        assert "before the contact is crimped" in step_with(stage("loom", demo), "End every wire").text
        assert "before the barrel is crimped" in step_with(stage("loom", demo), "Make the splices").text
        clear = [step.text for step in stage("loom", demo).steps if step.text.startswith("Clear tube")]
        form = plan(demo).description.conversion.loom
        assert form is not None and len(clear) == (form.labels is None)
