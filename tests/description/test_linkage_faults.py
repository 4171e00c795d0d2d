"""Faults of linkages, marks and tape readings: each is told once, at its place, with what would be right."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion.description import DescriptionError
from tests.kinds import BELL_CRANK, CABLE, CONTACT, DIRECT
from tests.rules.patching import patched_plan

ROD = "conversion: linkage.rod = "
PIVOT = "conversion: linkage.module.pivot"

FAULTS: dict[str, tuple[list[str], str, str]] = {
    "two circles that do not meet": (
        [f"{PIVOT}.from.A = 12 mm"],
        "linkage.module.pivot",
        "do not meet",
    ),
    "a distance of nothing": ([f"{PIVOT}.from.A = 0 mm"], "linkage.module.pivot.from.A", "must be above 0.0 mm"),
    "a tolerance larger than the figure": (
        [f"{PIVOT}.from.A = 5 mm ± 6 mm"],
        "linkage.module.pivot.from.A",
        "is as large as the figure itself",
    ),
    "a mark that is not there": (
        [f"{PIVOT} = {{from: {{A: 182.5 mm, Bb: 202 mm, C: 111 mm}}, side: back}}"],
        "linkage.module.pivot.from.Bb",
        "there is no mark 'Bb'; did you mean 'B'?",
    ),
    "a mark measured from a later one": (
        ["conversion: marks.A = {from: {B: 210 mm, C: 270 mm, E: 250 mm}, side: back}"],
        "marks.A.from.B",
        "it is described further down; put it first",
    ),
    "two readings and no more": (
        [f"{PIVOT} = {{from: {{A: 182.5 mm, B: 202 mm}}}}"],
        "linkage.module.pivot",
        "A point in space needs three readings",
    ),
    "a mirror image that nothing decides": (
        [f"{PIVOT} = {{from: {{A: 182.5 mm, B: 202 mm, C: 111 mm}}}}"],
        "linkage.module.pivot",
        "Say on which side it lies",
    ),
    "marks in one line": (
        ["conversion: marks.C = [82 mm, 60 mm, 75 mm]", f"{PIVOT} = {{from: {{A: 182.5 mm, B: 202 mm, C: 170 mm}}}}"],
        "linkage.module.pivot",
        "lie in one line",
    ),
    "a rod of no length": ([f"{ROD}{{length: 0 mm}}"], "linkage.rod.length", "must be above 0.0 mm"),
    "a bolt that points nowhere": (
        [f"{ROD}{{length: 140 mm, lever_end: {{bolt: [0, 0, 0]}}}}"],
        "linkage.rod.lever_end.bolt",
        "points nowhere",
    ),
    "a cable without its quadrant": (
        [*CABLE, "conversion: linkage.quadrant removed"],
        "linkage",
        "'quadrant' is missing",
    ),
    "a cable with a rod's pin": (
        [*CABLE, "conversion: linkage.pedal.rod_pin = [0 mm, 0 mm, 60 mm]"],
        "linkage.pedal",
        "'rod_pin' is not a word of a pedal with a cable",
    ),
    "a cable set in both ways": (
        [*CABLE, "conversion: linkage.cable.slack = 1 mm"],
        "linkage.cable",
        "either 'slack' or 'set_at_rest'",
    ),
    "a word nearly right": (
        [*CABLE, "conversion: linkage.cable.pedal_outer_ends = [0 mm, 0 mm, 0 mm]"],
        "linkage.cable",
        "did you mean 'pedal_outer_end'?",
    ),
    "a contact on neither body": (
        [*CONTACT, "conversion: linkage.contact.roller_on = lver"],
        "linkage.contact.roller_on",
        "did you mean 'lever'?",
    ),
    "a roller of no size": (
        [*CONTACT, "conversion: linkage.contact.roller_radius = 0 mm"],
        "linkage.contact.roller_radius",
        "must be above 0.0 mm",
    ),
    "a bell-crank without its pivot": (
        [*BELL_CRANK, "conversion: linkage.crank.pivot removed"],
        "linkage.crank",
        "'pivot' is missing",
    ),
    "a module's own pedal with a module's pivot": (
        [*DIRECT, "conversion: linkage.module.pivot = [0 mm, 0 mm, 0 mm]"],
        "linkage.module",
        "'pivot' is not a word of a module with its own pedal",
    ),
    "a kind that is none": (["conversion: linkage.kind = cabel"], "linkage.kind", "did you mean 'cable'?"),
    "a spring of no length": (
        ["conversion: springs.main.free_length = 0 mm"],
        "springs.main.free_length",
        "above 0.0 mm",
    ),
    "a spring without stiffness": (["conversion: springs.main.rate = 0 N/mm"], "springs.main.rate", "must be above"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_told_at_its_place(fault: str, tmp_path: Path) -> None:
    patch, path, says = FAULTS[fault]
    with pytest.raises(DescriptionError) as raised:
        patched_plan(tmp_path, [*patch, *(["conversion: fit removed"] if "linkage = {" in patch[0] else [])])
    told = [complaint for complaint in raised.value.complaints if says in complaint.message]
    assert told, str(raised.value)
    assert told[0].path == path and told[0].place.line > 1 and told[0].place.column >= 1
    assert len(raised.value.complaints) == len({str(complaint) for complaint in raised.value.complaints})
