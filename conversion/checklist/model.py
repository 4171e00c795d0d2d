"""What the printed checklist is made of: stages, steps with boxes, cautions and hold points. Words and figures only."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.rules import Finding

STAGES: dict[str, str] = {
    "strip-down": "Strip-down",
    "mechanical": "Mechanical",
    "loom": "Loom",
    "bench-test": "Bench test",
    "fitting": "Fitting",
    "first-power": "First power",
    "commissioning": "Commissioning",
    "road": "Road",
}
"""Key and title of every stage, in working order."""


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning to be printed where the work is.

    Attributes:
        text: Short sentences.
        where: Number of the step that it stands before, key of the stage it holds for, or ``cover``.
    """

    text: str
    where: str


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a step's table.

    Attributes:
        what: What is looked at or measured.
        expected: From this plan, with unit and limits; None where there is nothing to expect.
        measured_unit: Unit of the empty box; empty where a tick or a word goes in.
        key: The words by which a record names it; empty where none can.
        recorded: What was measured, as it is printed; empty where nothing is recorded.
        verdict: ``pass``, ``fail`` or ``not judged`` of what was measured.
    """

    what: str
    expected: str | None = None
    measured_unit: str = ""
    key: tuple[str, ...] = ()
    recorded: str = ""
    verdict: str = ""


@dataclass(frozen=True, slots=True)
class HoldPoint:
    """Work stops here until somebody has checked and signed.

    Attributes:
        key: Of its own in the checklist.
        title: What must not begin before.
        findings: What has to be cleared first; empty where nothing stands in the way.
        second_person: Whether somebody other than the builder checks; there is a name and a date to fill in.
    """

    key: str
    title: str
    findings: tuple[Finding, ...] = ()
    second_person: bool = False

    @property
    def rules(self) -> tuple[str, ...]:
        """Names of the rules that block, each once, in order."""
        return tuple(dict.fromkeys(finding.rule for finding in self.findings))


@dataclass(frozen=True, slots=True)
class Sheet:
    """A section of its own that holds the rows of a step, since they are worked through with it in hand."""

    key: str
    title: str


CONTINUITY_SHEET = Sheet("continuity", "Continuity sheet of the loom")


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do.

    Attributes:
        number: ``3.4``: fourth step of the third stage.
        text: What to do, in short imperative sentences.
        expected: What this plan expects, with unit and limits; None where there is nothing to expect.
        measured_unit: Unit of the empty box beside it; empty for a tick or a word; None for a step without a box.
        tools: What is needed for it.
        rows: Its table, where it is about several things.
        hold: Set where the step is a hold point.
        sheet: Where its rows are printed; None where they stand with it.
    """

    number: str
    text: str
    expected: str | None = None
    measured_unit: str | None = None
    tools: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    hold: HoldPoint | None = None
    sheet: Sheet | None = None


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the work.

    Attributes:
        key: A key of STAGES.
        title: Its title there.
        cautions: For the whole stage and for single steps.
        steps: In working order.
    """

    key: str
    title: str
    cautions: tuple[Caution, ...]
    steps: tuple[Step, ...]

    def cautions_at(self, where: str) -> tuple[Caution, ...]:
        """The cautions of one step, or with the stage's key those of the whole stage."""
        return tuple(caution for caution in self.cautions if caution.where == where)
