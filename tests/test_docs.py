"""The documents are up to date, their examples are true, their links lead somewhere, and they name no product."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from conversion import resources
from conversion.bench.unknown.identify import identify
from conversion.bench.unknown.part import part_file
from conversion.bench.unknown.reader import read_sheet
from conversion.checklist import build_checklist, judge_bench
from conversion.description import DescriptionError, read_description
from conversion.description import document_words as words
from conversion.description.document import document
from conversion.description.document_types import models, other_keys, written_key
from conversion.description.parts import PartFile
from conversion.description.roles import ROLES
from conversion.description.validation import validate
from conversion.description.yaml_text import read_tree
from conversion.plan import Plan
from conversion.rules import all_rules, find_all
from tests.fences import apply_yaml, fences
from tests.generate import DOCS, ROOT, documents, without_fit_and_search

PAGES = sorted([*ROOT.glob("*.md"), *DOCS.rglob("*.md")])
EACH_PAGE = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
COMMANDS = ("check", "travel", "pack", "search", "identify", "explain", "schema")


@pytest.mark.parametrize("file", documents(), ids=lambda file: file.name)
def test_generated_documents_are_up_to_date(file: Path) -> None:
    assert documents()[file]() == file.read_text("utf-8"), "run: python -m tests.generate"


def test_every_key_of_every_model_is_on_the_page_of_the_format() -> None:
    page = document()
    for model in models():
        for name, field in model.model_fields.items():
            for key in (written_key(name, field), *other_keys(field)):
                assert f"`{key}`" in page, f"{model.__name__}.{key}"


def test_every_role_is_on_the_page_of_the_format() -> None:
    assert all(f"| `{role}` |" in document() for role in ROLES)


def test_no_meaning_is_written_for_a_key_that_has_one_or_is_gone() -> None:
    known = {owner.__name__: owner for model in models() for owner in model.__mro__}
    for entry in words.SELF_EVIDENT:
        owner, _, name = entry.partition(".")
        field = known[owner].model_fields[name]  # type: ignore[attr-defined]
        assert not field.description, f"{entry} describes itself by now; take it out of document_words"
    assert set(words.NOTES) <= set(known)


def test_examples_of_the_format_are_read(tmp_path: Path) -> None:
    blocks = [fence for fence in fences((DOCS / "description.md").read_text("utf-8")) if fence.language == "yaml"]
    assert len(blocks) >= 4
    for number, fence in enumerate(blocks):
        home = tmp_path / str(number)
        shutil.copytree(resources.harnesses_dir() / "market-van", home)
        before = {file: file.read_text("utf-8") for file in home.rglob("*.yaml")}
        name = apply_yaml(fence, home)
        assert before[home / name] != (home / name).read_text("utf-8"), f"{name} is no file of the worked conversion"
        read_description(home)


def test_the_worked_example_is_read_at_every_step(tmp_path: Path) -> None:
    wrong = read = 0
    for fence in fences((DOCS / "first-conversion.md").read_text("utf-8")):
        if fence.language == "yaml":
            apply_yaml(fence, tmp_path)
            mistaken = "wrong" in fence.options
            if mistaken:
                wrong += 1
                with pytest.raises(DescriptionError):
                    read_description(tmp_path)
            elif (tmp_path / "conversion.yaml").is_file() and (tmp_path / "parts" / "brake-switch.yaml").is_file():
                read += 1
                read_description(tmp_path)
    assert wrong == 1 and read >= 5


def test_the_session_with_a_tape_finds_its_slip_and_ends_without_one(tmp_path: Path) -> None:
    home = tmp_path / "market-van"
    shutil.copytree(resources.harnesses_dir() / "market-van", home)
    told = []
    for fence in fences((DOCS / "measuring.md").read_text("utf-8")):
        if fence.language == "yaml":
            apply_yaml(fence, home)
            found = find_all(Plan(read_description(home)))
            told.append([finding for finding in found if finding.rule.startswith("tape/")])
    before, slip, after = told
    assert [finding.rule for finding in slip] == ["tape/readings-disagree"] and not before and not after
    assert "from B again" in slip[0].remedy


def test_the_session_with_a_multimeter_goes_from_a_slip_to_a_part_that_is_read(tmp_path: Path) -> None:
    verdicts = []
    for fence in fences((DOCS / "identify.md").read_text("utf-8")):
        if fence.language == "yaml":
            sheet = read_sheet(tmp_path / apply_yaml(fence, tmp_path))
            verdicts.append(identify(sheet.readings).verdict)
        if len(verdicts) == 3:
            part = part_file(sheet, identify(sheet.readings)).encode("utf-8")
            assert validate(PartFile, read_tree(part, "module.yaml"))[1] == []
    assert verdicts == ["undecided", "found", "found", "no-fit"]


def test_every_kind_of_link_is_shown_sound(tmp_path: Path) -> None:
    home = without_fit_and_search(tmp_path)
    kinds = []
    for fence in fences((DOCS / "kinds-of-link.md").read_text("utf-8")):
        if fence.language == "yaml":
            apply_yaml(fence, home)
            plan = Plan(read_description(home))
            kinds.append(plan.description.conversion.linkage.kind)  # type: ignore[union-attr]
            found = [finding for finding in find_all(plan) if finding.rule != "fit/not-described"]
            assert all(finding.severity == "NOTE" and finding.decided for finding in found), found
    assert kinds == ["rod", "bell-crank", "cable", "contact", "direct"]


def test_the_bench_test_of_the_page_on_readings_has_its_two_faults(tmp_path: Path) -> None:
    home = tmp_path / "market-van"
    shutil.copytree(resources.harnesses_dir() / "market-van", home)
    for fence in fences((DOCS / "readings.md").read_text("utf-8")):
        if fence.language == "yaml":
            apply_yaml(fence, home)
    plan = Plan(read_description(home))
    records = plan.description.records
    assert records is not None and records.sweep is not None and records.bench is not None
    found = judge_bench(build_checklist(plan, ()), records.bench, records.bench_name)
    failed = [value.key for value in found.values if value.verdict == "fail"]
    assert failed == [("continuity", "W2"), ("isolation", "K1.20")] and len(found.values) == 13


@EACH_PAGE
def test_yaml_stands_only_where_it_is_tried(page: Path) -> None:
    tried = {"description.md", "first-conversion.md", "identify.md", "kinds-of-link.md", "loom.md", "measuring.md"}
    tried |= {"readings.md", "rules.md"}
    assert page.name in tried or not any(fence.language == "yaml" for fence in fences(page.read_text("utf-8")))


@EACH_PAGE
def test_links_lead_somewhere(page: Path) -> None:
    text = _without_fences(page.read_text("utf-8"))
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if target.startswith(("http://", "https://")):
            continue
        file, _, anchor = target.partition("#")
        there = (page.parent / file).resolve() if file else page
        assert there.exists(), f"{page.name} links to {target}"
        if anchor:
            assert anchor in _anchors(there), f"{page.name} links to {target}"


def _without_fences(text: str) -> str:
    for fence in reversed(list(fences(text))):
        text = text[: fence.start] + text[fence.end :]
    return text


def _anchors(page: Path) -> set[str]:
    headings = re.findall(r"^#+ (.*)$", _without_fences(page.read_text("utf-8")), re.MULTILINE)
    return {re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-") for heading in headings}


def test_the_readme_has_the_two_commands_in_their_order() -> None:
    blocks = [fence.body.strip() for fence in fences((ROOT / "README.md").read_text("utf-8"))]
    assert [block.count("\n") for block in blocks] == [0, 0]
    pack, test = blocks
    assert pack.startswith("python3 -m venv .venv && ") and " pack harnesses/market-van " in pack
    assert test.startswith("python3 -m venv .venv && ") and test.endswith("-m pytest")


def test_contributors_are_told_commands_that_exist() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    modules = re.findall(r"`python -m (tests\.\w+)`", text)
    assert {"tests.generate", "tests.golden", "tests.benchmarks"} <= set(modules)
    for module in modules:
        file = ROOT / module.replace(".", "/")
        assert file.with_suffix(".py").is_file() or (file / "__main__.py").is_file(), module
        assert text.count(f"`python -m {module}`") == 1, f"{module} stands more than once"
    for path in re.findall(r"`((?:conversion|tests|docs|harnesses|templates)/[\w./-]*)`", text):
        assert (ROOT / path).exists(), path


def test_every_command_and_every_rule_has_its_place() -> None:
    commands = (DOCS / "commands.md").read_text("utf-8")
    assert all(f"## treadle {command}\n" in commands for command in COMMANDS)
    rules = (DOCS / "rules.md").read_text("utf-8")
    assert all(rule.name in rules for rule in all_rules())


def test_every_decision_is_listed() -> None:
    listed = (DOCS / "decisions" / "README.md").read_text("utf-8")
    pages = [page for page in (DOCS / "decisions").glob("*.md") if page.name != "README.md"]
    assert len(pages) >= 9
    for page in pages:
        title = page.read_text("utf-8").splitlines()[0].removeprefix("# ")
        assert f"[{title}]({page.name})" in listed


def test_every_picture_is_used_and_small() -> None:
    used = {
        (page.parent / target).resolve()
        for page in PAGES
        for target in re.findall(r"!\[[^\]]+\]\(([^)]+)\)", page.read_text("utf-8"))
    }
    pictures = {file.resolve() for file in (DOCS / "pictures").iterdir()}
    assert pictures == used
    assert all(file.stat().st_size < 120_000 for file in pictures)
