"""The worst faults that nothing notices, as per cent against the travel."""

from __future__ import annotations

import numpy as np

from conversion.drawings.drawing import Drawing
from conversion.drawings.panel import STYLES, UNDERLAID, Curve, Mark, Panel, Pen
from conversion.drawings.panel_sheet import chart
from conversion.plan import Plan
from conversion.plan.faults.groups import Alike, worst_groups
from conversion.plan.faults.judged import FaultStudy

WORST = 10
_MORE = (Pen(0.8), Pen(0.8, (2.2, 1.0)))
_PENS = (*STYLES, *_MORE)


def pedal_fault_chart(plan: Plan) -> list[Drawing]:
    """The worst faults of the pedal; nothing where none opens the engine farther unnoticed."""
    study = plan.faults("pedal")
    groups = worst_groups(study)[:WORST]
    return [_pedal(plan, study, groups)] if groups else []


def throttle_fault_chart(plan: Plan) -> list[Drawing]:
    """The worst faults of the throttle likewise."""
    study = plan.faults("throttle")
    groups = worst_groups(study)[:WORST]
    return [_plate(study, groups)] if groups else []


def _pedal(plan: Plan, study: FaultStudy, groups: tuple[Alike, ...]) -> Drawing:
    pad = plan.travel.pad_travel_mm
    sound = Curve("sound", pad, study.sweep.percent, UNDERLAID)
    curves = tuple(_curve(number, group, pad, group.verdict.worst_percent) for number, group in _numbered(groups))
    marks = (Mark(0.0, "foot off"), Mark(float(pad[-1]), "full stop"))
    panel = Panel(
        "Pad travel along its arc [mm]", "Per cent taken, at the worst resistance that nothing notices [%]",
        (sound, *curves), marks=marks, show_y=(0.0, 100.0), height_mm=92.0,
    )  # fmt: skip
    return chart(
        "faults-pedal",
        "Pedal: the worst single faults that nothing notices",
        "Grey: the sound pedal. Each line: what would be taken at each position with the worst resistance there, while "
        "no described check notices. The numbers are those of the table.",
        [panel],
    )


def _plate(study: FaultStudy, groups: tuple[Alike, ...]) -> Drawing:
    asked = study.sweep.percent
    sound = Curve("sound", asked, asked, UNDERLAID)
    curves = tuple(_curve(number, group, asked, _stands(study, group)) for number, group in _numbered(groups))
    panel = Panel(
        "Per cent that is asked for [%]", "Opening of the plate, at the worst resistance that nothing notices [%]",
        (sound, *curves), show_y=(0.0, 100.0), height_mm=92.0,
    )  # fmt: skip
    return chart(
        "faults-throttle",
        "Throttle: the worst single faults that nothing notices",
        "Grey: the sound throttle. Each line: how far the plate may stand open while so much is asked for, with the "
        "worst resistance that no described check notices. The numbers are those of the table.",
        [panel],
    )


def _stands(study: FaultStudy, group: Alike) -> np.ndarray:
    """The widest opening at which the plate may stand for each per cent that is asked for; (positions,)."""
    opening = study.sweep.percent
    least_asked = 2.0 * opening - group.verdict.worst_percent
    reached = least_asked[None, :] <= opening[:, None] + 1e-9
    return np.asarray(np.where(reached, opening[None, :], 0.0).max(axis=1))


def _numbered(groups: tuple[Alike, ...]) -> enumerate[Alike]:
    return enumerate(groups, start=1)


def _curve(number: int, group: Alike, x: np.ndarray, y: np.ndarray) -> Curve:
    name = group.verdict.fault.name
    return Curve(f"{number}: {name[0].upper()}{name[1:]}", x, y, _PENS[(number - 1) % len(_PENS)])
