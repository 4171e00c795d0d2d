"""What a search found, as tables of words: what to make, what it gives, what the tolerances do, how much room."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from conversion.linkage import BellCrankLinkage
from conversion.plan.searching.search import SearchOutcome, Setting
from conversion.quantities import number, show, unit_of
from conversion.study.interval import Chance
from conversion.study.search_wants import Looked

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
    has_first = isinstance(outcome.found.case.linkage, BellCrankLinkage)
    second = "second rod" if has_first else "rod"
    heads = [
        "no.",
        *(AXES[name][0] for name in axes),
        *(["first rod"] * has_first),
        *([second] * has_rod),
        *(["turns"] * has_turns),
        "best in",
    ]
    units = [
        "",
        *(unit_of(AXES[name][1]) for name in axes),
        *([unit_of("length")] * (has_first + has_rod)),
        *([""] * has_turns),
        "",
    ]
    cells = []
    for place, setting in enumerate(outcome.settings, 1):
        row = [str(place), *(number(setting.settings[name], AXES[name][1]) for name in axes)]
        linkage = setting.travel.geometry.linkage
        if isinstance(linkage, BellCrankLinkage):
            row.append(number(float(linkage.first_rod_length_mm), "length"))
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

    def row(name: str, looked: Looked) -> tuple[str, ...]:
        values = (
            looked.lever_at_rest_rad, swing - looked.below_full_rad, looked.pad_travel_mm, looked.sweep,
            looked.off_feel, looked.margin_rad, looked.transmission_rad, looked.force_least_n, looked.force_most_n,
        )  # fmt: skip
        return (name, *(number(float(value[0]), kind) for value, (_, kind) in zip(values, columns, strict=True)))

    cells = [row("now", outcome.now)]
    cells += [row(str(place), setting.looked) for place, setting in enumerate(outcome.settings, 1)]
    heads = ("no.", *(name for name, _ in columns))
    return Rows(
        "What it gives; now: the linkage as it is described",
        heads,
        ("", *(unit_of(kind) for _, kind in columns)),
        tuple(cells),
    )


def _with_tolerances(outcome: SearchOutcome) -> Rows:
    heads = (
        "no.", "at rest", "at full", "pad travel", "worst full margin", "rest stop first", "full stop first",
        "window missed", "open",
    )  # fmt: skip
    below = "chance below"
    units = ("", "°", "°", unit_of("length"), "°", below, below, below, below)
    cells = []
    for place, setting in enumerate(outcome.settings, 1):
        study = setting.study.study
        bands = [("lever_at_rest_rad", "angle"), ("lever_at_full_rad", "angle"), ("pad_at_full_mm", "length")]
        row = [str(place)]
        for name, kind in bands:
            band = study.bands[name]
            row.append(f"{number(float(band.p05[0]), kind)}..{number(float(band.p95[0]), kind)}")
        row.append(number(float(study.corners.least["margin_rad"][0]), "angle"))
        chances = [study.chances.get(event) for event in ("module-rest-stop-first", "module-full-stop-first")]
        chances += [setting.study.window_missed, study.chances.get("does-not-close")]
        cells.append((*row, *map(_chance, chances)))
    samples = outcome.settings[0].study.study.samples if outcome.settings else 0
    title = (
        f"With every tolerance: 5 to 95 % of {samples} samples; with 95 % confidence, the chance that a stop of the\n"
        "module comes first, that a track misses what the control unit accepts, or that the link cannot close"
    )
    # A one-way link has play at rest, and tracks may not be known: nothing stands in such a column.
    used = [column for column in range(len(heads)) if any(row[column] for row in cells)]
    return Rows(
        title,
        tuple(heads[column] for column in used),
        tuple(units[column] for column in used),
        tuple(tuple(row[column] for column in used) for row in cells),
    )


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
