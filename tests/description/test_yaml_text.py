"""Reading a file: what is accepted as it stands, what is refused, and at which place."""

from __future__ import annotations

import pytest
import yaml

from conversion.description.complaints import COMPLAINTS_PER_FILE, Complaint, DescriptionError, Place, nearest
from conversion.description.yaml_text import DEFAULT_LIMITS, Limits, read_tree, survey

LOADERS = [yaml.SafeLoader] + ([yaml.CSafeLoader] if hasattr(yaml, "CSafeLoader") else [])


@pytest.fixture(params=LOADERS, ids=lambda loader: loader.__name__)
def loader(request):
    return request.param


def complaints_of(text: str | bytes, loader, limits: Limits = DEFAULT_LIMITS) -> list[str]:
    raw = text if isinstance(text, bytes) else text.encode()
    with pytest.raises(DescriptionError) as caught:
        read_tree(raw, "c.yaml", limits, loader)
    return str(caught.value).splitlines()


@pytest.mark.parametrize(
    "written",
    [
        "on",
        "no",
        "yes",
        "012",
        "0x10",
        "12:30",
        "1e3",
        "~",
        "null",
        "1_000",
        "2026-03-14",
        ".inf",
        "=",
        "1.2 kohm ± 20 %",
    ],
)
def test_every_plain_value_and_key_stays_text(written, loader):
    tree = read_tree(f"value: {written}\n{written}: x\n".encode(), "c.yaml", loader=loader)
    assert tree.data == {"value": written, written: "x"}


def test_quoted_and_block_texts(loader):
    text = "a: 'it''s'\nb: \"1\\u00b0\"\nc: |\n  one\n  two\nd: >\n  one\n  two\ne: ''\n"
    data = read_tree(text.encode(), "c.yaml", loader=loader).data
    assert data == {"a": "it's", "b": "1°", "c": "one\ntwo\n", "d": "one two\n", "e": ""}


def test_places_of_values_and_keys_count_characters_from_one(loader):
    text = "linkage:\n  rod: {length: 182 mm}\nruns:\n  - zone: µ\n  - [a, 'b']\n"
    tree = read_tree(text.encode(), "parts/m.yaml", loader=loader)

    def place(*path):
        return (tree.places[path].line, tree.places[path].column)

    assert place() == (1, 1)
    assert place("linkage") == (2, 3)
    assert place("linkage", "rod") == (2, 8)
    assert place("linkage", "rod", "length") == (2, 17)
    assert place("runs", 0) == (4, 5)
    assert place("runs", 0, "zone") == (4, 11)
    assert place("runs", 1, 1) == (5, 9)
    assert tree.key_places[("linkage", "rod", "length")] == Place("parts/m.yaml", 2, 9)
    assert ("runs", 1) not in tree.key_places
    assert tree.place_of(("runs", 1, 7, "x")) == tree.places[("runs", 1)]


