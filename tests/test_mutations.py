"""Each field of the demo deleted, swapped and reversed: caught, or shown to be harmless, and the page says how many."""

from __future__ import annotations

import pytest

from tests.mutations import PAGE, Verdict, judge_all, reason_of, render


@pytest.fixture(scope="module")
def verdicts() -> list[Verdict]:
    return judge_all()


def test_no_mutant_changes_the_plan_in_silence_without_a_reason(verdicts: list[Verdict]) -> None:
    silent = [v.mutant.name for v in verdicts if v.outcome == "open" and reason_of(v.mutant) is None]
    assert silent == []


def test_most_mutants_are_told(verdicts: list[Verdict]) -> None:
    told = sum(verdict.outcome in ("unreadable", "caught", "noted") for verdict in verdicts)
    changed = sum(verdict.outcome != "same" for verdict in verdicts)
    assert len(verdicts) > 800
    assert told / changed > 0.85


def test_the_page_is_up_to_date(verdicts: list[Verdict]) -> None:
    assert PAGE.read_text("utf-8") == render(verdicts), "run: python -m tests.mutations"
