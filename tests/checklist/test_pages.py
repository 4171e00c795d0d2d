"""The pages beside the checklist: prompts for authorities, calibration sheet, evidence and how to measure."""

from __future__ import annotations

import re
from fnmatch import fnmatchcase
from pathlib import Path

import pytest

from conversion import resources
from conversion.checklist import calibration_sheet, evidence_table, roadworthiness
from conversion.checklist.evidence import tolerance_text
from conversion.checklist.figure_names import figure_name
from conversion.checklist.roadworthiness import prompts_of
from conversion.description import read_description
from conversion.description.conversion import COUNTRIES, GENERIC_COUNTRY
from conversion.plan import Plan
from conversion.plan.measuring import how_to_measure
from conversion.quantities import parse, show
from tests.rules.patching import patched_plan

ALL = (GENERIC_COUNTRY, *COUNTRIES)


def van() -> Plan:
    return Plan(read_description(resources.harnesses_dir() / "market-van"))


def test_the_countries_of_the_vehicle_follow_the_general_prompts(tmp_path: Path) -> None:
    assert [each.code for each in roadworthiness(van())] == ["generic", "gb", "de"]
    plan = patched_plan(tmp_path, ["conversion: vehicle.countries = [nz, generic]"])
    assert [each.code for each in roadworthiness(plan)] == ["generic", "nz"]


@pytest.mark.parametrize("code", ALL)
def test_each_country_has_a_body_documents_and_questions(code: str) -> None:
    prompts = prompts_of(code)
    assert prompts.ask and len(prompts.documents) >= 2 and len(prompts.questions) >= 4
    assert prompts.name == COUNTRIES.get(code, "Any country")
    assert all(question.endswith("?") for question in prompts.questions)


@pytest.mark.parametrize("code", ALL)
def test_each_document_says_how_it_was_seen(code: str) -> None:
    for document in prompts_of(code).documents:
        assert document.name and document.says.endswith(".")
        assert re.fullmatch(
            r"Seen in a stored copy(, [a-z0-9 ]+)?: ask whether it is the current edition\.|"
            r"From memory, not confirmed here: ask\.",
            document.status,
        )


@pytest.mark.parametrize("code", ALL)
def test_nothing_is_a_verdict(code: str) -> None:
    prompts = prompts_of(code)
    texts = [prompts.ask, *prompts.questions, *(document.says for document in prompts.documents)]
    for text in texts:
        assert not re.search(r"\b(is|are) (legal|allowed|compliant|approved|roadworthy)\b|complies|you may drive", text)


def test_what_is_recalled_of_german_law_is_marked_so() -> None:
    german = {document.name: document.status for document in prompts_of("de").documents}
    law = {name: status for name, status in german.items() if name.startswith("StVZO")}
    assert len(law) == 2 and set(law.values()) == {"From memory, not confirmed here: ask."}


def test_no_return_time_of_the_federal_standard_is_given_as_a_fact() -> None:
    texts = [document.says for document in prompts_of("us").documents if "S5.3" in document.name]
    assert texts and not re.search(r"\d+ s\b|second", " ".join(texts))


def _at(plan: Plan, track: str) -> str:
    return plan.wiring.of_role(f"pedal.{track}.signal")[0].start.name


def test_the_calibration_sheet_gives_volts_and_limits() -> None:
    plan = van()
    sheet = calibration_sheet(plan)
    assert [group.title for group in sheet.groups] == ["Pedal", "Throttle"]
    rows = {row.what: row for row in sheet.groups[0].rows}
    volts = plan.pedal.tracks["a"]
    nominal, low, high = (show(float(each[0]), "voltage") for each in (volts.volts, volts.volts_min, volts.volts_max))
    rest = rows[f"Track a at {_at(plan, 'a')}: pedal at rest"]
    assert (rest.value, rest.origin, rest.unit) == (f"{nominal} ({low} to {high})", "computed", "V")
    valid = plan.pedal_tracks["a"].accepts
    assert valid and valid.valid
    assert rows[f"Track a at {_at(plan, 'a')}: low error limit"].value == show(valid.valid.low, "voltage")
    assert rows[f"Track a at {_at(plan, 'a')}: high error limit"].value == show(valid.valid.high, "voltage")
    agreement = plan.description.control_unit[1].accepts.pedal.agreement  # type: ignore[index,union-attr]
    assert rows["Greatest difference that passes"].value == show(agreement.at_most.nominal, "ratio")  # type: ignore[union-attr]
    assert rows["Time until it is acted on"].value == show(agreement.within.nominal, "time")  # type: ignore[union-attr]
    assert rows["What is taken of the tracks"].value == "the smaller of the per cents"


