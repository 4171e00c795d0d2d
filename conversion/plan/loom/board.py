"""The loom of a plan on the board: what hangs where, how thick it is, and how it is laid out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from conversion.description import Missing, Terminal
from conversion.description.complaints import Complaint, listed
from conversion.loom.allowed import station_zones
from conversion.loom.board import BoardRun, BoardTree, Layout, Leaf, find_loop, lay_board
from conversion.loom.board.layout import BORDER_MM
from conversion.loom.lengths import drip_loop_mm, tail_mm
from conversion.loom.packing import pack_circles
from conversion.loom.wire_data import outer_diameter_mm

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

STRIP_MM = 46.0
"""Along the board's lower edge, for its title and what the marks mean. [mm]"""

REFERENCE_MM = 6.0
TITLE_MM = 3.0
"""Height of capitals in a housing's box. [mm]"""

_TITLE_LETTERS = 28
# As many as the tail and the number of wires take.
_TAIL_LETTERS = 24
_LETTER = 0.85
_NO_BOARD = "the loom cannot be laid on a board"


@dataclass(frozen=True, slots=True)
class Hung:
    """A housing on the board, or a bolt or clamp that wires end at.

    Attributes:
        name: ``K1``, or ``K1.A`` where wires go into several housings of the device.
        device: Reference.
        housing: Of the device.
        title: Of the part, its first words.
        wires: Tags of the wires that end there, in building order.
        tail_mm: From the station to the housing. [mm]
        drip_mm: Of the tail, what is laid in for a loop that lets water drip off. [mm]
    """

    name: str
    device: str
    housing: str
    title: str
    wires: tuple[str, ...]
    tail_mm: float
    drip_mm: float


@dataclass(frozen=True)
class BoardPlan:
    """The loom as it is laid on the board.

    Attributes:
        tree: What was laid.
        layout: How.
        hung: What hangs on the loom, by name.
    """

    tree: BoardTree
    layout: Layout
    hung: Mapping[str, Hung]

    @cached_property
    def along_trunk_mm(self) -> dict[str, tuple[str, float]]:
        """Of each station on a trunk, the trunk's first station and how far from it along the trunk. [mm]"""
        lengths = {frozenset(run.between): run.length_mm for run in self.tree.runs}
        found = {}
        for trunk in self.layout.trunks:
            far_mm = 0.0
            for rank, station in enumerate(trunk):
                far_mm += lengths[frozenset((trunk[rank - 1], station))] if rank else 0.0
                found[station] = (trunk[0], far_mm)
        return found


def board_complaints(plan: Plan) -> Iterator[Complaint]:
    """What keeps the loom from being laid on a board, at its place; nothing where it can be laid."""
    loop = _loop(plan)
    if loop:
        path = ("loom", "runs", loop[0].name)
        yield Complaint(plan.description.place(*path), ".".join(path), _loop_words(loop))


def board_plan(plan: Plan) -> BoardPlan:
    """Lay the loom of a plan.

    Raises:
        Missing: nothing is to be laid, a run that wires take has no known length, or those runs close a loop.
    """
    description = plan.description
    loom = description.conversion.loom
    if loom is None or not plan.routes:
        raise Missing("loom", description.place("loom"), _NO_BOARD, "is not described")
    loop = _loop(plan)
    if loop:
        path = ("loom", "runs", loop[0].name)
        raise Missing(".".join(path), description.place(*path), _NO_BOARD, _loop_words(loop))
    hung = {each.name: each for each in _hung(plan)}
    runs = tuple(_runs(plan))
    if not hung:
        raise Missing("devices", description.place("devices"), _NO_BOARD, "have no station that a wire reaches")
    leaves = tuple(_leaf(plan, each) for each in hung.values())
    tree = BoardTree(tuple(loom.stations), runs, leaves)
    board = loom.board
    if board is None or board.length is None or board.height is None:
        layout = lay_board(tree)
    else:
        layout = lay_board(tree, board.length.nominal, max(board.height.nominal - STRIP_MM, 2 * BORDER_MM + 1.0))
    return BoardPlan(tree, layout, hung)


def _loop(plan: Plan) -> tuple[BoardRun, ...]:
    loom = plan.description.conversion.loom
    if loom is None:
        return ()
    runs = [
        BoardRun(
            name, (run.between[0], run.between[1]), run.length.nominal if run.length else 0.0, wires=len(bundle.tags)
        )
        for name, run in loom.runs.items()
        if (bundle := plan.bundles.get(name)) is not None
    ]
    return find_loop(runs)


def _loop_words(loop: tuple[BoardRun, ...]) -> str:
    others = listed((run.name for run in loop[1:]), "and")
    wires = f"{loop[0].wires} wire{'s' * (loop[0].wires != 1)}"
    return (
        f"closes a loop with {others}, and a board takes a loom without loops; open this one, which takes {wires}: "
        "leave it out, or send its wires another way by 'closed_to' or by their 'via'"
    )


def _runs(plan: Plan) -> Iterator[BoardRun]:
    loom = plan.description.conversion.loom
    assert loom is not None, "asked only where a loom is described"
    for name, bundle in plan.bundles.items():
        run = loom.runs[name]
        length = plan.description.need(run.length, _NO_BOARD, "loom", "runs", name, "length")
        yield BoardRun(name, (run.between[0], run.between[1]), length.nominal, bundle.sleeved_mm, len(bundle.tags))


def _hung(plan: Plan) -> Iterator[Hung]:
    """Every housing that a routed wire ends at, by device and in the order of its housings."""
    description = plan.description
    loom = description.conversion.loom
    zones = station_zones(loom) if loom else {}
    ends: dict[str, dict[str, list[str]]] = {name: {} for name in description.parts}
    for wire in plan.wiring.wires:
        if plan.routes[wire.tag].why_none is None:
            for end in (wire.start, wire.end):
                if isinstance(end, Terminal):
                    tags = ends[end.device].setdefault(end.housing, [])
                    tags += [wire.tag] if wire.tag not in tags else []
    for device, housings in ends.items():
        for housing in (each for each in description.parts[device].housings if each in housings):
            drip = drip_loop_mm(description, device, zones)
            yield Hung(
                name=device if len(housings) == 1 else f"{device}.{housing}",
                device=device,
                housing=housing,
                # What comes after the first comma of a title tells parts of a kind apart.
                title=description.parts[device].title.split(",")[0],
                wires=tuple(housings[housing]),
                tail_mm=tail_mm(description, device) + drip,
                drip_mm=drip,
            )


def _leaf(plan: Plan, hung: Hung) -> Leaf:
    """Its box has room for its name, its part and one more line; the small one for its name."""
    sizes = {wire.tag: wire.size_mm2 for wire in plan.wiring.wires}
    station = plan.description.conversion.devices[hung.device].station
    assert station is not None, "a wire with a way has stations at both ends"
    name_mm = len(hung.name) * _LETTER * REFERENCE_MM
    title_mm = min(len(hung.title), _TITLE_LETTERS) * _LETTER * TITLE_MM
    thick = pack_circles(outer_diameter_mm(sizes[tag]) for tag in hung.wires).diameter_mm
    return Leaf(
        name=hung.name,
        station=station,
        tail_mm=hung.tail_mm,
        box_mm=(max(name_mm, title_mm, _TAIL_LETTERS * _LETTER * TITLE_MM) + 6.0, REFERENCE_MM + 2 * TITLE_MM + 14.0),
        small_box_mm=(len(hung.name) * _LETTER * 3.5 + 4.0, 8.0),
        thick_mm=thick,
    )
