"""What a search found as lines of text, with what to do next and, where nothing was found, what is in the way."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from math import isfinite

from conversion.plan.searching.search import SearchOutcome
from conversion.plan.searching.words import AXES, WANTS, Rows, tables
from conversion.quantities import show
from conversion.study.search_obstacle import Miss
from conversion.study.search_wants import CELL

_WIDTH = 120
_EQUAL = (
    f"{100 * CELL['feel']:g} % of feel",
    f"{100 * CELL['sweep']:g} % of sweep",
    f"{show(CELL['margin'], 'angle')} of margin",
    f"{show(CELL['transmission'], 'angle')} of transmission",
    f"{CELL['force']:g} N",
)


def counted(outcome: SearchOutcome) -> str:
    """How much was looked at, and what came of it."""
    counts, case = outcome.found.counts, outcome.found.case
    whole = "every combination there is" if outcome.found.whole_grid else f"of {spaced(case.grid.size)} combinations"
    looked = (
        f"{spaced(counts.looked_at)} linkages looked at, {whole}; {spaced(counts.in_full)} of them at all positions."
    )
    if not outcome.settings:
        return looked
    return f"{looked} The trade-off has {len(outcome.found.front.numbers)}; {len(outcome.settings)} are worked out."


def lines(outcome: SearchOutcome) -> Iterator[str]:
    """All of it as lines of text."""
    yield from textwrap.wrap(f"{outcome.title}: {counted(outcome)}", _WIDTH)
    if not outcome.settings:
        yield from in_the_way(outcome.obstacles)
        return
    for table in tables(outcome):
        yield ""
        yield from text_table(table)
    yield ""
    for said in advice(outcome):
        yield from textwrap.wrap(said, _WIDTH)
    yield f"The patch is that of setting {outcome.taken + 1}: check the patched description before you drill."


def advice(outcome: SearchOutcome) -> Iterator[str]:
    """What to know of the settings, as sentences."""
    if outcome.lacking is not None:
        yield f"The force at the pad is not judged: {outcome.lacking.path} {outcome.lacking.state}."
    yield "Closer than " + ", ".join(_EQUAL) + " counts as equal."
    if any(setting.turns is not None for setting in outcome.settings):
        yield "Turns are of one end of the rod from the length described, longer counted positive."
    number_ = outcome.taken + 1
    if not outcome.room_described:
        yield "Nothing is said of what takes room ('fit' in the description): whether a setting has room is not known."
    elif outcome.settings[outcome.taken].has_room:
        yield f"Setting {number_} is the best with room for it; room is told, not searched."
    else:
        yield "None has room as described; setting 1 is taken all the same. Let the module go elsewhere."
    ends = at_an_end(outcome)
    if ends:
        yield f"At the end of what it may be in setting {number_}: {', '.join(ends)}; there may be better beyond."


def at_an_end(outcome: SearchOutcome) -> list[str]:
    """What stands at the least or greatest that it may be, in the setting that is taken, in words."""
    taken = outcome.settings[outcome.taken].settings
    return [
        AXES[axis.name][0]
        for axis in sorted(outcome.found.case.grid.axes, key=lambda axis: list(AXES).index(axis.name))
        if axis.values.size > 1 and taken[axis.name] in (axis.values[0], axis.values[-1])
    ]


def in_the_way(obstacles: Sequence[Miss]) -> Iterator[str]:
    """Where nothing was found: which wants are missed, the greatest obstacle first, as sentences."""
    yield "Nothing keeps to every want."
    for place, miss in enumerate(obstacles):
        words, dimension, key = WANTS[miss.want]
        text = (
            f"{words}: {spaced(miss.missed)} of {spaced(miss.looked_at)} miss it, {spaced(miss.alone)} miss only this"
        )
        if isfinite(miss.nearest) and dimension:
            text += f"; the nearest has {show(miss.nearest, dimension)}"
        where = f" (search.{key if key.startswith('may_move') else 'wants.' + key})" if key else ""
        yield f"{'In the way' if place == 0 else 'Also'}: {text}{where}."
    yield "Let more move, in smaller steps, or want less of what is in the way."


def text_table(table: Rows) -> Iterator[str]:
    """A table as lines: figures to the right, words at the end to the left; long heads take several lines."""
    yield from table.title.splitlines()
    words = table.heads[-1] in ("best in", "where")
    heads = [[head] if words and head == table.heads[-1] else head.rsplit(" ", 1) for head in table.heads]
    depth = max(len(parts) for parts in heads)
    stacked = [tuple(([""] * (depth - len(parts)) + parts)[line] for parts in heads) for line in range(depth)]
    rows = [*stacked, *([table.units] if any(table.units) else []), *table.cells]
    widths = [max(len(row[column]) for row in rows) for column in range(len(table.heads))]
    for row in rows:
        cells = [cell.rjust(width) for cell, width in zip(row, widths, strict=True)]
        if words:
            cells[-1] = row[-1]
        yield "  ".join(cells).rstrip()


def spaced(count: int) -> str:
    """A large number with its thousands parted.

    Example:
        >>> spaced(1048576)
        '1 048 576'
    """
    return f"{count:,}".replace(",", " ")
