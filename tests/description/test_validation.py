"""Mistakes in a description: each at its place, in words that name what would be right."""

from __future__ import annotations

import re
from enum import Enum
from typing import Annotated, Any, ClassVar, Literal

import pytest
from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, RootModel, model_validator
from pydantic_core import PydanticCustomError

from conversion.description.text_kinds import MAX_NAME, MAX_TEXT
from conversion.description.validation import Count, Flag, Name, Text, validate
from conversion.description.yaml_text import read_tree, survey


class Figure:
    is_figure = True


def read_length(value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError("a single figure is needed, such as '182 mm'.")
    if not re.fullmatch(r"\d+ mm|unknown", value):
        raise ValueError(f"'{value}' is no length; a length is needed, such as '182 mm'.")
    return value


Length = Annotated[str | None, BeforeValidator(read_length), Figure()]


class Described(BaseModel):
    model_config = ConfigDict(extra="forbid")


class Side(Enum):
    LEFT = "left"
    RIGHT = "right"


class Track(Described):
    words_of: ClassVar[str] = "a sensor track"
    signal: Name
    supply: Name | None = None
    principle: Literal["hall", "potentiometer"] = "hall"


class Rod(Described):
    words_of: ClassVar[str] = "a rod"
    kind: Literal["rod"]
    length: Length
    rod: Flag = False


class Cable(Described):
    words_of: ClassVar[str] = "a control cable"
    kind: Literal["cable"]
    inner: Length | None = None


class Spot(Described):
    words_of: ClassVar[str] = "a spot"
    at: list[Length]
    height: Length | None


class Pull(Described):
    to: Literal["ground", "supply"]
    resistance: Length


class NoPull(Described):
    pass


def no_pull(value: Any) -> Any:
    return NoPull() if value == "none" else value


class AnyLink(RootModel[Annotated[Rod | Cable, Field(discriminator="kind")]]):
    pass


class Cavity(Described):
    roles: list[Annotated[str, AfterValidator(lambda role: known_role(role))]]


def known_role(role: str) -> str:
    if role not in ("signal", "supply"):
        raise ValueError(f"'{role}' is no role; write signal or supply.")
    return role


class Sheet(Described):
    words_of: ClassVar[str] = "a sheet"
    title: Text
    count: Count = Field(1, ge=1, le=8)
    active: Flag = True
    tracks: dict[Literal["a", "b"], Track] = {}
    link: Annotated[Rod | Cable, Field(discriminator="kind")] | None = None
    links: dict[Name, AnyLink] = {}
    fed_from: Name | dict[Name, Name] | None = Field(None, alias="from")
    between: list[Name] = Field(["a", "b"], min_length=2, max_length=2)
    pull: Annotated[Pull | NoPull | None, BeforeValidator(no_pull)] = None
    cavities: dict[Name, Annotated[Cavity, BeforeValidator(lambda v: {"roles": v.split("+")})]] = {}
    side: Side | None = None
    point: tuple[float, float] = (0.0, 0.0)
    whole: int = 0
    share: float = 0.5
    spot: Spot | None = None
    entries: list[dict[Name, list[Count]]] = []

    @model_validator(mode="after")
    def _agrees(self) -> Sheet:
        if self.title == "forbidden":
            raise ValueError("a sheet may not be called 'forbidden'; choose another title.")
        if self.title == "custom":
            raise PydanticCustomError("of_our_own", "a sheet may not be called 'custom'; choose another title.")
        return self


def told(text: str) -> list[str]:
    """What is wrong with the sheet, without the name of the file."""
    tree = read_tree(text.encode(), "c.yaml")
    sheet, complaints = validate(Sheet, tree)
    assert (sheet is None) == bool(complaints)
    assert complaints == sorted(set(complaints))
    return [str(complaint).removeprefix("c.yaml:") for complaint in complaints]


VALID = """\
title: a sheet
count: 8
active: false
tracks: {a: {signal: "5", supply: K1.12}, b: {signal: s-2_x}}
link: {kind: rod, length: unknown, rod: true}
links: {L1: {kind: cable, inner: 5 mm}}
from: {B1: K1}
between: [left, right]
pull: none
cavities: {"1": signal+supply}
side: left
point: [1, 2.5]
entries: [{x: [0, 1]}]
"""


def test_a_valid_sheet_has_no_complaint_and_keeps_every_value():
    sheet, complaints = validate(Sheet, read_tree(VALID.encode(), "c.yaml"))
    assert complaints == []
    assert sheet is not None
    assert (sheet.count, sheet.active, sheet.side) == (8, False, Side.LEFT)
    assert sheet.tracks["a"].supply == "K1.12"
    assert sheet.fed_from == {"B1": "K1"}
    assert sheet.pull == NoPull()
    assert sheet.entries == [{"x": [0, 1]}]


MESSAGES = {
    "unknown key, near": (
        "title: t\ntracks:\n  a:\n    signal: s\n    suply: x\n",
        "5:5: tracks.a: 'suply' is not a word of a sensor track; did you mean 'supply'? "
        "The words are: signal, supply, principle.",
    ),
    "unknown key, far": (
        "title: t\nlink: {kind: cable, zebra: 1}\n",
        "2:21: link: 'zebra' is not a word of a control cable. The words are: kind, inner.",
    ),
    "unknown key where no words are given": (
        "title: t\npull: {to: ground, resistance: 5 mm, of: x}\n",
        "2:38: pull: 'of' is not a word of 'pull'. The words are: to, resistance.",
    ),
    "alias is the word": (
        "title: t\nfed_from: x\n",
        "2:1: 'fed_from' is not a word of a sheet; did you mean 'from'? The words are: title, count, active, "
        "tracks, link, links, from, between, pull, cavities, side, point, whole, share, spot, entries.",
    ),
    "missing figure": (
        "title: t\nlinks:\n  L1:\n    kind: rod\n",
        "4:5: links.L1: 'length' is missing; write `unknown` if you do not know it yet.",
    ),
    "missing list of figures": ("title: t\nspot: {height: 5 mm}\n", "2:7: spot: 'at' is missing; a spot needs it."),
    "missing figure among alternatives": (
        "title: t\nspot: {at: [5 mm]}\n",
        "2:7: spot: 'height' is missing; write `unknown` if you do not know it yet.",
    ),
    "missing key": ("count: 1\n", "1:1: 'title' is missing; a sheet needs it."),
    "missing choice": (
        "title: t\npull: {resistance: 5 mm}\n",
        "2:7: pull: 'to' is missing; 'pull' needs it: one of ground or supply.",
    ),
    "mistyped key is told once": (
        "title: t\ntracks: {a: {signl: s}}\n",
        "2:14: tracks.a: 'signl' is not a word of a sensor track; did you mean 'signal'? "
        "The words are: signal, supply, principle.",
    ),
    "missing discriminator": (
        "title: t\nlink: {length: 5 mm}\n",
        "2:7: link: 'kind' is missing; it says which kind this is: one of rod or cable.",
    ),
    "mistyped discriminator": (
        "title: t\nlink: {knd: rod}\n",
        "2:7: link: 'knd' stands here; did you mean 'kind': one of rod or cable?",
    ),
    "wrong discriminator": (
        "title: t\nlinks: {L1: {inner: 5 mm, kind: cabel}}\n",
        "2:33: links.L1.kind: 'cabel' is not known here; did you mean 'cable'? Choose rod or cable.",
    ),
    "list as discriminator": (
        "title: t\nlink: {kind: [rod]}\n",
        "2:14: link.kind: a list stands here; choose rod or cable.",
    ),
    "text for a kind of mapping": (
        "title: t\nlink: rod\n",
        "2:7: link: 'rod' stands here; a mapping is needed, with 'kind: ' rod or cable and what belongs to it.",
    ),
    "text for a mapping": (
        "title: t\ntracks: {a: x}\n",
        "2:13: tracks.a: 'x' stands here; a mapping is needed, with the words: signal, supply, principle.",
    ),
    "list for a mapping by names": (
        "title: t\ntracks: [a]\n",
        "2:9: tracks: a list stands here; a mapping is needed, such as 'name: value'.",
    ),
    "text for a list": (
        "title: t\nbetween: left\n",
        "2:10: between: 'left' stands here; a list is needed, such as [one, two].",
    ),
    "mapping for a text": (
        "title: {a: b}\n",
        "1:8: title: a mapping stands here; a single text is needed, without further lines below it.",
    ),
    "list for a text or mapping": (
        "title: t\nfrom: [x]\n",
        "2:7: from: a list stands here; a single text or a mapping is needed, such as 'name: value'.",
    ),
    "wrong choice, near": (
        "title: t\ntracks: {a: {signal: s, principle: hal}}\n",
        "2:36: tracks.a.principle: 'hal' is not known here; did you mean 'hall'? Choose hall or potentiometer.",
    ),
    "wrong choice, far": (
        "title: t\nside: middle\n",
        "2:7: side: 'middle' is not known here; choose left or right.",
    ),
    "wrong key among a few": (
        "title: t\ntracks:\n  d: {signal: s}\n",
        "3:3: tracks: 'd' is not known here; choose a or b.",
    ),
    "our own words": (
        "title: t\nlink: {kind: rod, length: 182 ohm}\n",
        "2:27: link.length: '182 ohm' is no length; a length is needed, such as '182 mm'.",
    ),
    "our own words, whole mapping": (
        "title: forbidden\n",
        "1:1: a sheet may not be called 'forbidden'; choose another title.",
    ),
    "our own words, own type": (
        "title: custom\n",
        "1:1: a sheet may not be called 'custom'; choose another title.",
    ),
    "inside a short form": (
        "title: t\ncavities: {'1': signal+sinal}\n",
        "2:17: cavities.1: 'sinal' is no role; write signal or supply.",
    ),
    "key that is called like a branch": (
        "title: t\nlink: {kind: rod, rod: maybe, length: 5 mm}\n",
        "2:24: link.rod: 'maybe' is neither yes nor no here; write `true` or `false`.",
    ),
    "inside a branch for texts": (
        "title: t\nfrom: 'a b'\n",
        "2:7: from: 'a b' is no name; a name begins with a letter or digit, goes on with letters A to Z, digits, "
        f"'-', '_' and '.', and is at most {MAX_NAME} long, such as 'B1' or 'left-bulkhead'.",
    ),
    "inside a branch for mappings": (
        "title: t\nfrom: {a: [x]}\n",
        "2:11: from.a: a list stands here; a single text is needed, without further lines below it.",
    ),
    "too few": ("title: t\nbetween: [a]\n", "2:10: between: 1 entry stands here; write at least 2."),
    "too many": ("title: t\nbetween: [a, b, c]\n", "2:10: between: 3 entries stand here; write at most 2."),
    "too large": ("title: t\ncount: 9\n", "2:8: count: '9' is out of range; write at most 8."),
    "too small": ("title: t\ncount: 0\n", "2:8: count: '0' is out of range; write at least 1."),
    "in a list": (
        "title: t\nentries:\n  - x: [1]\n  - y: [1, 2, three]\n",
        "4:15: entries.2.y.3: 'three' is no whole number; write it in digits alone, such as 12.",
    ),
    "plain number": (
        "title: t\nshare: half\n",
        "2:8: share: 'half' is no plain number; write it in digits, such as 2.5.",
    ),
    "plain whole number": (
        "title: t\nwhole: 1.5\n",
        "2:8: whole: '1.5' is no whole number; write it in digits alone, such as 12.",
    ),
}


@pytest.mark.parametrize(("text", "message"), MESSAGES.values(), ids=MESSAGES)
def test_message(text, message):
    assert told(text) == [message]


@pytest.mark.parametrize("written", ["yes", "no", "on", "off", "1", "0", "True", "FALSE", "t", "''", "[true]", "{}"])
def test_only_true_and_false_are_flags(written):
    (message,) = told(f"title: t\nactive: {written}\n")
    assert message.endswith("write `true` or `false`.")


@pytest.mark.parametrize(
    "written",
    ["01", "+1", "-1", "1_0", "1.0", "1e0", "0x1", "٣", "''", "' 1'", "one", "[1]", "9999999999", "true"],
)  # fmt: skip
def test_a_count_is_plain_digits(written):
    (message,) = told(f"title: t\ncount: {written}\n")
    assert message.endswith("is no whole number; write it in digits alone, such as 12.")


@pytest.mark.parametrize("name", ["B1", "12", "K1.12", "left-bulkhead", "a_b", "x" * MAX_NAME])
def test_a_name_may_be(name):
    assert told(f"title: t\nfrom: '{name}'\n") == []


@pytest.mark.parametrize("name", ["", " a", "a b", "-a", ".", "a/b", "ä", "a:", "x" * (MAX_NAME + 1), "a\\n"])
def test_a_name_may_not_be(name):
    (message,) = told(f'title: t\nfrom: "{name}"\n')
    assert " is no name; " in message


def test_a_text_is_stripped_and_bounded():
    sheet, _ = validate(Sheet, read_tree(b"title: |\n\n  one\n  two\n\n", "c.yaml"))
    assert sheet is not None
    assert sheet.title == "one\ntwo"
    assert told(f"title: {'x' * MAX_TEXT}\n") == []
    assert told(f"title: {'x' * (MAX_TEXT + 1)}\n") == [
        f"1:8: title: the text has {MAX_TEXT + 1} characters; shorten it to {MAX_TEXT}."
    ]
    assert told("title: '  '\n") == ["1:8: title: the text is empty; write it, or remove the line."]


def test_every_mistake_is_told_at_once_in_order_of_place():
    text = "count: 0\ntracks:\n  a: {signl: s}\n  d: {signal: s}\ntitel: x\nside: up\n"
    assert [message.split(" ")[0] for message in told(text)] == ["1:8:", "3:7:", "4:3:", "5:1:", "6:7:"]


def test_a_value_with_a_complaint_of_its_own_is_not_judged_again():
    tree, complaints = survey(b"title: t\ncount:\nlink: {kind: , length: 5 mm}\nside: up\n", "c.yaml")
    assert tree is not None
    assert [complaint.path for complaint in complaints] == ["count", "link.kind"]
    sheet, more = validate(Sheet, tree)
    assert sheet is None
    assert [complaint.path for complaint in more] == ["side"]


def test_long_texts_in_our_own_words_are_shortened():
    (message,) = told(f"title: t\nlink: {{kind: rod, length: {'9' * 300}}}\n")
    assert "'" + "9" * 59 + "…' is no length" in message


FIELDS = {
    "title": ["[x]", "{x: y}", "''"],
    "count": ["x", "[1]", "{1: 2}", "99"],
    "active": ["maybe", "[]"],
    "tracks": ["x", "[x]", "{c: {}}", "{a: x}", "{a: []}", "{a: {}}", "{a: {signal: [x]}}", "{a: {signal: {x: y}}}"],
    "link": ["x", "[x]", "{}", "{kind: x}", "{kind: {}}", "{kind: rod}", "{kind: rod, length: [x]}"],
    "links": ["x", "[x]", "{L: x}", "{L: [x]}", "{L: {}}", "{L: {kind: cable, x: y}}", "{'a b': {kind: cable}}"],
    "from": ["[x]", "{x: [y]}", "'?'", "{x: {y: z}}", "{'': x}", "''"],
    "between": ["x", "{x: y}", "[]", "[a, b, c]", "[[a], b]", "['', b]"],
    "pull": ["x", "[x]", "{to: x}", "{to: ground}", "{to: [ground], resistance: 5 mm}", "{a: b, c: d}"],
    "cavities": ["x", "{'1': x}", "{'1': signal+x}", "{'': signal}"],
    "side": ["x", "[left]", "{left: right}", "''"],
    "point": ["x", "[1]", "[1, 2, 3]", "[1, x]", "{x: y}", "[nan, [1]]"],
    "whole": ["x", "1.5", "[1]", "''"],
    "share": ["x", "[1]", "''", "{x: y}"],
    "entries": ["x", "{x: y}", "[x]", "[{x: y}]", "[{x: [y]}]", "[[x]]"],
}  # fmt: skip
BROKEN = [f"title: t\n{key}: {value}\n" for key, values in FIELDS.items() if key != "title" for value in values]
BROKEN += [f"title: {value}\n" for value in FIELDS["title"]] + ["x", "[x]", "{x: y}", "title: t\n'': x\n"]

JARGON = re.compile(
    r"[Ii]nput|[Ee]xtra|[Ff]ield|permitted|valid |dict|instance|pydantic|string|integer|boolean|parse|tuple|union"
    r"|discriminator|[Tt]ag\b|Value error|None|null|function|literal|__|\bstr\b|\bint\b|\[key\]"
)


def test_the_corpus_is_large_enough():
    assert len(BROKEN) >= 60


@pytest.mark.parametrize("text", BROKEN)
def test_no_jargon_reaches_the_builder(text):
    messages = told(text)
    assert messages
    for message in messages:
        assert not JARGON.search(message), message
        assert re.match(r"\d+:\d+: ", message)
        assert message.endswith((".", "?"))
        assert "'function" not in message
