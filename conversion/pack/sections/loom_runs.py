"""Runs and splices: how thick each bundle is, what covers and holds it, and how every splice is made."""

from __future__ import annotations

from conversion.loom import SplicePlace
from conversion.loom.bundles import Bundle
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Table
from conversion.pack.document import DataTable, Section
from conversion.plan import Plan
from conversion.plan.loom.tables.build_order import splice_sides
from conversion.plan.loom.tables.splices import SpliceRow, splice_rows
from conversion.quantities import number, show

_RUNS = (
    Column("Run", 2.4),
    Column("Wires", 0.8, "right"),
    Column("Thick", 1.2, "right", "mm"),
    Column("Covered with", 2.0),
    Column("Over all", 0.8, "right", "mm"),
    Column("Clips", 2.0),
    Column("Bends, least and described", 2.0, unit="mm"),
    Column("Mass", 0.8, "right", "g"),
    Column("Done", 0.8, "center"),
)
_HOLES = (
    Column("Grommet at", 1.4),
    Column("Wires through", 3.6),
    Column("Covered", 1.0, "right", "mm"),
    Column("Hole needed", 1.1, "right", "mm"),
    Column("Hole described", 1.2, "right", "mm"),
)
_SPLICES = (
    Column("Splice", 0.9),
    Column("Where", 1.8),
    Column("Wires, as they enter the barrel", 3.4),
    Column("Together", 1.3),
    Column("Strip", 0.7, "right", "mm"),
    Column("Lined tube", 1.4),
    Column("Why there", 2.2),
    Column("Made", 0.8, "center"),
)
_SAID = (
    "Thick is the diameter of the wires laid close, each twist counted as the round strand that it is; below it stands "
    "what the same wires take untwisted. Over all is thick with its covering. Bends are radii to the inside: ten times "
    "the untwisted diameter where nothing holds the loom, three times between two clips (FAA AC 43.13-1B, paragraph "
    "11-96, from memory). Clips are counted from the station that stands first."
)
_COST = (
    "A splice lies where its wires take least copper along their runs, each with the size of habit, since sizes are "
    "chosen only when the lengths are known."
)


def runs_section(plan: Plan) -> Section:
    """The section: bundles, holes, splices, and the wires that do not take the shortest way."""
    blocks: list[Block] = []
    if plan.bundles:
        rows = tuple(_run(plan, bundle) for bundle in plan.bundles.values())
        blocks += [Paragraph(_SAID, small=True), Table(_RUNS, (Group("", rows),))]
    if plan.passages:
        blocks += [Heading("Holes"), _holes(plan)]
    splices = tuple(splice_rows(plan))
    if splices:
        rows = tuple(_splice(plan, row) for row in splices)
        blocks += [Heading("Splices"), Paragraph(_COST, small=True, leads=True), Table(_SPLICES, (Group("", rows),))]
    if plan.other_ways:
        blocks += [Heading("Ways that wires do not take"), _other_ways(plan)]
    if not blocks:
        blocks.append(Paragraph("No run is described that a wire could take."))
    lead = "What each stretch of the loom is covered with and held by, and how every splice is made."
    return Section("loom-runs", "Runs and splices", lead, tuple(blocks))


def runs_data(plan: Plan) -> DataTable:
    """Every run that a wire takes."""
    head = (
        "run", "from", "to", "length_mm", "zone", "wires", "diameter_mm", "with_twists_mm", "covering", "bore_mm",
        "covered_mm", "clip_bore_mm", "clips", "clips_at_mm", "least_bend_held_mm", "least_bend_free_mm",
        "sharpest_corner_mm", "mass_g",
    )  # fmt: skip
    loom = plan.description.conversion.loom
    rows = []
    for each in plan.bundles.values():
        assert loom is not None, "a bundle lies in a run"
        between = loom.runs[each.run].between
        rows.append(
            (
                each.run, *between, _or_none(each.length_mm), each.zone, " ".join(each.tags),
                number(each.diameter_mm, "length"), number(each.round_mm, "length"), each.sleeve,
                _or_none(each.cover.bore_mm), number(each.sleeved_mm, "length"), number(each.clip_bore_mm, "length"),
                str(each.clip_count), " ".join(number(at, "cut") for at in each.clips),
                number(each.least_bend_mm, "length"), number(each.free_bend_mm, "length"),
                _or_none(each.sharpest_corner_mm), "" if each.mass_g is None else f"{each.mass_g:.0f}",
            )
        )  # fmt: skip
    return DataTable("loom-runs", head, tuple(rows))


