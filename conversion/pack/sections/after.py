"""What may fail, whom to ask, and who signs."""

from __future__ import annotations

from collections.abc import Sequence

from conversion.checklist import (
    ABOUT_FAILURE_MODES,
    CountryPrompts,
    FailureMode,
    SignOff,
    Stage,
    failure_modes,
    roadworthiness,
    sign_off,
)
from conversion.pack.blocks import (
    Block,
    Cell,
    Column,
    Facts,
    FindingList,
    Group,
    Heading,
    Paragraph,
    PhotoBoxes,
    Signatures,
    Table,
)
from conversion.pack.document import Section
from conversion.pack.sections.findings import finding_line
from conversion.plan import Plan
from conversion.rules import Finding

_SIGN = ("Builder", "Second person", "Licensed practitioner, where one is asked")


def failure_section(plan: Plan) -> Section:
    """What can fail, and what would be noticed."""
    columns = (
        Column("What fails", 2.0),
        Column("What happens", 2.0),
        Column("What the control unit notices", 2.4),
        Column("What the driver notices", 2.2),
        Column("What the driver does", 2.6),
        Column("Tried", 0.7, "center"),
    )
    rows = tuple(_failure(mode) for mode in failure_modes(plan))
    blocks = (Paragraph(ABOUT_FAILURE_MODES), Table(columns, (Group("", rows),), dense=True))
    return Section("failure-modes", "Throttle failure modes", "", blocks, landscape=True)


def _failure(mode: FailureMode) -> tuple[Cell, ...]:
    return (
        Cell(mode.title, strong=True),
        Cell(mode.happens),
        Cell(f"{mode.verdict.capitalize()}. {mode.unit_notices}", strong="dangerous" in mode.verdict),
        Cell(mode.driver_notices),
        Cell(mode.driver_does),
        Cell(fill="tick") if mode.try_it else Cell(),
    )


def roadworthiness_section(plan: Plan) -> Section:
    """Questions for the bodies of the countries in which the car is used."""
    lead = (
        "Questions to ask in writing before money is spent, and again before the car is used. They are not answers, "
        "and nothing here says what the law is."
    )
    blocks = tuple(block for prompts in roadworthiness(plan) for block in _country(prompts))
    return Section("roadworthiness", "Roadworthiness: whom to ask, and what", lead, blocks)


def _country(prompts: CountryPrompts) -> tuple[Block, ...]:
    published = tuple(
        (Cell(text.name, text.source, strong=True), Cell(text.says), Cell(text.status)) for text in prompts.documents
    )
    questions = tuple((Cell(question), Cell(), Cell(fill="tick")) for question in prompts.questions)
    asked = (Column("Question", 4.0), Column("Answer, by whom, date", 3.4), Column("Asked", 0.7, "center"))
    read = (Column("What is published", 2.6), Column("What it is about", 3.6), Column("How far it was seen here", 1.6))
    return (
        Heading(prompts.name),
        Paragraph(f"Ask: {prompts.ask}", leads=True),
        Table(asked, (Group("", questions),), roomy=True),
        Table(read, (Group("", published),)),
    )


def sign_off_section(plan: Plan, findings: Sequence[Finding], stages: Sequence[Stage]) -> Section:
    """Photographs, hold points, open findings, signatures."""
    page = sign_off(plan, findings, stages)
    blocks: list[Block] = [Facts((("Vehicle", page.vehicle), ("Revision", f"{page.revision}, {page.date}")))]
    blocks += [Heading("Hold points"), _holds(page)]
    if page.open_findings:
        blocks += [
            Heading("To be cleared or explained before anybody signs"),
            FindingList(tuple(finding_line(finding) for finding in page.open_findings)),
        ]
    blocks += [
        Heading("Signatures"),
        Paragraph(page.statement, leads=True),
        Signatures(_SIGN),
        Heading("Photographs"),
        PhotoBoxes(page.photographs),
    ]
    return Section("sign-off", "Sign-off", "Who built it, who checked it, and what it looked like.", tuple(blocks))


def _holds(page: SignOff) -> Table:
    columns = (
        Column("Step", 0.7),
        Column("Hold point", 3.0),
        Column("Findings in the way", 1.3, "center"),
        Column("Builder, date", 2.4),
        Column("Second person, date", 2.4),
    )
    rows = tuple(
        (
            Cell(hold.step, strong=True),
            Cell(hold.title),
            Cell(str(hold.findings) if hold.findings else "none", strong=bool(hold.findings)),
            Cell(),
            Cell("" if hold.second_person else "not needed"),
        )
        for hold in page.holds
    )
    return Table(columns, (Group("", rows),), roomy=True)
