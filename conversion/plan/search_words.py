"""What a search found, as rows of words: what to make, what it gives, what the tolerances do, what is in the way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from conversion.plan.searching import SearchOutcome, Setting
from conversion.quantities import number, show, unit_of
from conversion.study.interval import Chance
from conversion.study.search_obstacle import Miss

AXES: dict[str, tuple[str, str]] = {
    "lever_hole_mm": ("lever hole", "length"),
    "pedal_hole_mm": ("pedal hole", "length"),
    "groove_radius_mm": ("groove radius", "length"),
    "crank_in_mm": ("crank in", "length"),
    "crank_out_mm": ("crank out", "length"),
    "module_x_mm": ("module x", "length"),
    "module_y_mm": ("module y", "length"),
    "module_z_mm": ("module z", "length"),
    "rest_rad": ("aimed at rest", "angle"),
    "full_rad": ("full stop set at", "angle"),
}
"""What each axis is called, and its dimension, in the order in which it is printed."""

BEST_IN = {
    "all": "all together", "feel": "feel", "sweep": "sweep", "margin": "margin", "transmission": "squareness",
    "force": "force",
}  # fmt: skip

WANTS: dict[str, tuple[str, str, str]] = {
    "goes_on": ("the link closes and the lever goes on all the way", "", ""),
    "lever_at_rest": ("lever angle at rest", "angle", "lever_at_rest"),
    "below_full": ("way left below the module's full stop", "angle", "below_full"),
    "margin": ("margin to the module's stops", "angle", "margin"),
    "pad_travel": ("pad travel at the full stop", "length", "pad_travel"),
    "rod": ("length of the rod", "length", "may_move.rod.length"),
    "feel_within": ("distance from the wanted feel", "ratio", "feel_within"),
    "transmission": ("least transmission angle", "angle", "transmission"),
    "force": ("force at the pad", "force", "force"),
}
"""Each want in words, its dimension, and its key in the description."""


@dataclass(frozen=True)
class Rows:
    """A table.

    Attributes:
        title: What it shows.
        heads: Of the columns.
        units: Below them; empty where there is none.
        cells: Rows of text.
    """

    title: str
    heads: tuple[str, ...]
    units: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]


def tables(outcome: SearchOutcome) -> tuple[Rows, ...]:
    """What to make, what each setting gives, what the tolerances make of it, and how much room it leaves."""
    room = [_room(outcome)] if any(setting.room or setting.no_recess for setting in outcome.settings) else []
    return _to_make(outcome), _it_gives(outcome), _with_tolerances(outcome), *room


def _to_make(outcome: SearchOutcome) -> Rows:
    axes = [name for name in AXES if any(name in setting.settings for setting in outcome.settings)]
    has_rod = any(isfinite(setting.looked.rod_mm[0]) for setting in outcome.settings)
    has_turns = any(setting.turns is not None for setting in outcome.settings)
    heads = ["no.", *(AXES[name][0] for name in axes), *(["rod"] * has_rod), *(["turns"] * has_turns), "best in"]
    units = ["", *(unit_of(AXES[name][1]) for name in axes), *([unit_of("length")] * has_rod), *([""] * has_turns), ""]
    cells = []
    for place, setting in enumerate(outcome.settings, 1):
        row = [str(place), *(number(setting.settings[name], AXES[name][1]) for name in axes)]
        row += [number(float(setting.looked.rod_mm[0]), "length")] * has_rod
        row += [_turns(setting)] * has_turns
        cells.append((*row, ", ".join(BEST_IN[each] for each in setting.best_in)))
    return Rows("What to make", tuple(heads), tuple(units), tuple(cells))


def _turns(setting: Setting) -> str:
    return "" if setting.turns is None else f"{setting.turns:+.1f}"


def _it_gives(outcome: SearchOutcome) -> Rows:
    columns = (
        ("at rest", "angle"), ("at full", "angle"), ("pad travel", "length"), ("sweep", "ratio"), ("off feel", "ratio"),
        ("margin", "angle"), ("transmission", "angle"), ("least force", "force"), ("most force", "force"),
    )  # fmt: skip
    swing = outcome.found.case.swing_rad[0]
    cells = []
    for place, setting in enumerate(outcome.settings, 1):
        looked = setting.looked
        values = (
            looked.lever_at_rest_rad, swing - looked.below_full_rad, looked.pad_travel_mm, looked.sweep,
            looked.off_feel, looked.margin_rad, looked.transmission_rad, looked.force_least_n, looked.force_most_n,
        )  # fmt: skip
        row = (number(float(value[0]), kind) for value, (_, kind) in zip(values, columns, strict=True))
        cells.append((str(place), *row))
    heads = ("no.", *(name for name, _ in columns))
    return Rows("What it gives", heads, ("", *(unit_of(kind) for _, kind in columns)), tuple(cells))


def _with_tolerances(outcome: SearchOutcome) -> Rows:
    heads = (
        "no.", "at rest", "at full", "pad travel", "worst margin", "rest stop first", "full stop first", "open",
    )  # fmt: skip
    units = ("", "°", "°", unit_of("length"), "°", "chance below", "chance below", "chance below")
    cells = []
    for place, setting in enumerate(outcome.settings, 1):
        study = setting.study.study
        bands = [("lever_at_rest_rad", "angle"), ("lever_at_full_rad", "angle"), ("pad_at_full_mm", "length")]
        row = [str(place)]
        for name, kind in bands:
            band = study.bands[name]
            row.append(f"{number(float(band.p05[0]), kind)}..{number(float(band.p95[0]), kind)}")
        row.append(number(float(study.corners.least["margin_rad"][0]), "angle"))
        for event in ("module-rest-stop-first", "module-full-stop-first", "does-not-close"):
            row.append(_chance(study.chances.get(event)))
        cells.append(tuple(row))
    samples = outcome.settings[0].study.study.samples if outcome.settings else 0
    title = (
        f"With every tolerance of the geometry: 5 to 95 % of {samples} samples; with 95 % confidence, the chance\n"
        "that a stop of the module comes first, or that the link cannot close"
    )
    return Rows(title, heads, units, tuple(cells))


def _chance(chance: Chance | None) -> str:
    return "" if chance is None else show(chance.most, "ratio")


def _room(outcome: SearchOutcome) -> Rows:
    cells = []
    for place, setting in enumerate(outcome.settings, 1):
        row = [str(place), "", "", "nothing near"]
        if setting.room is not None:
            near = setting.room.clearance
            row[1:] = [number(setting.room.least_mm, "length"), number(near.wanted.clearance_mm, "length")]
            row.append(f"{near.body} to {near.obstacle}" + (" in the recess" if setting.room.in_recess else ""))
        row[3] += f"; {setting.no_recess}" if setting.no_recess else ""
        cells.append(tuple(row))
    unit = unit_of("length")
    return Rows("The tightest clearance", ("no.", "least", "wanted", "where"), ("", unit, unit, ""), tuple(cells))


def lines(outcome: SearchOutcome) -> Iterator[str]:
    """All of it as lines of text."""
    counts, case = outcome.found.counts, outcome.found.case
    whole = "every combination there is" if outcome.found.whole_grid else f"of {spaced(case.grid.size)} combinations"
    yield (
        f"{outcome.title}: {spaced(counts.looked_at)} linkages looked at, {whole}; "
        f"{spaced(counts.in_full)} of them at all positions."
    )
    if not outcome.settings:
        yield from _in_the_way(outcome.obstacles)
        return
    yield f"The trade-off has {len(outcome.found.front.numbers)}; {len(outcome.settings)} are worked out."
    for table in tables(outcome):
        yield ""
        yield from text_table(table)
    yield ""
    if outcome.lacking is not None:
        yield f"The force at the pad is not judged: {outcome.lacking.path} {outcome.lacking.state}."
    yield from _advice(outcome)


def _advice(outcome: SearchOutcome) -> Iterator[str]:
    if any(setting.turns is not None for setting in outcome.settings):
        yield "Turns are of one end of the rod from the length described, longer counted positive."
    number_ = outcome.taken + 1
    if not outcome.room_described:
        yield "Nothing is said of what takes room ('fit' in the description): whether a setting has room is not known."
    elif outcome.settings[outcome.taken].has_room:
        yield f"Setting {number_} is the best with room for it; room is told, not searched."
    else:
        yield "None has room as described; setting 1 is taken all the same. Let the module go elsewhere."
    yield f"The patch is that of setting {number_}: check the patched description before you drill."


def _in_the_way(obstacles: Sequence[Miss]) -> Iterator[str]:
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
