"""All sections in the order of the pack, and all tables for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from conversion.checklist import Stage
from conversion.description import Missing
from conversion.drawings import Drawings
from conversion.pack.document import DataTable, Document, Section
from conversion.pack.records import Recorded
from conversion.pack.sections.after import failure_section, roadworthiness_section, sign_off_section
from conversion.pack.sections.calibration import calibration_data, calibration_section
from conversion.pack.sections.cover import cover_facts, summary_section
from conversion.pack.sections.drawn import circuits_section, side_view_section, system_section
from conversion.pack.sections.evidence import evidence_data, evidence_section
from conversion.pack.sections.fault_pairs import fault_pairs_data
from conversion.pack.sections.faults import faults_data, faults_section
from conversion.pack.sections.findings import findings_data
from conversion.pack.sections.fit import fit_section
from conversion.pack.sections.fit_tables import cut_list_data, fit_data
from conversion.pack.sections.loom_board import board_section
from conversion.pack.sections.loom_continuity import continuity_data, continuity_section
from conversion.pack.sections.loom_cutting import cutting_data, cutting_section, wire_totals_data
from conversion.pack.sections.loom_order import order_data, order_section
from conversion.pack.sections.loom_parts import labels_data, parts_data, parts_section
from conversion.pack.sections.loom_runs import runs_data, runs_section, splices_data
from conversion.pack.sections.loom_sizes import drops_data, fuses_data, sizes_data, sizes_section
from conversion.pack.sections.recorded import bench_data, commissioning_section
from conversion.pack.sections.returns import returns_section
from conversion.pack.sections.terminations import terminations_data, terminations_section
from conversion.pack.sections.tolerance import tolerance_data, tolerance_section
from conversion.pack.sections.travel import travel_data, travel_section
from conversion.pack.sections.wires import wires_data, wires_section
from conversion.pack.sections.work import checklist_data, checklist_section
from conversion.plan import Plan
from conversion.plan.faults.latent import LatentStudy
from conversion.rules import Finding

if TYPE_CHECKING:
    from conversion.plan.searching.search import SearchOutcome  # loads the search, which not every pack has


def write_document(
    plan: Plan,
    findings: Sequence[Finding],
    stages: Sequence[Stage],
    drawn: Drawings,
    search: SearchOutcome | Missing | None = None,
    recorded: Recorded | None = None,
    latents: Sequence[LatentStudy] = (),
) -> Document:
    """The pack before it is set.

    Args:
        plan: What was computed.
        findings: What the rules say about it, the gravest first.
        stages: Of the checklist.
        drawn: Every drawing of the plan, and which were left out.
        search: What was found, or why it could not be; None where nobody asked.
        recorded: What was measured on the finished conversion; None where the description names no record.
        latents: Second faults after first ones; empty where nobody asked.
    """
    sections = (
        summary_section(plan, findings),
        evidence_section(plan),
        travel_section(plan, drawn),
        tolerance_section(plan, drawn),
        *_searched(search),
        side_view_section(drawn),
        fit_section(plan, drawn),
        returns_section(plan, drawn),
        system_section(plan, drawn),
        circuits_section(drawn),
        faults_section(plan, drawn, latents),
        *loom_sections(plan, stages, drawn),
        calibration_section(plan),
        checklist_section(stages),
        *(() if recorded is None else (commissioning_section(recorded, drawn),)),
        failure_section(plan),
        roadworthiness_section(plan),
        sign_off_section(plan, findings, stages),
    )
    conversion = plan.description.conversion
    return Document(
        conversion.title,
        conversion.builder,
        conversion.revision,
        conversion.date.isoformat(),
        cover_facts(plan),
        sections,
    )


def data_tables(
    plan: Plan,
    findings: Sequence[Finding],
    stages: Sequence[Stage],
    search: SearchOutcome | Missing | None = None,
    recorded: Recorded | None = None,
    latents: Sequence[LatentStudy] = (),
) -> tuple[DataTable, ...]:
    """Every table of the pack; those of the travel and of the fit only where they can be computed."""
    of_travel = (travel_data(plan), tolerance_data(plan), fit_data(plan), cut_list_data(plan))
    return (
        *(table for table in of_travel if table),
        *_traded_off(search),
        *loom_tables(plan),
        evidence_data(plan),
        findings_data(findings),
        faults_data(plan),
        *((fault_pairs_data(latents),) if latents else ()),
        checklist_data(stages),
        calibration_data(plan),
        *((bench_data(recorded.bench),) if recorded is not None and recorded.bench is not None else ()),
    )


def loom_sections(plan: Plan, stages: Sequence[Stage], drawn: Drawings) -> tuple[Section, ...]:
    """What the loom is built from, in the order in which it is taken up."""
    return (
        wires_section(plan),
        sizes_section(plan),
        parts_section(plan),
        board_section(drawn),
        order_section(plan),
        cutting_section(plan),
        runs_section(plan),
        terminations_section(plan, drawn),
        continuity_section(plan, stages),
    )


def loom_tables(plan: Plan) -> tuple[DataTable, ...]:
    """Every table that the loom is built from."""
    return (
        wires_data(plan),
        sizes_data(plan),
        drops_data(plan),
        fuses_data(plan),
        cutting_data(plan),
        wire_totals_data(plan),
        labels_data(plan),
        terminations_data(plan),
        splices_data(plan),
        runs_data(plan),
        parts_data(plan),
        continuity_data(plan),
        order_data(plan),
    )


def _searched(search: SearchOutcome | Missing | None) -> tuple[Section, ...]:
    if search is None:
        return ()
    from conversion.pack.sections.searched import search_section

    return (search_section(search),)


def _traded_off(search: SearchOutcome | Missing | None) -> tuple[DataTable, ...]:
    if search is None or isinstance(search, Missing) or not search.settings:
        return ()
    from conversion.pack.sections.searched import trade_off_data

    return (trade_off_data(search),)
