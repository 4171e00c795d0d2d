"""What is made for the fit: the recess step by step, the bracket's pieces, the templates with their files."""

from __future__ import annotations

from typing import TYPE_CHECKING

from conversion.description import Missing
from conversion.drawings import Drawings
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Points, Table
from conversion.quantities import number, show

if TYPE_CHECKING:
    from conversion.plan.fitting.fit import Fit  # loads solid geometry, which not every description needs
    from conversion.plan.fitting.recess import RecessPlan


def recess_facts(planned: RecessPlan) -> tuple[tuple[str, str], ...]:
    """How deep, how wide, where, and what is left on both sides."""
    recess = planned.recess
    box = recess.box
    x, y, z = (show(float(each), "length") for each in recess.centre_mm)
    rows = [
        ("Where", f"{planned.lack.flat.name}, middle of the opening at x {x}, y {y}, z {z}"),
        ("Least depth", f"{show(recess.least_depth_mm, 'length')} for {show(planned.lack.clearance_mm, 'length')} of "
         "clearance over the whole travel"),
        ("Made", f"{show(box.depth_mm, 'length')} deep, {show(box.width_mm, 'length')} wide and "
         f"{show(box.height_mm, 'length')} high inside, flange {show(box.flange_mm, 'length')}"),
        ("Hole in the bulkhead", f"{show(recess.hole_mm[0], 'length')} wide, {show(recess.hole_mm[1], 'length')} high"),
        ("Then least clearance", f"{show(recess.clearance.distance_mm, 'length')}, to the {recess.clearance.body} at "
         f"pad travel {show(recess.clearance.pad_travel_mm, 'length')}"),
        ("Stands out on the other side", show(recess.protrudes_mm, "length")),
    ]  # fmt: skip
    for standing, taken in zip(planned.behind, recess.taken, strict=True):
        rows.append((f"Left there to {standing.name}", show(taken.distance_mm, "length")))
    return tuple(rows)


def recess_steps(planned: RecessPlan) -> tuple[str, ...]:
    """How it is made. The order of folding is common practice, no source."""
    flat, box = planned.recess.flat, planned.recess.box
    width, height = (show(size, "length") for size in flat.size_mm)
    tabs = "the corner tabs up, then " if box.corner.value == "folded" else ""
    corners = "rivet or weld the tabs" if box.corner.value == "folded" else "weld the corners"
    return (
        "Print the opening and the flat pattern, and measure both bars of every page before anything is marked.",
        "Tape the opening to the bulkhead by its middle. Prick the centres. Look behind it before the first hole.",
        f"Cut the opening and drill {len(flat.holes_fitted)} holes of {show(box.hole_mm, 'length')}. Round the "
        "corners, take off the burr, paint the edges.",
        f"Cut the blank, {width} by {height}, from {show(box.sheet.thickness_mm, 'length')} sheet. Drill the holes "
        f"and, before folding, the reliefs of {show(flat.reliefs[0].diameter_mm, 'length')} at the bottom's corners.",
        f"Fold {tabs}the flange down, then the walls up, each on its dashed line, with "
        f"{show(box.sheet.inside_radius_mm, 'length')} inside. Try the first bend on a strip of the same sheet: it "
        "must come out as the drawing has it.",
        f"Then {corners}, try the box in the opening, and fit it with sealant that stands fire under the whole flange.",
    )


def bracket_table(fit: Fit) -> Table | None:
    """The cut list; None where nothing can be cut."""
    rows = []
    for name, cut in fit.members.items():
        if not isinstance(cut, Missing):
            start, end = (
                " and ".join(
                    f"{number(abs(float(angle)), 'angle')} across the {across}"
                    for angle, across in zip(mitres, ("width", "height"), strict=True)
                    if abs(float(angle)) > 1e-3
                )
                or "square"
                for mitres in cut.mitres_rad
            )
            rows.append(_piece(name, cut.section.name, "", cut.longest_mm, cut.shortest_mm, start, end))
    for name, infill in fit.infills.items():
        if not isinstance(infill, Missing):
            mitre = f"{number(infill.mitre_rad, 'angle')} across the width"
            told = f"told {infill.measured.value}"
            bar = f"bar {show(infill.width_mm, 'length')} wide"
            rows.append(_piece(name, bar, told, infill.outside_mm, infill.inside_mm, mitre, mitre))
    if not rows:
        return None
    columns = (
        Column("Piece", 1.3),
        Column("From", 2.2),
        Column("Longest edge", 1.1, "right", "mm"),
        Column("Shortest edge", 1.1, "right", "mm"),
        Column("Start leaves square by", 2.0, unit="°"),
        Column("End leaves square by", 2.0, unit="°"),
        Column("Cut", 0.6, "center"),
    )
    return Table(columns, (Group("", tuple(rows)),))


def _piece(
    name: str, stock: str, told: str, longest: float, shortest: float, start: str, end: str
) -> tuple[Cell, ...]:  # fmt: skip
    return (
        Cell(name, strong=True),
        Cell(stock, told),
        Cell(number(longest, "length")),
        Cell(number(shortest, "length")),
        Cell(start),
        Cell(end),
        Cell(fill="tick"),
    )


def template_blocks(drawn: Drawings) -> tuple[Block, ...]:
    """Which templates there are, in which files, and how to print them."""
    if not drawn.templates and not drawn.templates_left_out:
        return ()
    blocks: list[Block] = [Heading("Templates at true scale")]
    if drawn.templates:
        blocks += [_template_table(drawn), Paragraph(PRINTING, small=True)]
    left = tuple(f"{what}: {why}." for what, why in drawn.templates_left_out)
    if left:
        blocks += [Paragraph("There is no template of:", leads=True), Points(left)]
    return tuple(blocks)


PRINTING = (
    "Print at actual size, not fitted to the page, and measure both bars of every page: each must be 100 mm. Lay the "
    "crosses of neighbouring pages over each other. The DXF is in millimetres; its layers are CUT, BEND and MARK."
)


def _template_table(drawn: Drawings) -> Table:
    from conversion.fit import COMMON_PAPERS, tiles
    from conversion.pack.true_scale import file_names

    rows = []
    for sheet in drawn.templates:
        pages = ", ".join(f"{len(tiles(sheet, paper))} of {paper}" for paper in COMMON_PAPERS)
        size = f"{number(sheet.width_mm, 'length')}\u00a0×\u00a0{number(sheet.height_mm, 'length')}"
        rows.append((Cell(sheet.title, strong=True), Cell(", ".join(file_names(sheet))), Cell(size), Cell(pages)))
    columns = (
        Column("Template", 2.6),
        Column("Files", 4.0),
        Column("Size", 1.3, "right", "mm"),
        Column("Pages", 1.5),
    )
    return Table(columns, (Group("", tuple(rows)),))