def test_byte_order_mark_and_other_line_ends_do_not_shift_places(loader):
    tree = read_tree(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n", "c.yaml", loader=loader)
    assert tree.data == {"a": "1", "b": "2"}
    assert tree.places[("a",)] == Place("c.yaml", 1, 4)
    assert tree.places[("b",)] == Place("c.yaml", 2, 4)


def test_alias_is_a_copy_at_the_place_of_its_text(loader):
    tree = read_tree(b"a: &x {k: [1]}\nb: *x\n", "c.yaml", loader=loader)
    assert tree.data == {"a": {"k": ["1"]}, "b": {"k": ["1"]}}
    assert tree.data["a"] is not tree.data["b"]
    assert tree.data["a"]["k"] is not tree.data["b"]["k"]
    assert tree.places[("b", "k", 0)] == tree.places[("a", "k", 0)] == Place("c.yaml", 1, 12)
    assert tree.key_places[("b",)] == Place("c.yaml", 2, 1)


def test_all_faults_of_a_file_are_told_at_once(loader):
    text = """\
a: 1
a: 2
<<: x
b: !!python/object:os.system ls
c:
d: [x, *nope, &l [*l]]
[q, r]: z
? {a: b}
: 1
*k : 2
e: "\\x07"
g: &g {h: , i: !foo j}
?
: v
---
zz: 1
"""
    expected = [
        "c.yaml:2:1: 'a' stands twice; the first one is in line 1",
        "c.yaml:3:1: '<<' does not merge",
        "c.yaml:4:4: b: the type '!!python/object:os.system'",
        "c.yaml:5:1: c: nothing is written here; write `unknown`",
        "c.yaml:6:8: d.2: no '&nope' stands before",
        "c.yaml:6:19: d.3.1: '*l' stands inside the value",
        "c.yaml:7:1: a list cannot be a key",
        "c.yaml:8:3: a mapping cannot be a key",
        "c.yaml:10:1: the alias '*k' cannot be a key",
        "c.yaml:11:4: e: this text holds the hidden character U+0007",
        "c.yaml:12:8: g.h: nothing is written here",
        "c.yaml:12:16: g.i: the type '!foo'",
        "c.yaml:13:2: a key is missing",
        "c.yaml:15:1: a second document begins here",
    ]
    told = complaints_of(text, loader)
    assert len(told) == len(expected)
    for line, start in zip(told, expected, strict=True):
        assert line.startswith(start)


def test_mistakes_below_an_unusable_key_are_told_too(loader):
    told = complaints_of("a: 1\na:\n  b: 1\n  b: 2\n", loader)
    assert [line.split(": ")[0] for line in told] == ["c.yaml:2:1", "c.yaml:4:3"]


def test_survey_keeps_the_sound_part_of_a_faulty_file(loader):
    tree, told = survey(b"a: 1\na: 2\nb:\nc: 3\n", "c.yaml", loader=loader)
    assert tree is not None
    assert tree.data == {"a": "1", "b": "", "c": "3"}
    assert tree.faulty == {("b",)}
    assert len(told) == 2


SYNTAX = {
    "tab": ("a:\n\tb: 1\n", "2:1", "indented with a tab"),
    "tab after spaces": ("a:\n  b: 1\n \tc: 2\n\td: 3\n", "3:2", "with a tab, and 1 more of this file"),
    "at sign": ("a: @x\n", "1:4", "cannot begin with '@'"),
    "per cent": ("a: %x\n", "1:4", "cannot begin with '%'"),
    "second colon": ("a: b: c\n", "1:5", "a second ': '"),
    "indented under a value": ("a: 1\n  b: 2\n", "2:4", "the line above holds a value"),
    "no colon": ("a: 1\nabc\nd: 2\n", "2:1", "'abc' needs a ':'"),
    "less indented": ("a:\n    b: 1\n  c: 2\n", "3:3", "keys that belong together begin in column 1"),
    "text behind quotes": ('a: "x" y\n', "1:8", "put the whole text in quotes"),
    "key among list": ("a:\n - b\n c: 1\n", "3:2", "breaks the list of line 2"),
    "no key": ("a: 1\n: 2\n", "2:1", "a key is missing"),
    "no key in braces": ("a: {: 2}\n", "1:5", "a key is missing"),
    "list among keys": ("a: 1\n- b\n", "2:1", "begin in column 1"),
    "list behind key": ("a: - b\n", "1:4", "write its first '- ' on the next line"),
    "open bracket": ("a: [1, 2\nb: 3\n", "2:2", "the '[' of line 1, column 4"),
    "open brace": ("a: {x: 1\nb: 3\n", "2:2", "the '{' of line 1, column 4"),
    "bracket open to the end": ("b: 1\na: [1, 2", "2:4", "this '[' is never closed; write ']'"),
    "stray bracket": ("a: ]\n", "1:4", "a value is missing"),
    "open quotes": ('a: "abc\nb: 1\n', "1:4", "never closed"),
    "backslash": ('a: "\\q"\n', "1:4", "use single quotes"),
    "asterisk": ("a: * x\n", "1:4", "read as a reference"),
    "exclamation mark": ("a: !e!foo x\n", "1:4", "read as a type"),
    "text behind bar": ("a: |foo\n", "1:4", "nothing may follow"),
    "question mark": ("a: ? b\n", "1:4", "begins with '?'"),
    "behind the end": ("a: 1\n...\nb\n", "3:1", "behind the end"),
    "directive": ("%YAML 1.1\n---\na: 1\n", "1:1", "a line that begins with '%'"),
    "wrong directive": ("%YAML 2.0\n---\na: 1\n", "1:1", "a line that begins with '%'"),
}


@pytest.mark.parametrize(("text", "place", "part"), SYNTAX.values(), ids=SYNTAX)
def test_a_fault_of_syntax_is_one_plain_sentence(text, place, part, loader):
    (told,) = complaints_of(text, loader)
    assert told.startswith(f"c.yaml:{place}: ")
    assert part in told
    assert told.endswith((".", "?"))


def test_faults_before_a_fault_of_syntax_are_told_as_well(loader):
    told = complaints_of("a: 1\na: 2\nb: [1\n", loader)
    assert [line.split(": ")[0] for line in told] == ["c.yaml:2:1", "c.yaml:3:4"]


@pytest.mark.parametrize(
    ("raw", "place", "part"),
    [
        (b"a: 1\nb: \xff\n", "2:4", "byte 9 of the file is not UTF-8"),
        ("a: 1\n".encode("utf-16"), "1:1", "written in UTF-16"),
        (b"a: 1\nb: x\x00y\n", "2:5", "U+0000"),
        (b"a: \x1b[2J\n", "1:4", "U+001B"),
        ("a: x\u2028b: 1\n".encode(), "1:5", "U+2028"),
        ("a: \u202ex\n".encode(), "1:4", "U+202E"),
        (b"", "1:1", "the file is empty"),
        (b"# only a remark\n---\n", "1:1", "the file is empty"),
    ],
)
def test_what_is_no_text_is_refused(raw, place, part, loader):
    (told,) = complaints_of(raw, loader)
    assert told.startswith(f"c.yaml:{place}: ")
    assert part in told


def test_size_is_refused_by_the_byte():
    raw = b"a: " + b"x" * 97
    read_tree(raw, "c.yaml", Limits(max_bytes=100))
    (told,) = complaints_of(raw + b"x", None, Limits(max_bytes=100))
    assert "may hold" in told


def test_depth_is_refused_by_the_level(loader):
    limits = Limits(max_depth=4)
    read_tree(b"a: [[[x]]]", "c.yaml", limits, loader)
    (told,) = complaints_of("a: [[[[x]]]]", loader, limits)
    assert told.startswith("c.yaml:1:7: this is nested deeper than 4 levels")
    (told,) = complaints_of("a: &x [[x]]\nb: [[*x]]", loader, limits)
    assert told.startswith("c.yaml:2:6: this is nested deeper than 4 levels")


def test_aliases_are_refused_by_the_use(loader):
    limits = Limits(max_aliases=2)
    read_tree(b"a: &x 1\nb: [*x, *x]", "c.yaml", limits, loader)
    (told,) = complaints_of("a: &x 1\nb: [*x, *x, *x]", loader, limits)
    assert told.startswith("c.yaml:2:13: a file may use 2 aliases")


def test_values_are_counted_with_every_alias_written_out(loader):
    text = "a: &x [1, 2]\nb: *x\nc: *x\n"  # the mapping itself, and three lists of three values
    read_tree(text.encode(), "c.yaml", Limits(max_values=10), loader)
    (told,) = complaints_of(text, loader, Limits(max_values=9))
    assert told.startswith("c.yaml:3:4: the file comes to more than 9 values")


def test_equal_anchors_are_refused(loader):
    (told,) = complaints_of("a: &x 1\nb: &x 2\nc: *x\n", loader)
    assert told.startswith("c.yaml:2:4: b: '&x' stands twice")


def test_a_flood_of_faults_ends(loader):
    told = complaints_of("a: 1\n" * 5000, loader)
    assert len(told) == COMPLAINTS_PER_FILE + 1
    assert "put these right first" in told[-1] + told[-2]


def test_a_description_of_the_largest_size_asked_for_fits(loader):
    wire = "    from: B1.{0}\n    to: K1.{0}\n    size: 0.5 mm²\n    colour: BK\n    reason: r\n    length: 1.2 m\n"
    text = "wires:\n" + "".join(f"  W{n}:\n{wire.format(n)}" for n in range(2000))
    tree = read_tree(text.encode(), "c.yaml", loader=loader)
    assert len(tree.data["wires"]) == 2000
    assert tree.places[("wires", "W1999", "length")].line == 1 + 2000 * 7


def test_complaints_print_one_line_each_in_order_of_place():
    here = Complaint(Place("b\n\udcff.yaml", 2, 1), "x", "one\ntwo.")
    before = Complaint(Place("a.yaml", 10, 1), "", "first.")
    error = DescriptionError([here, before, here])
    assert error.complaints == (before, here)
    assert str(error) == "a.yaml:10:1: first.\nb\\n\\udcff.yaml:2:1: x: one\\ntwo."
    str(error).encode("utf-8")


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("signl", "signal"),
        ("singal", "signal"),
        ("SIGNAL", "signal"),
        ("full_stop", "full-stop"),
        ("full stop", "full-stop"),
        ("ot", "to"),
        ("grond", "ground"),
        ("zebra", None),
        ("", None),
        ("x" * 100_000, None),
    ],
)
def test_nearest_word(word, meant):
    assert nearest(word, ["signal", "supply", "ground", "full-stop", "to"]) == meant
