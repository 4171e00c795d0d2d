"""Whatever stands in a file, the answer is a tree, a model or complaints that can be printed, and nothing else."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict, Field

from conversion.description.complaints import COMPLAINTS_PER_FILE, Complaint, DescriptionError, Place
from conversion.description.validation import Count, Flag, Name, Text, validate
from conversion.description.yaml_text import read_tree, survey

LOADERS = [yaml.SafeLoader] + ([yaml.CSafeLoader] if hasattr(yaml, "CSafeLoader") else [])
LONGEST_LINE = 1000

run = settings(deadline=None, max_examples=150, suppress_health_check=list(HealthCheck))


class Word(BaseModel):
    model_config = ConfigDict(extra="forbid")


class Spring(Word):
    words_of: ClassVar[str] = "a spring"
    kind: Literal["spring"]
    strands: Count = Field(1, le=8)


class Weight(Word):
    kind: Literal["weight"]
    made: Flag = False


class Sheet(Word):
    title: Text
    devices: dict[Name, Text]
    returns: list[Annotated[Spring | Weight, Field(discriminator="kind")]] = []
    fed_from: Name | dict[Name, Name] | None = None


VALID = """\
title: a sheet
devices:
  B1: in the footwell
  K1: 'behind: the glove box'
returns:
  - kind: spring
    strands: 2
  - {kind: weight, made: true}
fed_from:
  B1: K1