def test_the_sheet_says_when_a_track_passes_its_limit(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["K1: accepts.pedal.tracks.a.valid = 1.00 V..4.65 V"])
    least = float(plan.pedal.tracks["a"].volts_min.min())
    what = f"Track a at {_at(plan, 'a')}: room to it"
    rooms = [row.value for row in calibration_sheet(plan).groups[0].rows if row.what == what]
    assert rooms[0] == f"none: {show(1.0 - least, 'voltage')} beyond it"


def test_an_error_limit_lies_between_the_sound_track_and_every_wire_at_fault() -> None:
    plan = van()
    for group, sensor in zip(calibration_sheet(plan).groups, ("pedal", "throttle"), strict=True):
        rows = [row for row in group.rows if row.what.endswith("error limit that would fit")]
        assert len(rows) == 4
        for row in rows:
            limit, track = float(row.value.split(" V")[0]), row.what.split()[1]
            sound = plan.sensor(sensor).tracks[track]
            beyond = plan.fault_readings(sensor, track)
            if "low" in row.what:
                assert limit < sound.volts_min.min() and all(b.most_v < limit for b in beyond if b.least_v < 1.0)
            else:
                assert limit > sound.volts_max.max() and all(b.least_v > limit for b in beyond if b.least_v > 1.0)
            assert row.origin == "computed"


def test_the_sheet_says_which_fault_no_limit_finds(tmp_path: Path) -> None:
    """A pull resistor as small as the track itself lifts an open ground into the sweep."""
    plan = patched_plan(tmp_path, ["K1: accepts.pedal.tracks.a.pull.resistance = 4 kohm"])
    what = f"Track a at {_at(plan, 'a')}: high error limit that would fit"
    rows = {row.what: row.value for row in calibration_sheet(plan).groups[0].rows}
    assert "no limit finds it while its ground wire is open" in rows[what]


def test_a_setting_that_is_not_known_stays_on_the_sheet(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["K1: accepts.pedal.tracks.b.valid = unknown"])
    rows = {row.what: row.value for row in calibration_sheet(plan).groups[0].rows}
    limit = rows[f"Track b at {_at(plan, 'b')}: low error limit"]
    assert limit == "cannot be said: K1: accepts.pedal.tracks.b.valid is not known"


def test_every_figure_has_a_line_in_the_order_of_the_files() -> None:
    plan = van()
    lines = evidence_table(plan)
    assert len(lines) == len(plan.figures)
    assert {(line.place.line, line.place.column, line.place.file) for line in lines} == {
        (figure.place.line, figure.place.column, figure.place.file) for figure in plan.figures
    }
    first = [line for line in lines if line.place.file == "conversion.yaml"]
    assert lines[: len(first)] == tuple(first)
    assert [line.place for line in first] == sorted(line.place for line in first)


def test_only_what_is_assumed_or_unknown_says_how_to_measure(tmp_path: Path) -> None:
    lines = [
        "conversion: linkage.pedal.mass = unknown",
        "conversion: linkage.pedal.pivot.2 = unknown",
        "B1: tracks.a.pull = unknown",
        "B1: tracks.a.series = 0 ohm, assumed",
    ]
    table = {line.name: line for line in evidence_table(patched_plan(tmp_path, lines))}
    for name in ("pedal, mass", "pedal, pivot, left", "B1, track a, pull resistor"):
        assert (table[name].value, table[name].evidence) == ("not known", "") and table[name].how
    assert table["B1, track a, pull resistor"].unit == "ohm"
    assert table["B1, track a, series resistor"].evidence == "assumed" and table["B1, track a, series resistor"].how
    measured = [line for line in table.values() if line.evidence in ("measured", "documented")]
    assert measured and not any(line.how for line in measured)


