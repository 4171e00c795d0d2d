"""The cover: which car, what was found, what can hurt, what was not checked, and who decides."""

from __future__ import annotations

from collections.abc import Sequence

from conversion.checklist import DEFERENCE, cover_cautions, not_checked
from conversion.description.conversion import COUNTRIES
from conversion.pack.blocks import Block, Cautions, Contents, FindingList, Heading, Paragraph, Points
from conversion.pack.document import Section
from conversion.pack.sections.findings import finding_line, verdict
from conversion.plan import Plan
from conversion.rules import Finding


def cover_facts(plan: Plan) -> tuple[tuple[str, str], ...]:
    """What identifies the vehicle and the state of the description."""
    conversion = plan.description.conversion
    vehicle = conversion.vehicle
    countries = ", ".join(COUNTRIES.get(country, "any other") for country in vehicle.countries)
    return (
        ("Vehicle", vehicle.identity),
        ("Builder", conversion.builder),
        ("Revision", conversion.revision),
        ("Date", conversion.date.isoformat()),
        ("To be used in", countries),
        ("Description", plan.description.source.name),
    )


def summary_section(plan: Plan, findings: Sequence[Finding]) -> Section:
    """The section on the cover and what follows it; of the findings the gravest come first."""
    cautions = tuple(caution.text for caution in cover_cautions(plan, findings))
    holds = tuple(finding_line(finding) for finding in findings if finding.severity == "HOLD")
    others = tuple(finding_line(finding) for finding in findings if finding.severity != "HOLD")
    blocks: list[Block] = [verdict(findings)]
    if holds:
        blocks += [Heading("To be cleared first"), FindingList(holds)]
    blocks += [Cautions("Before you begin", cautions), Contents()]
    if others:
        blocks += [Heading("What else was found" if holds else "What was found"), FindingList(others)]
    blocks += [
        Heading("What was not checked"),
        Points(tuple(text for text in not_checked(plan) if text != DEFERENCE)),
        Heading("Who decides"),
        Paragraph(DEFERENCE),
    ]
    return Section("summary", "Summary", "", tuple(blocks), new_page=False)
