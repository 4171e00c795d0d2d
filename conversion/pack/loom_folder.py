"""The loom's own folder: everything that is needed to build it, without the rest of the conversion."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence

from conversion.checklist import build_checklist
from conversion.description import Missing
from conversion.description.complaints import DescriptionError
from conversion.drawings import Drawing, Drawings
from conversion.drawings.board import board_overview
from conversion.drawings.housing_face import face_drawings
from conversion.fit import Paper
from conversion.pack.blocks import Block, Contents, FindingList, Heading, Paragraph
from conversion.pack.board_files import board_files
from conversion.pack.document import Document, Section, as_data
from conversion.pack.label_sheet import label_sheet
from conversion.pack.pdf import pack_pdf
from conversion.pack.sections import loom_sections, loom_tables
from conversion.pack.sections.cover import cover_facts
from conversion.pack.sections.findings import finding_line, verdict
from conversion.pack.sections.loom_parts import LABEL_SHEET
from conversion.pack.sections.work import checklist_section
from conversion.pack.tables import csv_bytes
from conversion.plan import Plan
from conversion.plan.loom.as_json import loom_json
from conversion.plan.loom.board import board_complaints
from conversion.plan.loom.text import loom_lines
from conversion.rules import Finding

SUBJECT = "Papers to build the loom of a conversion from throttle cable to electronic throttle"
OF_LOOM = ("loom/", "fuse/")
"""How the names of rules about the loom begin; of the others only what is graver than a NOTE is told here."""
STAGE = "loom"
"""Key of the checklist's stage that builds it."""


def loom_files(
    plan: Plan, findings: Sequence[Finding], step: Callable[[str], None], papers: Sequence[Paper] = tuple(Paper)
) -> dict[str, bytes]:
    """Every file of the loom's folder by its name; the same bytes for the same plan.

    Args:
        plan: What was computed.
        findings: What the rules say about the whole plan, in their order.
        step: Told what is done next, for those who wait.
        papers: What the board is cut into.

    Returns:
        ``loom.pdf``, ``loom.json``, ``loom.txt``, the sheet of labels, and the files of ``tables/``, ``drawings/`` and
        ``board/``.

    Raises:
        DescriptionError: runs that wires take close a loop, which no board takes.
        TypesetError: a fault of a template or a drawing.
    """
    check_board(plan)
    step("laying out the board")
    overview, left_out, board = _board(plan, papers)
    step("drawing the housings")
    drawn = Drawings((*overview, *face_drawings(plan)), left_out)
    step("setting the papers")
    conversion = plan.description.conversion
    document = Document(
        f"{conversion.title}: the loom",
        conversion.builder,
        conversion.revision,
        conversion.date.isoformat(),
        cover_facts(plan),
        _sections(plan, findings, drawn),
        SUBJECT,
    )
    text = json.dumps(loom_json(plan), ensure_ascii=False, indent=2) + "\n"
    labels = label_sheet(plan, conversion.date)
    return {
        "loom.pdf": pack_pdf(as_data(document), drawn.drawings, conversion.date)(),
        "loom.json": text.encode("utf-8"),
        "loom.txt": ("\n".join(loom_lines(plan)) + "\n").encode("utf-8"),
        **({} if labels is None else {LABEL_SHEET: labels}),
        **{f"drawings/{drawing.name}.svg": drawing.svg.encode("utf-8") for drawing in drawn.drawings},
        **{f"tables/{table.name}.csv": csv_bytes(table) for table in loom_tables(plan)},
        **board,
    }


def check_board(plan: Plan) -> None:
    """Refuse a loom that no board takes; asked before the work, so that none is lost.

    Raises:
        DescriptionError: runs that wires take close a loop.
    """
    complaints = tuple(board_complaints(plan))
    if complaints:
        raise DescriptionError(complaints)


def _board(
    plan: Plan, papers: Sequence[Paper]
) -> tuple[tuple[Drawing, ...], tuple[tuple[str, str], ...], dict[str, bytes]]:
    """The reduced board, or why there is none, and the files at true scale."""
    try:
        return (board_overview(plan),), (), board_files(plan, papers)
    except Missing as missing:
        return (), (("The loom on its board", str(missing)),), {}


def _sections(plan: Plan, findings: Sequence[Finding], drawn: Drawings) -> tuple[Section, ...]:
    """What was found, what the loom is built from, and the work itself with its cautions."""
    stages = build_checklist(plan, findings)
    told = tuple(
        finding_line(finding) for finding in findings if finding.severity != "NOTE" or finding.rule.startswith(OF_LOOM)
    )
    blocks: list[Block] = [verdict(findings)]
    if told:
        blocks += [Heading("What was found"), FindingList(told)]
    if left := len(findings) - len(told):
        rest = "1 NOTE is" if left == 1 else f"{left} NOTEs are"
        blocks.append(
            Paragraph(f"{rest} not about the loom and told by 'treadle check' and the build pack.", small=True)
        )
    return (
        Section("summary", "Summary", "", (*blocks, Contents()), new_page=False),
        *loom_sections(plan, stages, drawn),
        checklist_section([stage for stage in stages if stage.key == STAGE]),
    )
