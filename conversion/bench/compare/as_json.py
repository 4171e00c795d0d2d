"""What changed between two plans as plain data, units in the names."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from conversion.bench.compare.comparison import Comparison
from conversion.bench.compare.doing import TASKS, WireChange
from conversion.bench.compare.figures import MovedFigure
from conversion.bench.compare.findings import AnySaid
from conversion.bench.compare.laid import Laid
from conversion.bench.compare.things import ThingChange
from conversion.plan import Plan


def comparison_json(found: Comparison[AnySaid]) -> dict[str, Any]:
    """All of it. Every task has its list of wires, empty or not; a wire with several tasks stands in each."""
    return {
        "old": _plan(found.old),
        "new": _plan(found.new),
        "differs": found.differs,
        "devices": _things(found.devices),
        "splices": _things(found.splices),
        "wires": {
            task.replace(" ", "_").replace("-", "_"): [_wire(c, c.tasks[task]) for c in found.wires if task in c.tasks]
            for task in TASKS
        },
        "figures": {"written": _figures(found.written), "computed": _figures(found.computed)},
        "findings": {
            "came": [_said(said) for said in found.findings.came],
            "went": [_said(said) for said in found.findings.went],
            "changed": [{"old": _said(old), "new": _said(new)} for old, new in found.findings.changed],
        },
    }


def _plan(plan: Plan) -> dict[str, str]:
    form = plan.description.conversion
    return {"title": form.title, "revision": form.revision, "date": str(form.date)}


def _things(changes: Iterable[ThingChange]) -> list[dict[str, Any]]:
    return [{"old": change.old, "new": change.new, "differs": list(change.said)} for change in changes]


def _wire(change: WireChange, differs: str) -> dict[str, Any]:
    match = change.match
    return {
        "old": _laid(match.old) if match.old else None,
        "new": _laid(match.new) if match.new else None,
        "moved": [{"from": before.name, "to": after.name} for before, after in match.moved],
        "differs": differs,
    }


def _laid(laid: Laid) -> dict[str, Any]:
    wire = laid.wire
    return {
        "wire": wire.tag,
        "from": wire.start.name,
        "to": wire.end.name,
        "role": ", ".join(wire.roles),
        "size_mm2": wire.size_mm2,
        "colour": wire.colour,
        "route": list(laid.route.runs),
        "cut_length_mm": laid.cut_mm,
    }


def _figures(figures: Iterable[MovedFigure]) -> list[dict[str, str | None]]:
    return [{"figure": figure.name, "old": figure.old, "new": figure.new} for figure in figures]


def _said(said: AnySaid) -> dict[str, str]:
    return {"rule": said.rule, "severity": said.severity, "subject": said.subject, "message": said.message}
