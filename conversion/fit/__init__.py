"""Whether it all fits: clearances in space over the travel, swept outlines, the recess, bracket, true scale."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from conversion.fit.bend import Sheet, bend_allowance_mm, bend_deduction_mm
from conversion.fit.bodies import AnyBody, Body, HalfSpace, Link, box, capsule, half_space, joined, prism, swept
from conversion.fit.bulkhead import Bulkhead, bent_bulkhead
from conversion.fit.clearance import (
    Clearance,
    clearance_at,
    clearance_of_fixed,
    clearances,
    gap_at_mm,
    least_clearance,
)
from conversion.fit.flat_pattern import BendLine, BoxSize, Corner, FlatPattern, Hole, Way, flat_pattern
from conversion.fit.kinds import Kind
from conversion.fit.members import (
    CornerInfill,
    End,
    Measured,
    MemberCut,
    cantilever_stiffness_n_per_mm,
    corner_infill,
    cut_member,
)
from conversion.fit.pedals import pad_centres_mm, side_gap_mm, step_height_mm
from conversion.fit.poses import Poses, Turn
from conversion.fit.recess import Recess, RecessWish, least_depth_mm, recess_for
from conversion.fit.sections import Section, equal_angle, flat_bar, square_tube
from conversion.fit.shapes import Circle, Line, Purpose, Shape, TemplateSheet, Text
from conversion.fit.tiles import COMMON_PAPERS, Paper, Tile, tile_count, tiles
from conversion.fit.wanted import Wanted, wanted_between

if TYPE_CHECKING:
    from conversion.fit.envelope import Envelope, swept_envelope
    from conversion.fit.templates import (
        bracket_face,
        clipped,
        flat_pattern_sheet,
        lever_template,
        mock_up_sheet,
        opening_sheet,
    )

__all__ = [
    "COMMON_PAPERS",
    "AnyBody",
    "BendLine",
    "Body",
    "BoxSize",
    "Bulkhead",
    "Circle",
    "Clearance",
    "Corner",
    "CornerInfill",
    "End",
    "Envelope",
    "FlatPattern",
    "HalfSpace",
    "Hole",
    "Kind",
    "Line",
    "Link",
    "Measured",
    "MemberCut",
    "Paper",
    "Poses",
    "Purpose",
    "Recess",
    "RecessWish",
    "Section",
    "Shape",
    "Sheet",
    "TemplateSheet",
    "Text",
    "Tile",
    "Turn",
    "Wanted",
    "Way",
    "bend_allowance_mm",
    "bend_deduction_mm",
    "bent_bulkhead",
    "box",
    "bracket_face",
    "cantilever_stiffness_n_per_mm",
    "capsule",
    "clearance_at",
    "clearance_of_fixed",
    "clearances",
    "clipped",
    "corner_infill",
    "cut_member",
    "equal_angle",
    "flat_bar",
    "flat_pattern",
    "flat_pattern_sheet",
    "gap_at_mm",
    "half_space",
    "joined",
    "least_clearance",
    "least_depth_mm",
    "lever_template",
    "mock_up_sheet",
    "opening_sheet",
    "pad_centres_mm",
    "prism",
    "recess_for",
    "side_gap_mm",
    "square_tube",
    "step_height_mm",
    "swept",
    "swept_envelope",
    "tile_count",
    "tiles",
    "wanted_between",
]

_LATER = {
    "Envelope": "envelope",
    "swept_envelope": "envelope",
    "bracket_face": "templates",
    "clipped": "templates",
    "flat_pattern_sheet": "templates",
    "lever_template": "templates",
    "mock_up_sheet": "templates",
    "opening_sheet": "templates",
}
"""Names of modules that only drawings and templates need; they load when asked for, and checks start faster."""


def __getattr__(name: str) -> Any:
    if name not in _LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_LATER[name]}"), name)
