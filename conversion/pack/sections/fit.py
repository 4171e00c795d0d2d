"""Fit: clearances over the whole travel, the recess, the bracket's pieces, the templates, and what was not checked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from conversion.description import Missing
from conversion.drawings import Drawings
from conversion.pack.blocks import (
    Block,
    Cautions,
    Cell,
    Column,
    Facts,
    Gap,
    Group,
    Heading,
    Paragraph,
    Points,
    Table,
)
from conversion.pack.document import Section
from conversion.pack.sections.figures import gap_of, or_gap, span
from conversion.pack.sections.fit_made import bracket_table, recess_facts, recess_steps, template_blocks
from conversion.pack.sections.pictures import left_out, pictures
from conversion.plan import Plan
from conversion.quantities import number, show

if TYPE_CHECKING:
    from conversion.fit import Wanted
    from conversion.plan.fitting.fit import Fit  # loads solid geometry, which not every description needs
    from conversion.plan.fitting.judged import FitClearance

_LEAD = (
    "How near everything that moves comes to what stands around it, from the rest stop to past the full stop. It is "
    "computed in space from what was described; measure each again when the pedal hangs in its place."
)
RECESS_CAUTIONS = (
    "Look at the other side of the bulkhead before you cut: fuel and brake lines, looms, and what stiffens the body.",
    "Seal the recess against fire and fumes when it is in.",
)


def fit_section(plan: Plan, drawn: Drawings) -> Section:
    """The section, drawings and list of templates included."""
    if plan.description.conversion.fit is None:
        gap = Gap(
            "Clearances, recess and templates",
            "The description says nothing of what takes room.",
            "Measure what moves and what stands around it, describe both under 'fit', and make the pack again.",
        )
        return Section("fit", "Fit", "", (gap,))
    blocks = (
        *pictures(drawn, "fit-view"),
        *left_out(drawn, "fit"),
        *or_gap("Clearances", lambda: _clearances(plan)),
        *or_gap("The gaps at the pad", lambda: _asked(plan)),
        *or_gap("The recess", lambda: _recess(plan, drawn)),
        *or_gap("The bracket", lambda: _bracket(plan, drawn)),
        *template_blocks(drawn),
        *or_gap("What was not checked", lambda: _unchecked(plan)),
    )
    return Section("fit", "Fit", _LEAD, blocks, to_scale=True)


def _of(plan: Plan) -> Fit:
    fit = plan.fit
    assert fit is not None, "asked only where a fit is described"
    return fit


def _clearances(plan: Plan) -> tuple[Block, ...]:
    from conversion.plan.fitting.fit import NEAR_MM

    fit = _of(plan)
    numbers = {standing.name: str(count) for count, standing in enumerate(fit.obstacles, 1)}
    found = sorted(fit.clearances, key=lambda each: each.least_mm - each.clearance.wanted.clearance_mm)
    far = f"Pairs that stay more than {show(NEAR_MM, 'length')} apart over the whole travel are not listed."
    if not found:
        return (Heading("Clearances"), Paragraph(f"Nothing comes near to anything. {far}"))
    columns = (
        Column("No.", 0.5, "center"),
        Column("What moves", 2.2),
        Column("What it could meet", 2.6),
        Column("Least distance", 1.5, "right", "mm"),
        Column("At pad travel", 1.0, "right", "mm"),
        Column("Wanted", 0.9, "right", "mm"),
        Column("Measured", 1.7),
    )
    caption = (
        "Least first, by what is left over the wanted distance. Numbers are those of the drawing. Small below a "
        f"distance: by how much what stands there may be nearer. {far}"
    )
    rows = tuple(_row(each, numbers) for each in found)
    table = Table(columns, (Group("", rows),), caption, dense=True)
    why = Paragraph("So much is wanted, unless the description asks for more or less, because:", leads=True)
    return (Heading("Clearances"), table, why, Points(_reasons(found)))


def _reasons(found: Sequence[FitClearance]) -> tuple[str, ...]:
    """Why each wanted clearance is wanted, the least first, each once."""
    wanted: set[Wanted] = {each.clearance.wanted for each in found}
    in_order = sorted(wanted, key=lambda each: (each.clearance_mm, each.reason))
    return tuple(f"{show(each.clearance_mm, 'length')}: {each.reason} ({each.source})." for each in in_order)


def _row(each: FitClearance, numbers: dict[str, str]) -> tuple[Cell, ...]:
    found, standing = each.clearance, each.obstacle
    near = "TOUCHES" if each.touches else "" if each.enough else "TOO NEAR"
    spread = f"less {number(standing.uncertain_mm, 'length')}" if standing.uncertain_mm > 0.0 else ""
    what = standing.name if standing.kind in (standing.name, "other") else f"{standing.name}, {standing.kind}"
    return (
        Cell(numbers.get(standing.name, "")),
        Cell(found.body, strong=True),
        Cell(what, "in the recess" if each.in_recess else ""),
        Cell(number(found.distance_mm, "length"), " ".join(filter(None, (spread, near))), strong=bool(near)),
        Cell("any" if each.still else number(found.pad_travel_mm, "length")),
        Cell(number(found.wanted.clearance_mm, "length")),
        Cell(fill="value", unit="mm"),
    )


def _asked(plan: Plan) -> tuple[Block, ...]:
    from conversion.plan.fitting.judged import PAD_GAP_MM

    fit = _of(plan)
    rows = []
    gap, brake = fit.pad_gap, fit.brake
    if gap is not None:
        rows.append(
            (
                Cell(f"Pad above the {gap.obstacle.kind} at full", strong=True),
                Cell(show(gap.gap_mm, "length"), "" if gap.enough else "TOO LITTLE", strong=not gap.enough),
                Cell(f"{show(PAD_GAP_MM, 'length')} or more", "for a second mat or a stone"),
                Cell(fill="value", unit="mm"),
            )
        )
    if brake is not None:
        rows.append(
            (
                Cell("Sideways between this pad and the brake's", strong=True),
                Cell(
                    show(brake.side_gap_mm, "length"),
                    "" if brake.gap_enough else "OUTSIDE",
                    strong=not brake.gap_enough,
                ),
                Cell(span(*brake.wanted_mm, "length"), "so that no boot presses both, and a foot finds the brake"),
                Cell(fill="value", unit="mm"),
            )
        )
        if brake.step_mm is not None:
            nearer = "nearer to the driver" if brake.step_mm >= 0.0 else "farther from the driver"
            rows.append(
                (
                    Cell(f"The brake's face is {nearer}, by", strong=True),
                    Cell(show(abs(brake.step_mm), "length")),
                    Cell("nearer", "so that a foot that slides off the brake does not press this pedal"),
                    Cell(fill="value", unit="mm"),
                )
            )
    if not rows:
        return ()
    columns = (Column("At the pad", 3.2), Column("Planned", 1.6), Column("Wanted", 3.4), Column("Measured", 1.4))
    return (Heading("Gaps at the pad"), Table(columns, (Group("", tuple(rows)),)))


def _recess(plan: Plan, drawn: Drawings) -> tuple[Block, ...]:
    fit = _of(plan)
    if not fit.lacks:
        said = "No part of a bulkhead is too near to what moves, so no recess is needed."
        return (Paragraph(said),) if fit.bulkheads else ()
    if not fit.recesses:
        rows = tuple(
            (
                f"{lack.flat.name} would have to go back by",
                f"{show(fit.least_depth_mm(lack), 'length')}, for {show(lack.clearance_mm, 'length')} of clearance",
            )
            for lack in fit.lacks
        )
        return (Heading("Recess"), Facts(rows), Paragraph("No recess is described; move the module, or describe one."))
    blocks: list[Block] = [Heading("Recess"), Cautions("", RECESS_CAUTIONS)]
    for planned in fit.recesses:
        blocks += [Facts(recess_facts(planned)), Points(recess_steps(planned))]
    return (*blocks, *pictures(drawn, "recess"))


def _bracket(plan: Plan, drawn: Drawings) -> tuple[Block, ...]:
    fit = _of(plan)
    lacking = [cut for cut in (*fit.members.values(), *fit.infills.values()) if isinstance(cut, Missing)]
    table = bracket_table(fit)
    if table is None and not lacking:
        return ()
    gaps = [gap_of("A piece of the bracket", missing) for missing in lacking]
    return (Heading("Pieces of the bracket"), *([table] if table else ()), *gaps, *pictures(drawn, "bracket"))


def _unchecked(plan: Plan) -> tuple[Block, ...]:
    lines = tuple(_unchecked_lines(_of(plan)))
    gaps = tuple(gap_of("A body or an obstacle", missing) for missing in _of(plan).unknown)
    return (Heading("What was not checked"), *gaps, Points(lines))


def _unchecked_lines(fit: Fit) -> Iterator[str]:
    for kind in fit.not_described:
        yield f"The {kind}: neither described nor said to be absent."
    for key in fit.bodies_not_described:
        yield f"The {key} of the linkage: its size is not described."
    for kind, why in fit.form.absent.items():
        yield f"The {kind}, which is said to be absent: {why}."
    yield "Whatever else is in the car and is not in the table or the drawing."
    yield "Parts that bend, wear, swell or work loose; the distances that are wanted leave room for some of that."
