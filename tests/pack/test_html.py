"""The pack as a page: one file, no network, no markup from a description, and readable without a script."""

from __future__ import annotations

import html
import re
import subprocess
from html.parser import HTMLParser
from pathlib import Path

import pytest

from conversion.description import read_description
from conversion.pack.inline_svg import inline_svg
from conversion.plan import Plan
from tests.pack.made import (
    FOREIGN,
    HOSTILE,
    LONG,
    demo_pack,
    demo_plan,
    document_of,
    hostile_copy,
    pack_of,
    pages_of,
    squeezed,
)

VOID = {"meta", "br", "col", "hr", "img", "input", "link"}


class Page(HTMLParser):
    """What a reader of the page meets: elements, attributes, visible text; complains of what is not closed."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1] == tag, f"</{tag}> closes {self.open[-3:]}"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in ("script", "style"):
            self.words.append(data)

    @property
    def text(self) -> str:
        return squeezed(" ".join(self.words))

    def every(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]


@pytest.fixture(scope="module")
def source() -> str:
    return demo_pack()["build-pack.html"].decode("utf-8")


@pytest.fixture(scope="module")
def page(source: str) -> Page:
    return Page(source)


def test_every_element_is_closed(page: Page) -> None:
    assert page.open == []
    assert page.every("html") == [{"lang": "en"}]


def test_nothing_comes_from_outside(source: str, page: Page) -> None:
    assert not re.search(r"https?:|//[a-z]+\.|@import|url\((?!#)", source)
    for tag, attributes in page.elements:
        assert tag not in ("link", "img", "iframe", "object", "embed", "base", "form")
        for name in ("src", "href", "xlink:href", "action", "data"):
            value = attributes.get(name)
            assert value is None or value.startswith("#"), f"{tag} {name}={value}"
    policy = next(m["content"] for m in page.every("meta") if m.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None and policy.startswith("default-src 'none';")


def test_every_link_leads_to_a_place_of_the_page(page: Page) -> None:
    ids = [attributes["id"] for _, attributes in page.elements if "id" in attributes]
    assert len(ids) == len(set(ids)), "an id stands twice"
    links = [attributes["href"] for attributes in page.every("a")]
    assert len(links) >= 14
    assert {link[1:] for link in links if link} <= set(ids)


def test_what_is_kept_in_the_browser_has_a_name_of_its_own(page: Page) -> None:
    names = [attributes["data-keep"] for attributes in page.every("input") if "data-keep" in attributes]
    assert len(names) > 100
    assert len(names) == len(set(names))
    unnamed = [a for a in page.every("input") if "data-keep" in a and not a.get("aria-label")]
    assert unnamed == []


def test_the_page_and_the_paper_say_the_same(page: Page) -> None:
    from conversion.drawings import draw_all
    from conversion.pack.document import as_data
    from conversion.rules import find_all

    plan = demo_plan()
    paper = re.sub(r"\s", "", "".join(pages_of(demo_pack()["build-pack.pdf"])))
    on_page = re.sub(r"\s", "", page.text)
    for section in as_data(document_of(plan, find_all(plan), draw_all(plan)))["sections"]:
        for text in texts_of(section["blocks"]):
            assert re.sub(r"\s", "", text) in on_page, text
            assert re.sub(r"\s", "", text) in paper, text


def texts_of(value: object) -> list[str]:
    """Every text of a block that is to be read, those that only steer the setting left out."""
    steering = {"kind", "key", "align", "fill", "name", "level"}
    if isinstance(value, str):
        return [value]
    if isinstance(value, list):
        return [text for item in value for text in texts_of(item)]
    if isinstance(value, dict):
        # A picture under a heading that says what it is has no title of its own.
        silent = {"title"} if value.get("kind") == "picture" and value["leads"] else set()
        return [text for key, item in value.items() if key not in steering | silent for text in texts_of(item)]
    return []


def test_hostile_texts_are_only_texts(tmp_path: Path) -> None:
    plan = Plan(read_description(hostile_copy(tmp_path)))
    source = pack_of(plan)[0]["build-pack.html"].decode("utf-8")
    page = Page(source)
    assert page.open == []
    # The page's own script and the data that it reads.
    assert [each.get("type") for each in page.every("script")] == ["application/json", None]
    assert HOSTILE in page.text
    assert FOREIGN in page.text
    assert LONG in page.text
    assert "<script>alert" not in source
    assert "{{ 7*7 }}" in html.unescape(source)
    handlers = [name for _, attributes in page.elements for name in attributes if name.startswith("on")]
    assert handlers == []


def test_ids_of_drawings_do_not_meet() -> None:
    svg = (
        '<?xml version="1.0"?>\n<!-- said --><svg xmlns="http://www.w3.org/2000/svg" aria-labelledby="t">'
        '<title id="t">a</title><g clip-path="url(#c)"/><use xlink:href="#t"/><text> id="t" url(#c)</text></svg>'
    )
    assert inline_svg(svg, "face") == (
        '<svg aria-labelledby="face-t"><title id="face-t">a</title><g clip-path="url(#face-c)"/>'
        '<use xlink:href="#face-t"/><text> id="t" url(#c)</text></svg>'
    )


@pytest.mark.needs("chromium")
def test_a_browser_builds_the_page_and_runs_its_script(tmp_path: Path) -> None:
    file = tmp_path / "build-pack.html"
    file.write_bytes(demo_pack()["build-pack.html"])
    done = subprocess.run(
        ["chromium", "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path / 'profile'}",
         "--virtual-time-budget=2000", "--enable-logging=stderr", "--dump-dom", file.as_uri()],
        capture_output=True, timeout=120, check=True,
    )  # fmt: skip
    dom = done.stdout.decode("utf-8")
    said = done.stderr.decode("utf-8", "replace")
    assert "Content Security Policy" not in said and "Uncaught" not in said, said
    assert dom.count("<section id=") == len(re.findall("<section id=", file.read_text("utf-8")))
    # The script takes the tab stop from panes that do not scroll: some are left without one, all had it before.
    assert re.search(r'<div class="scroll" role=', dom)
