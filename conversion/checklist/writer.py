"""Puts the steps of a stage together: numbers them, words what is expected, and keeps cautions at their steps."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from conversion.checklist.model import STAGES, Caution, HoldPoint, Row, Sheet, Stage, Step
from conversion.checklist.saying import said
from conversion.rules import Finding

Expected = Callable[[], str] | str | None
"""An expected value, or how to compute it; a computation may find that a figure is missing."""


def row(what: str, expected: Expected = None, unit: str = "", key: tuple[str, ...] = ()) -> Row:
    """One line of a step's table; what cannot be computed is said instead."""
    return Row(what, _worded(expected), unit, key)


class StageWriter:
    """Collects one stage.

    Example:
        >>> work = StageWriter("loom")
        >>> work.caution("Keep hot tools off finished wires.")
        >>> work.step("Cut the wires.", cautions=["Wear eye protection."])
        >>> stage = work.finished()
        >>> stage.steps[0].number, [caution.where for caution in stage.cautions]
        ('3.1', ['loom', '3.1'])
    """

    def __init__(self, key: str) -> None:
        self._key = key
        self._number = list(STAGES).index(key) + 1
        self._cautions: list[Caution] = []
        self._steps: list[Step] = []

    def caution(self, text: str) -> None:
        """A warning for the whole stage."""
        self._cautions.append(Caution(text, self._key))

    def step(
        self,
        text: str,
        expected: Expected = None,
        unit: str | None = None,
        *,
        tools: Iterable[str] = (),
        rows: Iterable[Row] = (),
        cautions: Iterable[str] = (),
        hold: HoldPoint | None = None,
        sheet: Sheet | None = None,
    ) -> None:
        """The next step, with the warnings that stand before it.

        A step that expects something has a box, whether or not a unit goes into it.
        """
        number = f"{self._number}.{len(self._steps) + 1}"
        self._cautions += [Caution(caution, number) for caution in cautions]
        box = "" if unit is None and expected is not None else unit
        self._steps.append(Step(number, text, _worded(expected), box, tuple(tools), tuple(rows), hold, sheet))

    def hold(
        self,
        key: str,
        title: str,
        text: str,
        *,
        findings: Iterable[Finding] = (),
        second_person: bool = True,
        rows: Iterable[Row] = (),
        cautions: Iterable[str] = (),
    ) -> None:
        """A hold point as the next step."""
        point = HoldPoint(key, title, tuple(findings), second_person)
        self.step(text, rows=rows, cautions=cautions, hold=point)

    def finished(self) -> Stage:
        """The stage as it stands."""
        return Stage(self._key, STAGES[self._key], tuple(self._cautions), tuple(self._steps))


def _worded(expected: Expected) -> str | None:
    return said(expected) if callable(expected) else expected
