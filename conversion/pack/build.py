"""From a plan and its findings to every file of the build pack."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import replace
from typing import TYPE_CHECKING

from conversion.bench.log.judge import LogVerdict
from conversion.checklist import build_checklist, with_record
from conversion.description import Missing
from conversion.drawings import Drawings, draw_all
from conversion.drawings.log_charts import log_charts
from conversion.pack.document import as_data
from conversion.pack.label_sheet import label_sheet
from conversion.pack.pdf import pack_pdf
from conversion.pack.records import Recorded, gather_records
from conversion.pack.sections import data_tables, write_document
from conversion.pack.sections.fault_pairs import latent_studies
from conversion.pack.sections.loom_parts import LABEL_SHEET
from conversion.pack.tables import csv_bytes
from conversion.plan import Plan
from conversion.rules import Finding
from conversion.rules.report import findings_json

if TYPE_CHECKING:
    from conversion.checklist import Stage
    from conversion.plan.searching.search import SearchOutcome  # loads the search, which not every pack has


def build_pack(
    plan: Plan,
    findings: Sequence[Finding],
    step: Callable[[str], None],
    search: SearchOutcome | Missing | None = None,
    recorded: Recorded | None = None,
    *,
    stages: Sequence[Stage] | None = None,
    latent: bool = False,
    board: bool = False,
) -> dict[str, bytes]:
    """Every file of the pack by its name; the same bytes for the same plan.

    Args:
        plan: What was computed.
        findings: What the rules say about it, in their order.
        step: Told what is done next, for those who wait.
        search: What a search of the settings found, or why it could not be made; None where nobody asked for it.
        recorded: The records of the finished conversion where they are gathered already; else they are gathered here.
        stages: The checklist where it is built already; else it is built here.
        latent: Whether second faults after first ones that nothing notices are wanted.
        board: Whether the loom's board is wanted at true scale.

    Returns:
        ``build-pack.pdf``, ``build-pack.html``, ``findings.json``, and the files of ``drawings/``, ``tables/``,
        ``templates/`` and, where it is wanted, ``board/``.

    Raises:
        DescriptionError: a record that the description names cannot be used.
        TypesetError: a fault of a template or a drawing.
        EngineError: no layout engine could draw the system.
    """
    date = plan.description.conversion.date
    # The typesetter works outside the interpreter, so other things are made while it does, and what only they need is
    # loaded meanwhile, too.
    with ThreadPoolExecutor(max_workers=4) as aside:
        step("drawing")
        drawn = draw_all(plan)
        pages = _pages(drawn, date, aside)
        if search is not None and not isinstance(search, Missing) and search.settings:
            from conversion.drawings.trade_off import trade_off_chart

            drawn = replace(drawn, drawings=(*drawn.drawings, trade_off_chart(search)))
        stages = stages or build_checklist(plan, findings)
        recorded = recorded or gather_records(plan, stages, step)
        if recorded is not None and recorded.bench is not None:
            stages = with_record(stages, recorded.bench)
        if recorded is not None and isinstance(recorded.sweep, LogVerdict):
            drawn = replace(drawn, drawings=(*drawn.drawings, *log_charts(recorded.sweep)))
        latents = latent_studies(plan, step) if latent else ()
        step("writing down the document")
        data = as_data(write_document(plan, findings, stages, drawn, search, recorded, latents))
        step("setting the PDF and the page")
        pdf = aside.submit(pack_pdf(data, drawn.drawings, date))
        labels = aside.submit(label_sheet, plan, date)
        from conversion.pack.motion import gather_motion
        from conversion.pack.page import pack_page

        page = pack_page(data, drawn.drawings, gather_motion(plan))
        tables = data_tables(plan, findings, stages, search, recorded, latents)
        templates = _drawn_templates(drawn)
    report = json.dumps(findings_json(findings), ensure_ascii=False, indent=2) + "\n"
    files = {"build-pack.pdf": pdf.result(), "build-pack.html": page, "findings.json": report.encode("utf-8")}
    if (sheet := labels.result()) is not None:
        files[LABEL_SHEET] = sheet
    files |= {f"drawings/{drawing.name}.svg": drawing.svg.encode("utf-8") for drawing in drawn.drawings}
    files |= {f"tables/{table.name}.csv": csv_bytes(table) for table in tables}
    if board:
        step("laying out the board")
        files |= _board(plan)
    return files | templates | {name: each.result() for name, each in pages.items()}


def _board(plan: Plan) -> dict[str, bytes]:
    from conversion.pack.board_files import board_files  # lays out a whole board, which not every pack has

    try:
        return board_files(plan)
    except Missing:
        return {}  # the section on the board says why


def _pages(drawn: Drawings, date: datetime.date, aside: Executor) -> dict[str, Future[bytes]]:
    if not drawn.templates:
        return {}
    from conversion.pack.true_scale import set_pages  # solid geometry, which not every description needs

    return set_pages(drawn.templates, date, aside)


def _drawn_templates(drawn: Drawings) -> dict[str, bytes]:
    if not drawn.templates:
        return {}
    from conversion.pack.true_scale import drawn_files

    return drawn_files(drawn.templates)
