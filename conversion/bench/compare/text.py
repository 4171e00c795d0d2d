"""What changed between two plans as lines of text, in the order in which a builder works."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from conversion.bench.compare.comparison import Comparison
from conversion.bench.compare.doing import TASKS, Task, WireChange
from conversion.bench.compare.figures import MovedFigure
from conversion.bench.compare.findings import AnySaid
from conversion.bench.compare.laid import Laid
from conversion.bench.compare.things import ThingChange
from conversion.description.complaints import listed
from conversion.plan import Plan
from conversion.quantities import show

WIDTH = 100


def comparison_lines(found: Comparison[AnySaid]) -> Iterator[str]:
    """All of it; one line where nothing changed."""
    yield from _called("was", found.old)
    yield from _called("now", found.new)
    if not found.differs:
        yield "Nothing changed: the loom that was begun is the loom that is planned."
        return
    yield from _under("Devices", _things(found.devices))
    yield from _under("Splices", _things(found.splices))
    for task, meaning in TASKS.items():
        if task in found.counts:
            wires = (change for change in found.wires if task in change.tasks)
            yield from _under(f"Wires to {task}: {meaning}", (line for change in wires for line in _wire(change, task)))
    yield from _under("Figures written otherwise", _figures(found.written))
    yield from _under("Figures that moved with them", _figures(found.computed))
    findings = found.findings
    yield from _under("Findings that came", (line for said in findings.came for line in _said(said)))
    yield from _under("Findings that went", (line for said in findings.went for line in _said(said)))
    yield from _under(
        "Findings that say something else now", (line for _, said in findings.changed for line in _said(said))
    )
    yield ""
    yield from textwrap.wrap(counted(found), WIDTH, break_on_hyphens=False)


def counted(found: Comparison[AnySaid]) -> str:
    """How much changed, in one sentence."""
    wires = [f"{count} to {task}" for task, count in found.counts.items()]
    figures, findings = len(found.written) + len(found.computed), found.findings
    return (
        f"Wires: {listed(wires, 'and') if wires else 'as they were'}. "
        f"{figures or 'No'} figure{'' if figures == 1 else 's'} moved. "
        f"Findings: {len(findings.came)} came, {len(findings.went)} went, {len(findings.changed)} changed."
    )


def _called(word: str, plan: Plan) -> Iterator[str]:
    form = plan.description.conversion
    text = f"{word}  {form.title}, revision {form.revision}, {form.date}"
    yield from textwrap.wrap(text, WIDTH, subsequent_indent="     ", break_on_hyphens=False)


def _under(title: str, lines: Iterable[str]) -> Iterator[str]:
    told = list(lines)
    if told:
        yield from ("", title, *told)


def _things(changes: Iterable[ThingChange]) -> Iterator[str]:
    for change in changes:
        word = "new" if change.old is None else "gone" if change.new is None else "now"
        yield from _wrapped(f"{word:4}  {change.new or change.old!s:<8}", "; ".join(change.said))


def _wire(change: WireChange, task: Task) -> Iterator[str]:
    laid, said = change.laid, change.tasks[task]
    wire = laid.wire
    what = [f"{wire.start.name} to {wire.end.name}"]
    if task in ("cut out", "make anew", "add"):
        what.append(f"{show(wire.size_mm2, 'area')} {wire.colour}")
        what.append(_length(laid))
    if task in ("cut out", "add"):
        what += [f"by {', '.join(laid.route.stations) or 'no known way'}", wire.purpose]
    yield from _wrapped(f"{_tag(change):<14}", "; ".join(piece for piece in (", ".join(what), said) if piece))


def _length(laid: Laid) -> str:
    return f"cut to {show(laid.cut_mm, 'cut')}" if laid.cut_mm is not None else "of unknown length"


def _tag(change: WireChange) -> str:
    match = change.match
    old, new = (laid.wire.tag if laid else None for laid in (match.old, match.new))
    return f"{new} (was {old})" if old and new and old != new else str(new or old)


def _figures(figures: Sequence[MovedFigure]) -> Iterator[str]:
    for figure in figures:
        yield from _wrapped(figure.name, f"{figure.old or 'none'} -> {figure.new or 'none'}")


def _said(said: AnySaid) -> Iterator[str]:
    yield from _wrapped(f"{said.severity:4}  {said.rule}", f"{said.subject}: {said.message}")


def _wrapped(head: str, text: str) -> Iterator[str]:
    line = f"  {head}  {text}"
    yield from textwrap.wrap(line, WIDTH, subsequent_indent=" " * 8, break_on_hyphens=False)