def splices_data(plan: Plan) -> DataTable:
    """Every splice, and what it would cost elsewhere."""
    head = (
        "splice", "station", "wires_one_end", "wires_other_end", "together_mm2", "strip_mm", "tube_bore_mm",
        "tube_length_mm", "chosen_by", "copper_mm3", "elsewhere",
    )  # fmt: skip
    rows = []
    for row in splice_rows(plan):
        ends = (" ".join(w.tag for side in group for w in side.wires) for group in (row.one_side, row.other_side))
        tube = ("", "") if row.tube is None else (f"{row.tube.bore_mm:g}", number(row.tube.length_mm, "cut"))
        elsewhere = "; ".join(
            f"{other.station}: {other.why_not or _copper(other.copper_mm3)}" for other in row.place.others
        )
        rows.append(
            (
                row.name, row.station, *ends, number(row.size_mm2, "area"), number(row.strip_mm, "length"), *tube,
                "description" if row.place.said else "least copper",
                "" if row.place.copper_mm3 is None else f"{row.place.copper_mm3:.0f}", elsewhere,
            )
        )  # fmt: skip
    return DataTable("loom-splices", head, tuple(rows))


def _or_none(value: float | None) -> str:
    return "" if value is None else number(value, "length")


def _copper(copper_mm3: float | None) -> str:
    return "cost not known" if copper_mm3 is None else f"{copper_mm3:.0f} mm³ of copper"


def _run(plan: Plan, each: Bundle) -> tuple[Cell, ...]:
    loom = plan.description.conversion.loom
    assert loom is not None, "a bundle lies in a run"
    one, other = loom.runs[each.run].between
    length = "length not known" if each.length_mm is None else show(each.length_mm, "cut")
    bore = "" if each.cover.bore_mm is None else f"bore {show(each.cover.bore_mm, 'length')}"
    clips = ", ".join(number(at, "cut") for at in each.clips)
    untwisted = "" if each.round_mm == each.diameter_mm else f"wires {number(each.diameter_mm, 'length')}"
    held = "and on both sides of each bend" if each.held_corners_mm else ""
    corner = "none" if each.sharpest_corner_mm is None else number(each.sharpest_corner_mm, "cut")
    return (
        Cell(each.run, f"from {one} to {other}, {length}; {each.zone}", strong=True),
        Cell(str(len(each.tags))),
        Cell(number(each.round_mm, "length"), untwisted),
        Cell(each.sleeve, bore),
        Cell(number(each.sleeved_mm, "length")),
        Cell(f"{each.clip_count} of {each.clip_bore_mm:g} mm", f"at {clips} mm {held}".strip() if clips else held),
        Cell(f"free {each.free_bend_mm:.0f}, held {each.least_bend_mm:.0f}", f"sharpest described: {corner}"),
        Cell("not known" if each.mass_g is None else f"{each.mass_g:.0f}"),
        Cell(fill="tick"),
    )


def _holes(plan: Plan) -> Table:
    rows = tuple(
        (
            Cell(each.station, strong=True),
            Cell(" ".join(each.tags)),
            Cell(number(each.cover.outside_mm, "length")),
            Cell(number(each.least_hole_mm, "length")),
            Cell("not described" if each.hole_mm is None else number(each.hole_mm, "length")),
        )
        for each in plan.passages.values()
    )
    return Table(_HOLES, (Group("", rows),))


def _splice(plan: Plan, row: SpliceRow) -> tuple[Cell, ...]:
    loom = plan.description.conversion.loom
    place = loom.stations[row.station].place if loom and row.station in loom.stations else ""
    tube = "none is large enough"
    if row.tube is not None:
        tube = f"bore {row.tube.bore_mm:g} mm, {show(row.tube.length_mm, 'cut')} long"
    thin = "" if row.tube is None or row.tube.closes else "one more, thin, on the thinner side"
    return (
        Cell(row.name, strong=True),
        Cell(row.station or "no station will do", place),
        Cell(splice_sides(row)),
        Cell(show(row.size_mm2, "area")),
        Cell(number(row.strip_mm, "cut")),
        Cell(tube, thin),
        Cell(*_why_there(row.place)),
        Cell(fill="tick"),
    )


def _why_there(place: SplicePlace) -> tuple[str, str]:
    chosen = "as described" if place.said else "costs least copper"
    next_best = next((each for each in place.others if each.why_not is None and each.copper_mm3 is not None), None)
    said = f"{chosen}: {_copper(place.copper_mm3)}"
    small = "" if next_best is None else f"next: {next_best.station}, {_copper(next_best.copper_mm3)}"
    return (f"{said}; {place.why_not}" if place.why_not else said), small


def _other_ways(plan: Plan) -> Table:
    rows = tuple(
        (
            Cell(" ".join(each.tags)),
            Cell(", ".join(each.route.runs), _how_long(each.route.length_mm)),
            Cell(", ".join(each.runs), _how_long(each.length_mm)),
            Cell(each.why_not),
        )
        for each in plan.other_ways
    )
    columns = (Column("Wires", 1.6), Column("Their runs", 3.0), Column("Other runs", 3.0), Column("Why not", 4.0))
    return Table(columns, (Group("", rows),))


def _how_long(length_mm: float | None) -> str:
    return "of unknown length" if length_mm is None else show(length_mm, "length")
