"""Mistakes in what is said of obstacles and bodies: each its own sentence, at its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion.description import DescriptionError
from conversion.description.outlines import crossing_edges
from tests.plan.fit_cases import BODIES, with_fit
from tests.rules.patching import patched_plan

SQUARE = "[[0 mm, 0 mm], [50 mm, 0 mm], [50 mm, 50 mm], [0 mm, 50 mm]]"
POST = "bar: {start: [0 mm, 0 mm, 0 mm], end: [0 mm, 0 mm, 90 mm], radius: 5 mm}"
WALL = "plane: {point: [0 mm, 0 mm, 0 mm], outward: back}"


def outline(corners: str, y: str = "from_y: 0 mm, to_y: 40 mm") -> str:
    return f"{{a: {{kind: other, outline: {{corners: {corners}, {y}}}}}}}"


def one(rest: str, kind: str = "other") -> str:
    return f"{{a: {{kind: {kind}, {rest}}}}}"


OBSTACLES = {
    "an outline that crosses itself": (
        outline("[[0 mm, 0 mm], [50 mm, 50 mm], [50 mm, 0 mm], [0 mm, 50 mm]]"),
        "fit.obstacles.a.outline.corners",
        "crosses itself: its edge from corner 1 meets that from corner 3",
    ),
    "an outline that folds back": (
        outline("[[0 mm, 0 mm], [50 mm, 0 mm], [20 mm, 0 mm], [20 mm, 50 mm]]"),
        "fit.obstacles.a.outline.corners",
        "crosses itself: its edge from corner 1 meets that from corner 2",
    ),
    "an outline on a line": (
        outline("[[0 mm, 0 mm], [50 mm, 50 mm], [20 mm, 20 mm]]"),
        "fit.obstacles.a.outline.corners",
        "has no area",
    ),
    "a corner twice": (
        outline("[[0 mm, 0 mm], [50 mm, 0 mm], [50 mm, 0 mm], [0 mm, 50 mm]]"),
        "fit.obstacles.a.outline.corners",
        "corners 2 and 3 are the same point",
    ),
    "two corners": (
        outline("[[0 mm, 0 mm], [50 mm, 0 mm]]"),
        "fit.obstacles.a.outline.corners",
        "write at least 3",
    ),
    "a corner with three figures": (
        outline("[[0 mm, 0 mm, 0 mm], [50 mm, 0 mm], [50 mm, 50 mm]]"),
        "fit.obstacles.a.outline.corners.1",
        "write at most 2",
    ),
    "no thickness across": (
        outline(SQUARE, "from_y: 40 mm, to_y: 40 mm"),
        "fit.obstacles.a.outline",
        "'from_y' and 'to_y' are both 40 mm, so it has no thickness",
    ),
    "a thickness of zero": (
        one("block: {centre: [0 mm, 0 mm, 0 mm], size: [0 mm, 10 mm, 10 mm]}"),
        "fit.obstacles.a.block.size.1",
        "must be above 0.0 mm",
    ),
    "no shape": (
        one("clearance: 5 mm"),
        "fit.obstacles.a",
        "needs one shape, of plane, sheet, bar, block, outline; it has none",
    ),
    "two shapes": (one(f"{POST}, {WALL}"), "fit.obstacles.a", "it has 2: plane, bar"),
    "a misspelt kind": (one(POST, "colum"), "fit.obstacles.a.kind", "did you mean 'column'?"),
    "an unknown kind": (one(POST, "aquarium"), "fit.obstacles.a.kind", "'aquarium' is not known here"),
    "a bar without length": (
        one("bar: {start: [1 mm, 2 mm, 3 mm], end: [1 mm, 2 mm, 3 mm], radius: 5 mm}"),
        "fit.obstacles.a.bar",
        "both ends of the bar are the same point",
    ),
    "a plane that faces nowhere": (
        one("plane: {point: [0 mm, 0 mm, 0 mm], outward: [0, 0, 0]}"),
        "fit.obstacles.a.plane.outward",
        "points nowhere",
    ),
    "a block with one direction": (
        one("block: {centre: [0 mm, 0 mm, 0 mm], size: [9 mm, 9 mm, 9 mm], along: up}"),
        "fit.obstacles.a.block",
        "'along' and 'up' of a block point the same way",
    ),
    "a plane that moves": (one(f"{WALL}, moves: pedal", "shoe"), "fit.obstacles.a", "has no end and cannot move"),
    "a sheet that is no bulkhead": (
        one("sheet: {corners: [[0 mm, 0 mm], [0 mm, 90 mm]], from_y: 0 mm, to_y: 9 mm}", "floor"),
        "fit.obstacles.a",
        "a 'sheet' is a bulkhead",
    ),
    "a column with a thickness": (
        one(f"{POST}, thickness: 1 mm", "column"),
        "fit.obstacles.a",
        "belongs to a bulkhead",
    ),
    "a column that travels": (
        one(
            f"{POST}, travel: {{pivot: [0 mm, 0 mm, 0 mm], pad: [0 mm, 0 mm, -90 mm], presses: clockwise, "
            "at_pad: 9 mm}",
            "column",
        ),
        "fit.obstacles.a",
        "'travel' belongs to a brake pedal or other pedal, or a shoe on it",
    ),
    "a bulkhead behind itself": (
        one(f"{WALL}, behind_bulkhead: true", "bulkhead"),
        "fit.obstacles.a",
        "stands still and is no bulkhead itself",
    ),
    "a word that is none": (one(f"{POST}, colour: red"), "fit.obstacles.a", "'colour' is not a word of an obstacle"),
}


@pytest.mark.parametrize("name", OBSTACLES)
def test_each_mistake_in_an_obstacle_is_told_at_its_place(name: str, tmp_path: Path) -> None:
    obstacles, path, says = OBSTACLES[name]
    with pytest.raises(DescriptionError) as refused:
        patched_plan(tmp_path, with_fit(obstacles))
    (complaint,) = refused.value.complaints
    assert complaint.path == path
    assert says in complaint.message
    assert complaint.place.line > 1


MORE = {
    "absent and described": (
        with_fit(one(POST, "column"), ", absent: {column: there is none}"),
        "fit.absent.column",
        "the column is said to be absent, and 'a' is one",
    ),
    "an absent shoe that is described": (
        with_fit(
            "{}",
            ", absent: {shoe: driven barefoot}",
            BODIES[:-1] + ", shoe: {width: 90 mm, ahead: 80 mm, behind: 60 mm, height: 60 mm}}",
        ),
        "fit.absent.shoe",
        "bodies.shoe is one",
    ),
    "an absent kind that is none": (
        with_fit("{}", ", absent: {carpets: bare}"),
        "fit.absent",
        "did you mean 'carpet'?",
    ),
    "a tube without a hole": (
        with_fit(
            "{}",
            ", members: {m: {section: {shape: square tube, width: 20 mm, wall: 10 mm}, start: {at: [0 mm, 0 mm, 0 mm], "
            "face: up}, end: {at: [0 mm, 0 mm, 90 mm], face: up}, width: left}}",
        ),
        "fit.members.m.section",
        "walls of 10 mm leave no hole in a tube of 20 mm",
    ),
    "an infill that says nothing of its width": (
        with_fit("{}", ", infills: {i: {leg: 64 mm, member: 25 mm}}"),
        "fit.infills.i",
        "'measured' is missing",
    ),
    "a straight corner": (
        with_fit("{}", ", infills: {i: {leg: 64 mm, member: 25 mm, measured: along the leg, corner: 180°}}"),
        "fit.infills.i",
        "it lies below 180°",
    ),
    "a lever thinner than its hole": (
        with_fit(bodies=BODIES.replace("thickness: 12 mm", "thickness: 12 mm, hole: 12 mm")),
        "fit.bodies.lever",
        "a hole of 12 mm breaks through a lever of 12 mm",
    ),
    "a lever thinner than its bore, and a pin too near its end": (
        with_fit(
            bodies=BODIES.replace("thickness: 12 mm", "thickness: 12 mm, hole: 6 mm, bore: 14 mm, past_pin: 3 mm")
        ),
        "fit.bodies.lever",
        "a bore of 14 mm breaks through a lever of 12 mm; give the lever more 'thickness' or the bore less than that; "
        "and a hole of 6 mm breaks through the lever's end, 3 mm past the pin's centre",
    ),
    "a hole beside the bracket's face": (
        with_fit("{}", f", face: {{corners: {SQUARE}, holes: [{{at: [60 mm, 20 mm], diameter: 6 mm}}]}}"),
        "fit.face",
        "the hole of 6 mm at (60, 20) mm does not lie within the face's outline",
    ),
    "a hole through the edge of the bracket's face": (
        with_fit("{}", f", face: {{corners: {SQUARE}, holes: [{{at: [47 mm, 20 mm], diameter: 6 mm}}]}}"),
        "fit.face",
        "the hole of 6 mm at (47, 20) mm does not lie within the face's outline",
    ),
    "an outer where there is no cable": (
        with_fit(bodies=BODIES[:-1] + ", outer: {diameter: 6 mm}}"),
        "fit.bodies.outer",
        "only a linkage of kind cable has that, and this one is of kind rod",
    ),
    "a crank where there is none": (
        with_fit(bodies=BODIES[:-1] + ", crank: 12 mm}"),
        "fit.bodies.crank",
        "only a linkage of kind bell-crank has that",
    ),
    "metres for millimetres": (
        with_fit(one("bar: {start: [0 mm, 0 mm, 0 mm], end: [0 mm, 0 m, 90 m], radius: 5 mm}")),
        "fit.obstacles.a.bar.end.3",
        "'90 m' is more than 5000.0 mm, and nothing beside a pedal is",
    ),
    "tape readings to an obstacle that do not meet": (
        with_fit(one("bar: {start: {from: {A: 5 mm, B: 6 mm}}, end: [0 mm, 0 mm, 90 mm], radius: 5 mm}")),
        "fit.obstacles.a.bar.start",
        "do not meet",
    ),
    "no bodies": (["conversion: search removed", "conversion: fit = {obstacles: {}}"], "fit", "'bodies' is missing"),
}


@pytest.mark.parametrize("name", MORE)
def test_other_mistakes_are_told_at_their_place(name: str, tmp_path: Path) -> None:
    lines, path, says = MORE[name]
    with pytest.raises(DescriptionError) as refused:
        patched_plan(tmp_path, lines)
    told = [(complaint.path, complaint.message) for complaint in refused.value.complaints]
    assert any(where == path and says in message for where, message in told), told


@pytest.mark.parametrize(
    ("corners", "crosses"),
    [
        ([(0, 0), (4, 0), (4, 4), (0, 4)], False),
        ([(0, 0), (4, 0), (4, 4), (2, 1), (0, 4)], False),
        ([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], True),
        ([(0, 0), (4, 0), (4, 4), (2, -1), (0, 4)], True),
        ([(0, 0), (9, 0), (9, 9)], False),
    ],
)
def test_edges_that_cross_or_touch(corners: list[tuple[float, float]], crosses: bool) -> None:
    assert (crossing_edges(corners) is not None) == crosses
    assert (crossing_edges(corners[::-1]) is not None) == crosses
