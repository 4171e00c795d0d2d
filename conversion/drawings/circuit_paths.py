"""Draws trees of current paths from left to right, each path on its own line, sheet after sheet."""

from __future__ import annotations

from collections.abc import Sequence

from conversion.description import Terminal
from conversion.description.parts import GroundPoint, Supply
from conversion.drawings.circuit_sheet import LEADING_MM, MOST_HEIGHT_MM, SMALL_MM, TEXT_MM, Sheet
from conversion.drawings.circuit_symbols import battery, chassis, coil, contact, fuse, lamp
from conversion.drawings.circuit_tree import CUT_MM, MOST_PATHS, RIGHT_MM, ROOT_MM, SYMBOL_MM, WIRE_MM, Node
from conversion.drawings.circuit_words import wire_words
from conversion.drawings.drawing import Drawing
from conversion.drawings.labels import wrapped
from conversion.drawings.svg import Anchor
from conversion.plan import Plan
from conversion.wiring import SplicePoint, Wire

MOST_SHEETS = 6
"""Sheets of one function; where more would be needed, none is drawn and the wire list is referred to."""

_TOP_MM = 8.0
_PLAIN_ROW_MM, _SYMBOL_ROW_MM = 11.5, 18.5


def draw_paths(plan: Plan, trees: Sequence[Node], name: str, title: str, caption: str) -> list[Drawing]:
    """The trees on as many sheets as they need; empty without trees."""
    pages: list[list[Node]] = []
    rows = height = 0.0
    for tree in trees:
        if not pages or rows + tree.ends() > MOST_PATHS or height + _height(tree) > MOST_HEIGHT_MM - _TOP_MM:
            pages.append([])
            rows = height = 0.0
        pages[-1].append(tree)
        rows += tree.ends()
        height += _height(tree)
    if len(pages) > MOST_SHEETS:
        return [_note(trees, name, title)]
    drawings = []
    for number, page in enumerate(pages, start=1):
        many = len(pages) > 1
        drawings.append(
            _Page(plan).draw(
                page,
                f"{name}-{number}" if many else name,
                f"{title}, sheet {number} of {len(pages)}" if many else title,
                caption,
            )
        )
    return drawings


def _height(node: Node) -> float:
    """Height of a tree: the first branch lies on its node's own line."""
    if not node.branches:
        return _SYMBOL_ROW_MM if node.symbol else _PLAIN_ROW_MM
    below = sum(_height(following) for _, following in node.branches)
    return max(below, _SYMBOL_ROW_MM) if node.symbol else below


