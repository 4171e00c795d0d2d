"""Single values changed in the text of a file, and nothing else."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from conversion.description.patch_text import CannotReplace, replaced

TEXT = """\
# Above everything.
pedal:
  pivot: [0 mm, 5 mm]   # by tape
  hole:                 # two lines down
    from: {left: 80 mm}
    side: up

  # Belongs to what follows.
  mass: 2 kg
rods:
  - length: "140 mm, measured"   # cut
  - length: 90 mm
"""


def test_comments_blank_lines_and_all_other_values_stay() -> None:
    text = replaced(TEXT, {("pedal", "pivot", 1): '"7 mm, assumed"', ("rods", 0, "length"): "138 mm"})
    assert text == TEXT.replace("5 mm", '"7 mm, assumed"').replace('"140 mm, measured"', "138 mm")


def test_a_block_gives_way_to_a_list_without_the_comment_that_follows_it() -> None:
    text = replaced(TEXT, {("pedal", "hole"): "[1 mm, 2 mm, 3 mm]"})
    assert "  # Belongs to what follows.\n  mass: 2 kg" in text and "side: up" not in text
    assert yaml.safe_load(text)["pedal"]["hole"] == ["1 mm", "2 mm", "3 mm"]


def test_what_is_not_there_is_passed_over() -> None:
    assert replaced(TEXT, {("pedal", "nothing"): "1", ("rods", 7, "length"): "1", ("springs",): "1"}) == TEXT


def test_a_value_that_is_used_twice_is_not_changed_behind_the_builders_back() -> None:
    with pytest.raises(CannotReplace, match=r"a\.p is written once and used twice"):
        replaced("a: {p: &one [1, 2]}\nb: {p: *one}\n", {("a", "p"): "[3, 4]"})
    with pytest.raises(CannotReplace):
        replaced("a: &one {p: 1}\nb: *one\n", {("a", "p"): "3"})
    assert replaced("a: &one {p: 1}\nb: *one\nc: 2\n", {("c",): "3"}) == "a: &one {p: 1}\nb: *one\nc: 3\n"


def test_windows_line_ends_stay() -> None:
    assert replaced("a: 1\r\nb: 2  # two\r\n", {("b",): "3"}) == "a: 1\r\nb: 3  # two\r\n"


@given(st.lists(st.text("abc ±°é-", min_size=1).map(str.strip).filter(bool), min_size=1, max_size=6), st.data())
def test_only_the_value_named_is_another(texts: list[str], data: st.DataObject) -> None:
    source = yaml.safe_dump({"list": texts, "map": {f"k{i}": text for i, text in enumerate(texts)}}, allow_unicode=True)
    index = data.draw(st.integers(0, len(texts) - 1))
    read = yaml.load(replaced(source, {("list", index): "new"}), Loader=yaml.BaseLoader)
    assert read["list"] == [*texts[:index], "new", *texts[index + 1 :]]
    assert list(read["map"].values()) == texts
