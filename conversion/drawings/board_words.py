"""What is written beside the loom on its board."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.labels import shortened
from conversion.fit.shapes import CAPITAL
from conversion.plan import Plan
from conversion.plan.loom.board import Hung
from conversion.quantities import number, show
from conversion.wiring.wires import SplicePoint

NAME_MM, SMALL_MM = 5.0, 3.0
"""Heights of capitals. [mm]"""

_LEADING = 1.75
_WIDEST_MM = 130.0


@dataclass(frozen=True, slots=True)
class Block:
    """Lines of words, each with the height of its capitals. [mm]"""

    lines: tuple[tuple[str, float], ...]

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height. [mm]"""
        return (
            max(text_width_mm(text, height / CAPITAL) for text, height in self.lines),
            sum(height * _LEADING for _, height in self.lines) - (_LEADING - 1.0) * self.lines[-1][1],
        )

    def feet_mm(self) -> list[float]:
        """How far the foot of each line is below the top of the block. [mm]"""
        feet, down = [], 0.0
        for _, height in self.lines:
            feet.append(down + height)
            down += height * _LEADING
        return feet


def block(first: str, *others: str, first_mm: float = NAME_MM, widest_mm: float = _WIDEST_MM) -> Block:
    """A block with a larger first line; each as long as fits."""
    lines = ((first, first_mm), *((text, SMALL_MM) for text in others if text))
    return Block(tuple((shortened(text, height / CAPITAL, widest_mm), height) for text, height in lines))


def run_block(plan: Plan, run: str) -> Block:
    """Name, length, thickness, how many wires, what goes round them."""
    bundle = plan.bundles[run]
    wires = counted(len(bundle.tags), "wire")
    clips = counted(len(bundle.clips), "clip")
    assert bundle.length_mm is not None, "a run on the board has a length"
    return block(
        length_words(bundle.length_mm),
        f"{run}: {wires}, {number(bundle.round_mm, 'length')} mm thick, {clips}",
        bundle.sleeve,
        first_mm=4.0,
    )


def station_block(plan: Plan, station: str) -> Block:
    """Name, place, how far along the trunk, the hole that it passes, the splices in it."""
    loom = plan.description.conversion.loom
    assert loom is not None, "a board has a loom"
    form = loom.stations[station]
    along = plan.board.along_trunk_mm.get(station)
    far = f"{length_words(along[1])} along the trunk from {along[0]}" if along and along[1] > 0.0 else ""
    hole = ""
    if form.through is not None:
        hole = f"passes a {'hole with a grommet' if form.through == 'grommet' else form.through}"
        hole += f", {length_words(form.hole.nominal)}" if form.hole else ""
    return block(station, form.place, far, hole, *(_splice(plan, name) for name in splices_at(plan, station)))


def splices_at(plan: Plan, station: str) -> list[str]:
    """The splices in which wires end at a station, as described."""
    loom = plan.description.conversion.loom
    assert loom is not None, "a board has a loom"
    return [name for name, splice in loom.splices.items() if splice.station == station and _tags(plan, name)]


def _splice(plan: Plan, name: str) -> str:
    return f"splice {name}: {', '.join(_tags(plan, name))}"


def _tags(plan: Plan, splice: str) -> list[str]:
    return [
        wire.tag
        for wire in plan.wiring.wires
        if any(isinstance(end, SplicePoint) and end.name == splice for end in (wire.start, wire.end))
    ]


def housing_lines(hung: Hung, width_mm: float) -> Block:
    """Name, part, how many wires, and the tail, with what its drip loop adds."""
    tail = length_words(hung.tail_mm)
    if hung.drip_mm:
        tail = f"{number(hung.tail_mm - hung.drip_mm, 'length').removesuffix('.0')} + {length_words(hung.drip_mm)}"
    words = f"{counted(len(hung.wires), 'wire')}, tail {tail}"
    return block(hung.name, hung.title, words, first_mm=6.0, widest_mm=width_mm)


def length_words(length_mm: float) -> str:
    """A length; whole millimetres without a needless nought.

    Example:
        >>> length_words(620.0), length_words(12.5)
        ('620 mm', '12.5 mm')
    """
    return show(length_mm, "length").replace(".0 ", " ")


def counted(count: int, what: str) -> str:
    """How many of what.

    Example:
        >>> counted(1, "wire"), counted(2, "wire")
        ('1 wire', '2 wires')
    """
    return f"{count} {what}{'s' * (count != 1)}"