"""


def judged(raw: bytes, loader=None, name: str = "c.yaml") -> tuple[Sheet | None, list[Complaint]]:
    tree, complaints = survey(raw, name, loader=loader)
    sheet = None
    if tree is not None:
        sheet, more = validate(Sheet, tree)
        complaints = [*complaints, *more]
    for complaint in complaints:
        line = str(complaint)
        line.encode("utf-8")
        assert "\n" not in line
        assert len(line) < LONGEST_LINE
        assert complaint.place.line >= 1
        assert complaint.place.column >= 1
    assert sheet is not None or complaints
    assert len(complaints) <= 2 * (COMPLAINTS_PER_FILE + 1)
    return sheet, complaints


def test_the_valid_sheet_is_valid():
    sheet, complaints = judged(VALID.encode())
    assert not complaints
    assert sheet is not None
    assert sheet.returns[0].strands == 2


@run
@given(st.binary(max_size=300))
def test_any_bytes(raw):
    judged(raw)


PIECES = st.sampled_from(
    [
        *["a", "kind", "spring", "devices", "B1", "0", "~", "é", "\U0001f600", " ", "\n", "\n  ", "\n    ", "\r\n"],
        *[": ", ":", "- ", "? ", ", ", "[", "]", "{", "}", "'", '"', "#", " # ", "|\n", ">-\n  ", "---\n", "...\n"],
        *["&x ", "*x", "!t ", "!!python/name:os.system ", "<<", "%YAML 1.2\n", "\t", "@", "\ufeff"],
        *["\\", "\\u00e9", "\\ud800", "\\U00110000"],
    ]
)


@run
@given(st.lists(PIECES, max_size=40).map("".join))
def test_text_that_looks_like_yaml(text):
    judged(text.encode())


@pytest.mark.skipif(len(LOADERS) == 1, reason="libyaml is not installed")
@run
@given(st.lists(PIECES.filter(lambda piece: "\\" not in piece), max_size=25).map("".join))
def test_both_parsers_agree_on_what_is_sound(text):
    pure, fast = (survey(text.encode(), "c.yaml", loader=loader) for loader in LOADERS)
    if not pure[1] and not fast[1]:
        assert pure[0] == fast[0]


LINES = VALID.splitlines(keepends=True)


@st.composite
def mutations(draw):
    lines = list(LINES)
    for _ in range(draw(st.integers(1, 4))):
        if not lines:
            break
        at = draw(st.integers(0, len(lines) - 1))
        change = draw(st.sampled_from(["delete", "repeat", "replace", "swap", "indent", "cut"]))
        if change == "delete":
            del lines[at]
        elif change == "repeat":
            lines.insert(at, lines[at])
        elif change == "replace":
            lines[at] = draw(st.lists(PIECES, max_size=6).map("".join)) + "\n"
        elif change == "swap":
            other = draw(st.integers(0, len(lines) - 1))
            lines[at], lines[other] = lines[other], lines[at]
        elif change == "indent":
            lines[at] = " " * draw(st.integers(1, 5)) + lines[at]
        else:
            lines[at] = lines[at][: draw(st.integers(0, len(lines[at])))]
    return "".join(lines)


@run
@given(mutations())
def test_a_mutated_sheet(text):
    judged(text.encode())


@run
@given(st.sampled_from(range(len(LINES))))
def test_a_repeated_line_never_passes_in_silence(at):
    lines = [*LINES[: at + 1], LINES[at], *LINES[at + 1 :]]
    _, complaints = judged("".join(lines).encode())
    repeated_entry = LINES[at].startswith("  - ")
    assert repeated_entry or complaints, "only an entry of a list may stand twice"


@pytest.mark.parametrize("loader", LOADERS, ids=lambda loader: loader.__name__)
@pytest.mark.parametrize("text", ["[" * 100_000, "{" * 100_000, "- " * 100_000, "[\n" * 100_000, "? " * 50_000])
def test_deep_nesting_is_refused(text, loader):
    with pytest.raises(DescriptionError) as caught:
        read_tree(text.encode(), "c.yaml", loader=loader)
    assert "nested deeper than 30 levels" in str(caught.value)


@pytest.mark.parametrize("loader", LOADERS, ids=lambda loader: loader.__name__)
def test_nesting_is_refused_at_the_same_bracket_by_both_parsers(loader):
    with pytest.raises(DescriptionError) as caught:
        read_tree(b"a: 1\nb: " + b"[" * 100_000, "c.yaml", loader=loader)
    assert caught.value.complaints[0].place == Place("c.yaml", 2, 33)


def test_a_billion_laughs():
    lines = ["a0: &a0 [lol, lol]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 10)]
    with pytest.raises(DescriptionError) as caught:
        read_tree("\n".join(lines).encode(), "c.yaml")
    assert "values" in str(caught.value)


@pytest.mark.parametrize("text", ["a: &x [*x]", "a: &x {b: {c: *x}}", "&x [*x]", "&x\na: *x", "a: &x [&y [*x, *y]]"])
def test_an_alias_to_what_is_around_it(text):
    with pytest.raises(DescriptionError) as caught:
        read_tree(text.encode(), "c.yaml")
    assert "stands inside the value that it stands for" in str(caught.value)


def test_long_keys_and_values_are_shortened():
    long = "k" * 900
    _, complaints = judged(f"{long}: 1\ntitle: t\ndevices: {{{'v' * 500}: x}}\nreturns: {long}\n".encode())
    assert len(complaints) == 3
    for complaint in complaints:
        assert "…" in str(complaint)
        assert "k" * 61 not in str(complaint)
        assert "v" * 61 not in str(complaint)


def test_a_flood_of_unknown_keys_ends():
    _, complaints = judged(b"".join(b"key%d: 1\n" % n for n in range(20_000)))
    assert len(complaints) <= COMPLAINTS_PER_FILE + 1


@pytest.mark.parametrize("name", ["", "a b.yaml", "x\ny.yaml", "\x1b[2J.yaml", "\udcff.yaml", "é/ü.yaml", "{}%s.yaml"])
def test_file_names_with_odd_characters(name):
    _, complaints = judged(b"titel: x\n", name=name)
    assert all(complaint.place.file == name for complaint in complaints)


def test_text_that_is_no_description_of_anything_is_refused_by_kind():
    _, complaints = judged(b"just a sentence")
    assert [str(complaint) for complaint in complaints] == [
        "c.yaml:1:1: 'just a sentence' stands here; a mapping is needed, "
        "with the words: title, devices, returns, fed_from."
    ]
