"""Labels of the loom: what stands on each, and the sheet that they are printed on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from conversion.description.board_forms import LabelSheet
from conversion.quantities import show
from conversion.wiring import SplicePoint, Wire

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

FROM_END_MM = 40.0
"""From the end of the insulation to the label, so that two new terminations leave it alone. Common practice, no
source."""
FROM_SPLICE_MM = 20.0
"""The same at a splice, which is never made anew: just clear of the tube over it. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Label:
    """One label.

    Attributes:
        kind: What it is wrapped round: the end of a wire, the loom behind a housing, or a splice.
        tag: Of the wire, the device or the splice.
        here: Where it is put on: the end of the wire that is near, or the station.
        pieces: Its words; they stand on one line where they have room.
    """

    kind: Literal["wire", "housing", "splice"]
    tag: str
    here: str
    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """Where the labels of a sheet lie; all in millimetres.

    Attributes:
        paper: ``A4`` or ``Letter``, upright.
        across: Labels beside each other.
        down: Labels below each other.
        width_mm: Of one label, along the wire.
        height_mm: Of one label, round the wire.
        left_mm: From the paper's left edge to the first label.
        top_mm: From its upper edge.
        step_across_mm: From one label to the next.
        step_down_mm: The same downward.
        bought: Whether it is a sheet of labels that hold by themselves; else it is plain paper to be cut.
    """

    paper: str
    across: int
    down: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    step_across_mm: float
    step_down_mm: float
    bought: bool

    @property
    def each(self) -> int:
        """Labels on a sheet."""
        return self.across * self.down


PLAIN_PAPER = SheetLayout("A4", 4, 15, 45.0, 18.0, 12.0, 12.0, 47.0, 18.0, bought=False)
"""Strips of plain paper, where no sheet of labels is described; clear heat-shrink tube holds them."""


def sheet_layout(form: LabelSheet | None) -> SheetLayout | None:
    """Where the labels of the described sheet lie; None where one of its measures is not known."""
    if form is None:
        return PLAIN_PAPER
    sizes = (form.width, form.height, form.left, form.top)
    known = [each.nominal for each in sizes if each is not None]
    if len(known) < len(sizes):
        return None
    width, height, left, top = known
    across = width + (form.gap_across.nominal if form.gap_across else 0.0)
    down = height + (form.gap_down.nominal if form.gap_down else 0.0)
    return SheetLayout(form.paper, form.across, form.down, width, height, left, top, across, down, bought=True)


def end_without_cover_mm(plan: Plan) -> float:
    """Of a tail at its housing, so that the labels can be read and contacts can be made anew. [mm]"""
    loom = plan.description.conversion.loom
    layout = sheet_layout(loom.labels if loom else None)
    return FROM_END_MM + (layout.width_mm if layout else 0.0) + 10.0


CLEAR_TUBE = "slide it over each label of paper as soon as that is on: later a contact is in its way"


def labels_of_paper(plan: Plan) -> bool:
    """Whether the labels are strips of paper under clear tube, which has to be on the wire before its contacts."""
    loom = plan.description.conversion.loom
    layout = sheet_layout(loom.labels if loom else None)
    return layout is not None and not layout.bought


def label_places(wires: Iterable[Wire]) -> str:
    """How far from their ends the labels of wires begin, as a document says it."""
    said = f"{show(FROM_END_MM, 'cut')} from the end"
    if any(isinstance(end, SplicePoint) for wire in wires for end in (wire.start, wire.end)):
        said += f", at a splice {show(FROM_SPLICE_MM, 'cut')} from it"
    return said


def wire_labels(plan: Plan) -> Iterator[Label]:
    """Both ends of every wire, one after the other in building order; the near end stands first."""
    for wire in plan.wiring.wires:
        for near, far in ((wire.start, wire.end), (wire.end, wire.start)):
            yield Label("wire", wire.tag, near.name, (wire.tag, near.name, f"→ {far.name}"))


def other_labels(plan: Plan) -> Iterator[Label]:
    """One for each housing that a wire goes into, then one for each splice."""
    met: dict[tuple[str, str], None] = {}
    splices: dict[str, tuple[str, list[str]]] = {}
    for wire in plan.wiring.wires:
        for end in (wire.start, wire.end):
            if isinstance(end, SplicePoint):
                splices.setdefault(end.name, (end.station, []))[1].append(wire.tag)
            else:
                met[end.device, end.housing] = None
    for device, part in plan.description.parts.items():
        for name in part.housings:
            if (device, name) in met:
                plug = f"{device} {name}" if len(part.housings) > 1 else device
                station = plan.description.conversion.devices[device].station or ""
                # What is behind the first comma only tells it from others of its kind.
                yield Label("housing", plug, station, (plug, part.title.partition(",")[0]))
    for name, (station, tags) in sorted(splices.items()):
        yield Label("splice", name, station, (name, " ".join(tags)))


def all_labels(plan: Plan) -> tuple[Label, ...]:
    """Every label in the order in which the sheet is used up."""
    return (*wire_labels(plan), *other_labels(plan))
