"""Clearances and cuts as plain tables for other programs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from conversion.description import Missing
from conversion.pack.document import DataTable
from conversion.plan import Plan
from conversion.quantities import number

if TYPE_CHECKING:
    from conversion.plan.fitting.fit import Fit  # loads solid geometry, which not every description needs

_FIT_HEAD = (
    "moving_part", "obstacle", "kind", "in_recess", "distance_mm", "uncertain_mm", "pad_travel_mm", "wanted_mm",
    "enough", "reason", "source",
)  # fmt: skip
_CUT_HEAD = (
    "piece", "from", "longest_mm", "shortest_mm", "middle_mm", "start_width_deg", "start_height_deg", "end_width_deg",
    "end_height_deg",
)  # fmt: skip


def fit_data(plan: Plan) -> DataTable | None:
    """Every clearance that is listed; None where none can be computed."""
    fit = _fit(plan)
    if fit is None:
        return None
    rows = tuple(
        (
            each.clearance.body,
            each.obstacle.name,
            each.obstacle.kind,
            "yes" if each.in_recess else "no",
            number(each.clearance.distance_mm, "length"),
            number(each.obstacle.uncertain_mm, "length"),
            number(each.clearance.pad_travel_mm, "length"),
            number(each.clearance.wanted.clearance_mm, "length"),
            "yes" if each.enough else "no",
            each.clearance.wanted.reason,
            each.clearance.wanted.source,
        )
        for each in fit.clearances
    )
    return DataTable("fit", _FIT_HEAD, rows)


def cut_list_data(plan: Plan) -> DataTable | None:
    """Every piece of the bracket that can be cut; None where there is none."""
    fit = _fit(plan)
    if fit is None:
        return None
    rows = []
    for name, cut in fit.members.items():
        if not isinstance(cut, Missing):
            lengths = (cut.longest_mm, cut.shortest_mm, cut.middle_mm)
            mitres = (float(angle) for angle in cut.mitres_rad.ravel())
            rows.append(
                (name, cut.section.name, *(number(each, "length") for each in lengths),
                 *(number(each, "angle") for each in mitres))
            )  # fmt: skip
    for name, infill in fit.infills.items():
        if not isinstance(infill, Missing):
            lengths = (infill.outside_mm, infill.inside_mm, (infill.outside_mm + infill.inside_mm) / 2)
            both = (infill.mitre_rad, 0.0, -infill.mitre_rad, 0.0)
            bar = f"bar {number(infill.width_mm, 'length')} wide"
            rows.append(
                (name, bar, *(number(each, "length") for each in lengths), *(number(each, "angle") for each in both))
            )
    return DataTable("cut-list", _CUT_HEAD, tuple(rows)) if rows else None


def _fit(plan: Plan) -> Fit | None:
    try:
        return plan.fit
    except Missing:
        return None