class _Page:
    def __init__(self, plan: Plan) -> None:
        self.description = plan.description
        self.sheet = Sheet()

    def draw(self, trees: Sequence[Node], name: str, title: str, caption: str) -> Drawing:
        y = _TOP_MM
        for tree in trees:
            self._root(tree, y)
            self._branches(tree, ROOT_MM, y)
            y += max(_height(tree), _SYMBOL_ROW_MM)
        return self.sheet.finish(name, title, caption, y - 3.0)

    def _root(self, tree: Node, y: float) -> None:
        """The beginning of a tree: its name and words at the left, its terminal where the first wires leave."""
        sheet, end, room, words_at = self.sheet, tree.end, ROOT_MM - 6.0, y + 2.4
        part = self.description.parts[end.device] if isinstance(end, Terminal) else None
        if tree.continued:
            sheet.line((ROOT_MM - 5.0, y), (ROOT_MM, y))
            sheet.above.arrow_head((ROOT_MM - 0.8, y), (ROOT_MM - 5.0, y))
        elif isinstance(part, Supply):
            battery(sheet, (ROOT_MM - 8.0, y), (ROOT_MM, y))
            sheet.text((ROOT_MM - 7.0, y - 1.0), "−", anchor="middle")
            sheet.text((ROOT_MM - 1.6, y - 1.0), "+", anchor="middle")
            room, words_at = room - 4.0, y + 4.4
        elif isinstance(part, GroundPoint):
            sheet.line((ROOT_MM - 4.0, y + 2.0), (ROOT_MM - 4.0, y), (ROOT_MM, y))
            chassis(sheet, (ROOT_MM - 4.0, y + 2.0))
            room -= 3.5
        if end is not None:
            self._place(end, (ROOT_MM, y))
            sheet.text((3.0, y - 1.2), end.name, size_mm=TEXT_MM, bold=True, room_mm=room)
        sheet.texts((3.0, words_at), wrapped(tree.words, SMALL_MM, room, 3))

    def _place(self, end: Terminal | SplicePoint, at: tuple[float, float]) -> None:
        if isinstance(end, SplicePoint):
            self.sheet.dot(at)
        else:
            self.sheet.terminal(at)

    def _branches(self, node: Node, x: float, y: float) -> None:
        """What follows at a point: the first branch straight on, the others below one another."""
        row = last = y
        for wire, following in node.branches:
            self._wire(wire, x, row)
            self._node(following, x + (WIRE_MM if wire else 0.0), row)
            last, row = row, row + _height(following)
        if last != y:
            self.sheet.line((x, y), (x, last))
        if node.cut:
            self.sheet.line((x, y), (x + 4.0, y))
            self.sheet.above.arrow_head((x + 5.0, y), (x, y))
            self.sheet.text((x + 5.6, y + 1.1), "goes on", room_mm=CUT_MM)

    def _wire(self, wire: Wire | None, x: float, y: float) -> None:
        if wire is None:
            return
        self.sheet.line((x, y), (x + WIRE_MM, y))
        middle = x + WIRE_MM / 2
        self.sheet.text((middle, y - 1.3), wire.tag, size_mm=TEXT_MM, anchor="middle", bold=True)
        self.sheet.text((middle, y + 3.0), wire_words(wire), anchor="middle", room_mm=WIRE_MM - 2.0)

    def _node(self, node: Node, x: float, y: float) -> None:
        sheet = self.sheet
        if node.symbol is not None:
            self._symbol(node, x, y)
            self._branches(node, x + SYMBOL_MM, y)
            return
        if node.end is None:
            return
        self._place(node.end, (x, y))
        if node.branches or node.cut:
            sheet.text((x + 1.0, y - 1.3), node.end.name, size_mm=TEXT_MM, bold=True, room_mm=9.0)
            self._branches(node, x, y)
            return
        sheet.text((x + 1.8, y - 0.6), node.end.name, size_mm=TEXT_MM, bold=True, room_mm=RIGHT_MM - x - 2.0)
        sheet.texts((x + 1.8, y + 2.6), wrapped(node.words, SMALL_MM, RIGHT_MM - x - 2.0, 2))

    def _symbol(self, node: Node, x: float, y: float) -> None:
        sheet, start, end = self.sheet, (x, y), (x + SYMBOL_MM, y)
        if node.symbol == "fuse":
            fuse(sheet, start, end)
        elif node.symbol == "coil":
            coil(sheet, start, end)
        elif node.symbol == "lamp":
            lamp(sheet, start, end)
        else:
            contact(sheet, start, end, closed=node.symbol == "closed contact")
        if isinstance(node.end, Terminal):
            self._name(node.end, x, "start", y)
        assert node.exit is not None, "a symbol is left somewhere"
        self._name(node.exit, x + SYMBOL_MM, "end", y)
        middle, device = x + SYMBOL_MM / 2, node.exit.device
        sheet.text((middle, y - 4.0), device, size_mm=TEXT_MM, anchor="middle", bold=True)
        title = self.description.parts[device].title
        sheet.texts((middle, y + 5.2), wrapped(title, SMALL_MM, SYMBOL_MM - 1.5, 3), anchor="middle")

    def _name(self, terminal: Terminal, x: float, anchor: Anchor, y: float) -> None:
        self.sheet.terminal((x, y))
        inward = 1.2 if anchor == "start" else -1.2
        self.sheet.text((x + inward, y - 1.3), terminal.name, anchor=anchor, room_mm=7.6)


def _note(trees: Sequence[Node], name: str, title: str) -> Drawing:
    """In place of a drawing that nobody could read: how many wires there are, device by device."""
    wires = [wire for tree in trees for wire in tree.wires()]
    pairs: dict[tuple[str, str], list[Wire]] = {}
    for wire in wires:
        start, end = (each.device if isinstance(each, Terminal) else each.name for each in (wire.start, wire.end))
        pairs.setdefault((start, end), []).append(wire)
    sheet = Sheet()
    sheet.text(
        (3.0, 7.0), f"{len(wires)} wires, too many to be drawn; the wire list has each of them.", size_mm=TEXT_MM
    )
    shown = list(pairs.items())[:132]
    for number, ((start, end), found) in enumerate(shown):
        column, row = divmod(number, 66)
        words = f"{start} to {end}: {len(found)} ({', '.join(wire.tag for wire in found)})"
        sheet.text((3.0 + 88.0 * column, 13.0 + LEADING_MM * row), words, room_mm=84.0)
    height = 13.0 + LEADING_MM * min(66, len(shown)) + 3.0
    if len(pairs) > len(shown):
        sheet.text((3.0, height), f"and {len(pairs) - len(shown)} further pairs of devices")
        height += 4.0
    caption = f"More than {MOST_SHEETS * MOST_PATHS} paths are not drawn one by one; the wire list holds them all."
    return sheet.finish(name, title, caption, height)
