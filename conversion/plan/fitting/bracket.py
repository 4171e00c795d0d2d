"""The bracket's members and infills: cut, and as what may be in the way."""

from __future__ import annotations

import numpy as np

from conversion.description import Missing
from conversion.description.fit_forms import FitForm, FlatBar, SectionForm, SquareTube
from conversion.fit import (
    CornerInfill,
    End,
    Kind,
    Measured,
    MemberCut,
    Section,
    box,
    corner_infill,
    cut_member,
    equal_angle,
    flat_bar,
    square_tube,
)
from conversion.plan.fitting.figures import FitFigures, axes_of
from conversion.plan.fitting.obstacles import Standing

NO_CUT = "the bracket's cuts cannot be computed"


def cut_members(figures: FitFigures, form: FitForm) -> dict[str, MemberCut | Missing]:
    """Each described member, or why it cannot be cut."""
    cuts: dict[str, MemberCut | Missing] = {}
    for name in form.members:
        try:
            cuts[name] = _member(figures, form, name)
        except Missing as missing:
            cuts[name] = missing
        except ValueError as error:
            cuts[name] = _refused(figures, error, "members", name)
    return cuts


def cut_infills(figures: FitFigures, form: FitForm) -> dict[str, CornerInfill | Missing]:
    """Each described infill, or why it cannot be cut."""
    cuts: dict[str, CornerInfill | Missing] = {}
    for name, infill in form.infills.items():
        path = ("infills", name)
        try:
            leg = figures.figure(infill.leg, *path, "leg").nominal
            width = figures.figure(infill.member, *path, "member").nominal
            corner = figures.nominal(infill.corner, float(np.pi / 2), *path, "corner")
            cuts[name] = corner_infill(leg, width, Measured(infill.measured), corner)
        except Missing as missing:
            cuts[name] = missing
    return cuts


def standing_members(figures: FitFigures, form: FitForm) -> tuple[Standing, ...]:
    """Each member that can be cut, as an obstacle: a bar as thick as its section, from its one end to the other.

    A mitre is taken as if the whole end reached as far as its longest edge.
    """
    found = []
    for name, member in form.members.items():
        path = ("members", name)
        try:
            figures.start()
            cut = _member(figures, form, name)
            start, end = (figures.point(getattr(member, key).at, *path, key, "at") for key in ("start", "end"))
        except (Missing, ValueError):
            continue
        half = np.array([cut.section.width_mm, cut.section.height_mm]) / 2
        before, behind = np.abs(np.tan(cut.mitres_rad)) @ half
        along = (end - start) / cut.middle_mm
        centre = (start + end + (behind - before) * along) / 2
        size = [(cut.middle_mm + before + behind) / 2, half[1], half[0]]
        body = box(f"member {name}", Kind.OTHER, centre, axes_of(along, member.width), size)
        uncertain = figures.uncertain_mm
        found.append(Standing(body.name, path, "other", (body,), (body,), (), None, uncertain, False))
    return tuple(found)


def _member(figures: FitFigures, form: FitForm, name: str) -> MemberCut:
    member, path = form.members[name], ("members", name)
    start, end = (
        End(figures.point(each.at, *path, key, "at"), np.array(each.face))
        for key, each in (("start", member.start), ("end", member.end))
    )
    return cut_member(_section(figures, member.section, *path, "section"), start, end, np.array(member.width))


def _section(figures: FitFigures, section: SectionForm, *path: str) -> Section:
    def size(key: str) -> float:
        return figures.figure(getattr(section, key), *path, key).nominal

    if isinstance(section, FlatBar):
        return flat_bar(size("width"), size("thickness"))
    if isinstance(section, SquareTube):
        return square_tube(size("width"), size("wall"))
    return equal_angle(size("leg"), size("thickness"))


def _refused(figures: FitFigures, error: ValueError, *path: str) -> Missing:
    return Missing(f"fit.{'.'.join(path)}", figures.description.place("fit", *path), NO_CUT, f"cannot be cut: {error}")