def test_ranges_and_tolerances_are_told_apart() -> None:
    table = {line.name: line for line in evidence_table(van())}
    assert " to " in table["vehicle, supply"].value and table["vehicle, supply"].tolerance == ""
    assert table["pedal, rod pin, forward"].tolerance.startswith("± ")
    crimp = table["M1, housing A, place 1, contact, crimp height"]
    assert (crimp.value, crimp.tolerance) == ("1.90 mm", "± 0.05 mm")
    assert tolerance_text(parse("0.05 V..0.95 V", "voltage")) == "± 0.45 V"
    assert tolerance_text(parse("1.000 V ± 1 mV", "voltage")) == "1.000 V ± 1 mV", "0.00 V would be a lie"


@pytest.mark.parametrize(
    ("device", "path", "name"),
    [
        ("", ("springs", "main", "fixed_end", 2), "spring main, fixed end, up"),
        ("", ("loom", "runs", "a-b", "length"), "run a-b, length"),
        ("", ("linkage", "pedal", "full_stop", "at"), "pedal, full stop, pad travel"),
        ("B1", ("lever", "springs", "rest_moment"), "B1, lever, springs, moment at rest"),
        ("B1", ("idle_contact", "at"), "B1, idle contact, lever angle"),
        ("B1", ("tracks", "a", "output", "points", 1, "at"), "B1, track a, output, point 2, lever angle"),
        ("", ("loom", "runs", "a-b", "corners", 1), "run a-b, bend 2"),
        ("", ("loom", "runs", "a-b", "beside", 0, "apart"), "run a-b, neighbour 1, distance"),
        ("K1", ("draws", "feed.87", "inrush"), "K1, drawn through feed.87, inrush"),
        (
            "K1",
            ("housings", "A", "cavities", "3", "contact", "strip"),
            "K1, housing A, place 3, contact, insulation to strip",
        ),
    ],
)
def test_figures_have_names_in_words(device: str, path: tuple[str | int, ...], name: str) -> None:
    assert figure_name(device, path) == name


def test_no_two_figures_have_the_same_name() -> None:
    for demo in ("market-van", "trials-buggy", "first-attempt"):
        names = [line.name for line in evidence_table(Plan(read_description(resources.harnesses_dir() / demo)))]
        assert len(names) == len(set(names)), demo


def test_every_figure_of_the_worked_conversions_has_its_own_way_of_measuring() -> None:
    general = how_to_measure(("nothing", "like", "it"))
    for demo in ("market-van", "trials-buggy", "first-attempt"):
        plan = Plan(read_description(resources.harnesses_dir() / demo))
        assert [figure.name for figure in plan.figures if how_to_measure(figure.path) == general] == []


def test_special_ways_stand_before_general_ones() -> None:
    from conversion.plan.measuring import _WAYS

    patterns = [pattern for pattern, _ in _WAYS]
    hidden = [
        (one, other)
        for index, other in enumerate(patterns)
        for one in patterns[:index]
        if fnmatchcase(other.replace("*", "x"), one)
    ]
    assert hidden == []


def test_crimp_heights_by_size_are_figures_and_so_are_those_not_known(tmp_path: Path) -> None:
    lines = ["B1: housings.A.contact.crimp_height = {0.35 mm²: 1.05 mm ± 0.05 mm, AWG 20: unknown}"]
    table = {line.name: line for line in evidence_table(patched_plan(tmp_path, lines))}
    known = table["B1, housing A, contact, crimp height on 0.35 mm²"]
    assert (known.value, known.tolerance) == ("1.05 mm", "± 0.05 mm")
    unknown = table["B1, housing A, contact, crimp height on AWG 20"]
    assert unknown.value == "not known" and unknown.place.file.endswith("pedal-module.yaml") and unknown.how
