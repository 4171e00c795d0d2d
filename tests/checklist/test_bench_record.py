"""Values of the bench test: what passes, what fails, what is refused, and where they stand afterwards."""

from __future__ import annotations

from functools import cache

import pytest

from conversion import resources
from conversion.checklist import BenchRecord, Stage, build_checklist, judge_bench, with_record
from conversion.checklist.bench_record import recordable
from conversion.checklist.saying import Limited
from conversion.description import DescriptionError, read_description
from conversion.description.yaml_text import read_tree
from conversion.plan import Plan
from tests.demo_records import FOLDER, records


@cache
def stages() -> tuple[Stage, ...]:
    return build_checklist(Plan(read_description(resources.harnesses_dir() / "market-van")), ())


def judged(text: str, *, strict: bool = True) -> BenchRecord:
    return judge_bench(stages(), read_tree(text.encode("utf-8"), "bench.yaml"), "bench.yaml", strict=strict)


def complaints(text: str) -> list[str]:
    with pytest.raises(DescriptionError) as failure:
        judged(text)
    return str(failure.value).splitlines()


def verdict(text: str) -> str:
    (value,) = judged(text).values
    return value.verdict


def test_each_reading_has_a_name_of_its_own() -> None:
    keys = [row.key for stage in stages() for step in stage.steps for row in step.rows if row.key]
    assert len(keys) == len(set(keys))
    assert {key[0] for key in keys} == {
        "resistance", "devices", "continuity", "isolation", "body", "feeds", "supplies", "volts", "learned",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("continuity: {W1: 0.2 ohm}", "pass"),
        ("continuity: {W1: 200 mohm}", "pass"),
        ("continuity: {W1: 0.6 ohm}", "fail"),
        ("continuity: {W1: open}", "fail"),
        ("isolation: {K1.18: open}", "pass"),
        ("isolation: {K1.18: 2 Mohm}", "pass"),
        ("isolation: {K1.18: 40 kohm}", "fail"),
        ("resistance: {pedal: {a: {ends: 1.60 kohm}}}", "pass"),
        ("resistance: {pedal: {a: {ends: OL}}}", "fail"),
        ("resistance: {pedal: {a: {ends: 1.2 kohm}}}", "fail"),
        ("volts: {pedal: {a: {rest: 1.03 V}}}", "pass"),
        ("volts: {pedal: {a: {rest: 1030 mV}}}", "pass"),
        ("volts: {pedal: {b: {rest: 1.03 V}}}", "fail"),
        ("supplies: {one: 4.80 V}", "fail"),
        ("devices: {G1: {posts: 9.8 V}}", "fail"),
        ("devices: {P1: {lights: pass}}", "pass"),
        ("devices: {P1: {lights: fail}}", "fail"),
    ],
)
def test_a_reading_passes_or_fails(text: str, expected: str) -> None:
    assert verdict(text) == expected


def test_a_band_is_widened_by_what_the_meter_may_be_off_and_a_bound_is_not() -> None:
    """The greatest resistance that is expected of track a: by itself, and 2 % beyond with a meter of 1 % and of 3 %."""
    row = next(row for _, row in recordable(stages()) if row.key == ("resistance", "pedal", "a", "ends"))
    assert isinstance(row.expected, Limited)
    beyond = f"resistance: {{pedal: {{a: {{ends: {1.02 * row.expected.high:.1f} ohm}}}}}}"
    assert verdict(beyond) == "fail"
    assert verdict(f"meter: {{resistance: 3 %}}\n{beyond}") == "pass"
    assert verdict("meter: {resistance: 20 %}\ncontinuity: {W1: 0.52 ohm}") == "fail"


def test_everything_that_is_wrong_is_told_with_its_place() -> None:
    text = (
        "resistance:\n  pedal:\n    b: {ends: 1.2 V, fulll: 1.74 kohm}\n    c: 3\n"
        "continuity: {W1: '0,2 ohm', W2: [1], W99: 1 ohm}\ncontinity: x\n"
        "devices: {P1: {lights: yes}}\nmeter: {volts: 3 %, resistance: 90 %}\nvolts: 5 V\nby: [me]\n"
    )
    found = complaints(text)
    places = [line.split(": ")[0].removeprefix("bench.yaml:") for line in found]
    assert places == ["3:15", "3:22", "4:5", "5:18", "5:33", "5:38", "6:1", "7:24", "8:9", "8:33", "9:8", "10:5"]
    assert "'1.2 V' is a voltage" in found[0]
    assert "did you mean 'full'?" in found[1]
    assert "decimal comma" in found[3]
    assert "did you mean 'continuity'?" in found[6]
    assert "write 'pass' or 'fail'" in found[7]


@pytest.mark.parametrize("text", ["- 1\n- 2\n", "just words\n"])
def test_a_file_that_is_no_mapping_is_refused(text: str) -> None:
    (line,) = complaints(text)
    assert line.startswith("bench.yaml:1:1: a mapping is needed here")


def test_a_reading_of_a_changed_plan_is_kept_where_asked() -> None:
    record = judged("continuity: {W99: 1 ohm, W1: 0.1 ohm}", strict=False)
    assert [value.key for value in record.values] == [("continuity", "W1")]
    assert record.strangers[0].startswith("bench.yaml:1:14: continuity: 'W99'")


def test_what_was_measured_stands_in_its_box() -> None:
    filled = with_record(stages(), judged("continuity: {W1: 0.9 ohm}"))
    rows = {row.key: row for stage in filled for step in stage.steps for row in step.rows if row.key}
    assert (rows["continuity", "W1"].recorded, rows["continuity", "W1"].verdict) == ("0.9 ohm", "fail")
    assert not rows["continuity", "W2"].recorded


def test_what_cannot_be_expected_is_not_judged(tmp_path) -> None:
    from tests.rules.patching import patched_plan

    plan = patched_plan(tmp_path, ["B1: tracks.a.resistance = unknown"])
    tree = read_tree(b"resistance: {pedal: {a: {ends: 1.6 kohm}}}", "bench.yaml")
    (value,) = judge_bench(build_checklist(plan, ()), tree, "bench.yaml").values
    assert value.verdict == "not judged"
    assert value.expected.startswith("cannot be said")


def test_the_demos_records_are_written_anew_and_pass() -> None:
    """Where a figure of the demo changes, `python -m tests.demo_records` writes them again."""
    for path, text in records().items():
        assert path.read_text("utf-8") == text, f"{path.name}: run python -m tests.demo_records"
    record = judged((FOLDER / "records" / "bench.yaml").read_text("utf-8"))
    assert record.passes and not record.unread
