"""The loom as lines of text: its wires, its runs, its splices and fuses, and what to buy of each wire."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from conversion.loom.standard_sizes import awg_not_thinner
from conversion.plan.loom.tables.splices import splice_rows
from conversion.plan.plan import Plan
from conversion.quantities import number, unit_of
from conversion.wiring import Wire

_NOT_KNOWN = "?"


def loom_lines(plan: Plan) -> Iterator[str]:
    """Tables of the loom, each under its heads; a figure that is not known is a question mark."""
    if not plan.wiring.wires:
        yield "No wire follows from the roles of the described terminals."
        return
    yield from _by_step(plan)
    for title, heads, units, aligned, rows in (
        ("Runs", ("run", "wires", "untwisted", "twisted", "covered", "length", "covering"),
         ("", "", *[unit_of("length")] * 4, ""), "<>>>>><", list(_runs(plan))),
        ("Splices", ("splice", "station", "wires"), ("", "", ""), "<<<", list(_splices(plan))),
        ("Fuses", ("fuse", "rating", "decided by", "load", "most", "wires"),
         ("", *[unit_of("current")] * 1, "", *[unit_of("current")] * 2, ""), "<><>><", list(_fuses(plan))),
        ("Wire to buy", ("size", "AWG", "colour", "wires", "cut", "to buy"),
         (unit_of("area"), "", "", "", unit_of("length"), "m"), ">><>>>", list(_totals(plan))),
    ):  # fmt: skip
        if rows:
            yield from ("", title)
            yield from _table(heads, units, aligned, rows)


def lacking_lines(plan: Plan) -> Iterator[str]:
    """Why a wire has no way, or no length, each with the place in the description."""
    for wire in plan.wiring.wires:
        route = plan.routes[wire.tag]
        if route.why_none:
            yield f"{wire.place}: {wire.tag} has no way: {'; '.join((route.why_none, *route.lift))}."
    loom = plan.description.conversion.loom
    for name, run in (loom.runs if loom else {}).items():
        if run.length is None and name in plan.bundles:
            tags = ", ".join(plan.bundles[name].tags)
            place = plan.description.place("loom", "runs", name)
            yield f"{place}: the length of run '{name}' is not known, and with it that of {tags}."


def _by_step(plan: Plan) -> Iterator[str]:
    """The wires under what they are for, in the order in which the loom is built."""
    wires = plan.wiring.wires
    head, units, *lines = _table(
        ("wire", "size", "AWG", "colour", "cut", "decided by", "drop", "joins", "by way of"),
        ("", unit_of("area"), "", "", unit_of("length"), "", unit_of("voltage"), "", ""),
        "<>><><><<",
        [_wire_row(plan, wire) for wire in wires],
    )
    yield from (head, units)
    for group, each in groupby(zip(wires, lines, strict=True), key=lambda pair: pair[0].group):
        yield from (f"{group}:", *(line for _, line in each))


def _wire_row(plan: Plan, wire: Wire) -> tuple[str, ...]:
    choice, length, route = plan.sizes.choices[wire.tag], plan.lengths.get(wire.tag), plan.routes[wire.tag]
    way = "none" if route.why_none else ", ".join(route.runs) or f"within {', '.join(route.stations)}"
    return (
        wire.tag, number(wire.size_mm2, "area"), str(awg_not_thinner(wire.size_mm2)), wire.colour,
        _figure(length.cut_mm if length else None, "cut"), choice.decided_by, _figure(choice.drop_v, "voltage"),
        f"{wire.start.name} to {wire.end.name}", way,
    )  # fmt: skip


def _runs(plan: Plan) -> Iterator[tuple[str, ...]]:
    for name, bundle in plan.bundles.items():
        yield (
            name, str(len(bundle.tags)), number(bundle.diameter_mm, "length"), number(bundle.round_mm, "length"),
            number(bundle.sleeved_mm, "length"), _figure(bundle.length_mm, "length"), bundle.sleeve,
        )  # fmt: skip


def _splices(plan: Plan) -> Iterator[tuple[str, ...]]:
    for row in splice_rows(plan):
        yield row.name, row.station or _NOT_KNOWN, ", ".join(wire.tag for wire in row.wires)


def _fuses(plan: Plan) -> Iterator[tuple[str, ...]]:
    for device, fuse in plan.sizes.fuses.items():
        load, most = fuse.need.load_a, fuse.most_a
        yield (
            device, _figure(fuse.chosen_a, "current"), fuse.decided_by, _figure(load, "current"),
            _figure(most, "current"), ", ".join(fuse.protects) or "none",
        )  # fmt: skip


def _totals(plan: Plan) -> Iterator[tuple[str, ...]]:
    for total in plan.wire_totals:
        yield (
            number(total.size_mm2, "area"), str(awg_not_thinner(total.size_mm2)), total.colour, str(total.wires),
            number(total.cut_mm, "cut"), str(total.drum_m),
        )  # fmt: skip


def _figure(value: float | None, dimension: str) -> str:
    return _NOT_KNOWN if value is None else number(value, dimension)


def _table(heads: Sequence[str], units: Sequence[str], aligned: str, rows: Sequence[Sequence[str]]) -> Iterator[str]:
    shown = [heads, *([units] if any(units) else []), *rows]
    widths = [max(len(row[column]) for row in shown) for column in range(len(heads))]
    for row in shown:
        cells = (f"{cell:{side}{width}}" for cell, side, width in zip(row, aligned, widths, strict=True))
        yield "  ".join(cells).rstrip()
