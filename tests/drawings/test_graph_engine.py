"""The layout engine: the same picture each time, words stay words, and a way on when there is no engine."""

from __future__ import annotations

import re
import shutil
import xml.etree.ElementTree as ET
from pathlib import Path

import graphviz
import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion.drawings import graph_engine
from conversion.drawings.graph_engine import EngineError, escape_label, render_svg
from conversion.resources import FONT_FAMILY

HOSTILE = [
    "<b>x</b>",
    "a & b &amp; c",
    'say "go"',
    "\\N \\G \\l end\\",
    "a -> b [label=c];",
    "{a|b}",
    "<",
    "a < b > c",
]
SVG = "{http://www.w3.org/2000/svg}"


def graph(*labels: str) -> graphviz.Digraph:
    made = graphviz.Digraph("sample", node_attr={"shape": "box"})
    for n, label in enumerate(labels):
        made.node(f"n{n}", label=escape_label(label))
    for n in range(1, len(labels)):
        made.edge(f"n{n - 1}", f"n{n}", label=escape_label(labels[n]))
    return made


def texts(svg: str) -> list[str]:
    return ["".join(element.itertext()) for element in ET.fromstring(svg).iter(f"{SVG}text")]


def count(svg: str, kind: str) -> int:
    return sum(element.get("class") == kind for element in ET.fromstring(svg).iter(f"{SVG}g"))


def with_engine(monkeypatch: pytest.MonkeyPatch, *engines: Path) -> None:
    monkeypatch.setattr(graph_engine, "_engines", lambda: list(engines))


def test_the_same_graph_gives_the_same_bytes() -> None:
    assert render_svg(graph("a", "b", "c")) == render_svg(graph("a", "b", "c"))


def test_only_the_picture_is_left() -> None:
    svg = render_svg(graph("a", "b"))
    assert svg.startswith("<svg ") and svg.endswith("</svg>\n")
    assert "<!--" not in svg and "graphviz" not in svg and ' id="' not in svg


def test_all_text_is_in_the_shipped_font() -> None:
    made = graph("a", "b")
    made.node("own", label="own", fontname="Courier")
    assert set(re.findall(r'font-family="([^"]*)"', render_svg(made))) == {FONT_FAMILY}


def test_the_source_is_not_changed() -> None:
    made = graph("a", "b")
    before = made.source
    render_svg(made)
    assert made.source == before


@pytest.mark.parametrize("label", HOSTILE)
def test_hostile_labels_are_shown_as_written(label: str) -> None:
    assert texts(render_svg(graph("start", label))).count(label) == 2


def test_joined_labels_stay_text() -> None:
    made = graphviz.Digraph()
    made.node("a", label=escape_label("<x") + "\\n" + escape_label("y>"))
    assert texts(render_svg(made)) == ["<x", "y>"]


def test_a_line_end_starts_a_line() -> None:
    assert texts(render_svg(graph("one\r\ntwo\nthree"))) == ["one", "two", "three"]


def test_unprintable_characters_are_marked() -> None:
    assert texts(render_svg(graph("a\x00b\x1bc\ud800"))) == ["a\ufffdb\ufffdc\ufffd"]


@given(st.text(max_size=40))
def test_an_escaped_label_cannot_end_its_quotes(text: str) -> None:
    escaped = escape_label(text)
    assert '"' not in escaped and "<" not in escaped and "\n" not in escaped
    trailing = len(escaped) - len(escaped.rstrip("\\"))
    assert trailing % 2 == 0


@pytest.mark.needs("dot")
def test_the_systems_engine_draws_the_same_graph(monkeypatch: pytest.MonkeyPatch) -> None:
    made = graph("supply", "pedal module", *HOSTILE)
    made.edge("n0", "n5")
    ours = render_svg(made)
    dot = shutil.which("dot")
    assert dot is not None
    with_engine(monkeypatch, Path(dot))
    theirs = render_svg(made)
    assert count(ours, "node") == count(theirs, "node") == len(HOSTILE) + 2
    assert count(ours, "edge") == count(theirs, "edge") == len(HOSTILE) + 2
    assert sorted(texts(ours)) == sorted(texts(theirs))
    assert theirs.startswith("<svg ") and "transparent" not in theirs


def test_the_engine_beside_the_interpreter_comes_first() -> None:
    assert graph_engine._engines()[0].stem == "graphviz-pure"


def test_without_an_engine_the_next_step_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    with_engine(monkeypatch)
    with pytest.raises(EngineError, match="pip install 'graphviz-pure"):
        render_svg(graph("a"))


def test_an_engine_that_fails_is_followed_by_the_next(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    first = graph_engine._engines()[0]
    with_engine(monkeypatch, tmp_path / "gone", first)
    assert texts(render_svg(graph("a"))) == ["a"]


def test_what_the_engine_said_is_passed_on() -> None:
    made = graphviz.Digraph(body=["\ta [\n"])
    with pytest.raises(EngineError, match="syntax error"):
        render_svg(made)


def test_right_angled_edges_are_refused() -> None:
    with pytest.raises(ValueError, match="ports"):
        render_svg(graphviz.Digraph(graph_attr={"splines": "ortho"}))
