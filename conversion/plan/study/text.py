"""The tolerance study in words and as lines of text."""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Callable, Iterator
from typing import Any

from conversion.plan.link.travel_text import EVERY
from conversion.plan.study.case import VariedFigure
from conversion.plan.study.travel import TravelStudy
from conversion.quantities import number, show, unit_of
from conversion.study import Chance, Ranking

WIDTH = 100
_TIE = "\N{NO-BREAK SPACE}"
# Head, output, dimension, and factor from the output's unit to the base unit of the dimension.
_Column = tuple[str, str, str, float]
# Shares of the variance below this say nothing beside chance and rounding.
WORTH_SAYING = 0.01

_EVENTS = {
    "module-full-stop-first": "the module's own full stop is met before the pedal's",
    "module-rest-stop-first": "the module's own rest stop is met before the pedal's",
    "does-not-close": "the link does not reach, or the full stop is out of reach",
    "rest-window-missed": "track {} lies outside its window at rest",
    "full-window-missed": "track {} lies outside its window at full",
    "valid-range-left": "track {} leaves the range that is taken as valid",
    "tracks-disagree": "the tracks differ by more than the control unit lets pass",
}
_RANKED = {
    "lever_at_full_rad": "lever angle at full",
    "margin_rad": "swing left in the module at full",
    "pad_at_full_mm": "pad travel at full",
    "volts_at_rest": "volts of track {} at rest",
    "volts_at_full": "volts of track {} at full",
}
SINGLE = {
    "lever_at_rest_rad": ("lever_at_rest_deg", "lever angle at rest", "angle"),
    "lever_at_full_rad": ("lever_at_full_deg", "lever angle at full", "angle"),
    "margin_rad": ("margin_deg", "swing left in the module at full", "angle"),
    "pad_at_full_mm": ("pad_at_full_mm", "pad travel at full", "length"),
}
AT_STOPS = {"volts_at_rest": "volts of track {} at rest", "volts_at_full": "volts of track {} at full"}


def words_of(output: str) -> str:
    """What an event or a figure of the study is called.

    Example:
        >>> words_of("full-window-missed.b"), words_of("margin_rad")
        ('track b lies outside its window at full', 'swing left in the module at full')
    """
    kind, _, track = output.partition(".")
    return (_EVENTS | _RANKED)[kind].format(track)


def chance_words(chance: Chance) -> str:
    """How often something happened, and the chance that it stands for, rounded away from certainty.

    Example:
        >>> from conversion.study import chance
        >>> chance_words(chance(0, 4000))
        '0 of 4 000; with 95 % confidence below 0.093 %'
        >>> chance_words(chance(1260, 4000))
        '1 260 of 4 000, 31.5 %; with 95 % confidence between 30.0 % and 33.0 %'
    """
    counted = f"{grouped(chance.happened)} of {grouped(chance.samples)}"
    confidence = f"with {100 * chance.confidence:.0f} % confidence"
    least, most = _percent(chance.least, math.floor), _percent(chance.most, math.ceil)
    if not chance.happened:
        return f"{counted}; {confidence} below {most}"
    if chance.happened == chance.samples:
        return f"{counted}; {confidence} above {least}"
    return f"{counted}, {_percent(chance.share, round)}; {confidence} between {least} and {most}"


def method_words(ranking: Ranking) -> str:
    """How a ranking was made, in a few words."""
    if ranking.method == "none":
        return "it does not vary"
    r_squared = f"R² {number(ranking.r_squared, 'plain')}"
    if ranking.method == "regression":
        return f"squared standardised regression coefficients, {r_squared}"
    return f"first-order shares of the variance by bins, since a straight line explains too little ({r_squared})"


def leading(found: TravelStudy, ranking: Ranking, most: int) -> list[tuple[VariedFigure, float]]:
    """The figures that make the most of something, the first of them first, with their shares of the variance."""
    worth = [(name, share) for name, share in ranking.share.items() if share >= WORTH_SAYING]
    return [(found.figure(name), share) for name, share in worth[:most]]


def spread_of(found: TravelStudy, output: str, position: int = 0) -> dict[str, float]:
    """Nominal value, percentiles, sampled and worst-case limits of an output at one position, in its unit."""
    band, corners = found.study.bands[output], found.study.corners
    return {
        "nominal": float(band.nominal[position]),
        "p05": float(band.p05[position]),
        "p50": float(band.p50[position]),
        "p95": float(band.p95[position]),
        "least": float(band.least[position]),
        "greatest": float(band.most[position]),
        "worst_least": float(corners.least[output][position]),
        "worst_greatest": float(corners.most[output][position]),
    }


def single_figures(found: TravelStudy) -> Iterator[tuple[str, str, str]]:
    """Output, words and dimension of every figure that stands once and not over the travel."""
    for output, (_, words, dimension) in SINGLE.items():
        yield output, words, dimension
    for kind, words in AT_STOPS.items():
        for track in found.tracks:
            yield f"{kind}.{track}", words.format(track), "voltage"


def study_lines(found: TravelStudy, title: str) -> Iterator[str]:
    """What a reader at a terminal is told.

    Args:
        found: The study.
        title: Of the conversion.
    """
    study = found.study
    corners = "all" if study.corners.method == "all" else "the telling"
    yield from _wrapped(
        f"{title}: {grouped(study.samples)} samples of {len(found.figures)} figures, seed {study.seed}; the worst case "
        f"of {corners} {grouped(study.corners.corners)} corners."
    )
    if not found.figures:
        yield "No figure that lever or volts rest on carries a tolerance, so there is nothing to vary."
    yield ""
    heads = ("at the pedal's stops", "planned", "5 %", "50 %", "95 %", "worst case")
    yield from _columns([heads, *(_row(found, *single) for single in single_figures(found))], str.ljust)
    yield ""
    yield "Over the travel: as planned, from the 5 % to the 95 % mark of the samples, and in the worst case."
    for rows in _over_travel(found):
        yield from _columns(rows, str.rjust)
        yield ""
    yield "How often, and with what confidence:"
    for event, chance in study.chances.items():
        does_it = not chance.happened and study.corners.happens[event]
        yield from _wrapped(
            f"{words_of(event)}: {chance_words(chance)}" + ("; but a worst case does it" if does_it else ""), "  "
        )
    for output, ranking in found.rankings.items():
        yield ""
        yield f"What matters most for: {words_of(output)}"
        yield from _wrapped(("by " if ranking.method != "none" else "") + method_words(ranking), "  ")
        for figure, share in leading(found, ranking, 5):
            yield f"  {show(share, 'ratio'):>7}  {figure.name}"
    yield ""
    for missing in found.lacking:
        yield from _wrapped(f"Not judged: {missing}")
    for name in found.idle_shapes:
        yield from _wrapped(f"Without effect: study.shapes names {name}, which moves nothing here.")
    yield from _wrapped(
        "A figure without a tolerance counts as exact, and each figure as independent of all others; springs and "
        "forces are not varied."
    )


def _wrapped(text: str, indent: str = "") -> list[str]:
    """The text in lines; figures stay with their thousands and their units."""
    tied = re.sub(r"(?<=\d) (?=\d{3}\b|%)|(?<=R²) ", _TIE, text)
    further = indent and indent * 2
    lines = textwrap.wrap(tied, WIDTH, initial_indent=indent, subsequent_indent=further, break_on_hyphens=False)
    return [line.replace(_TIE, " ") for line in lines]


def _over_travel(found: TravelStudy) -> Iterator[list[tuple[str, ...]]]:
    """Two tables: lever and per cent, then the tracks."""
    first: list[_Column] = [("lever", "lever_rad", "angle", 1.0)]
    if "percent" in found.study.bands:
        first.append(("per cent", "percent", "ratio", 0.01))
    yield _bands(found, first)
    if found.tracks:
        yield _bands(found, [(f"track {name}", f"volts.{name}", "voltage", 1.0) for name in found.tracks])


def _bands(found: TravelStudy, columns: list[_Column]) -> list[tuple[str, ...]]:
    """Heads, units, then every fourth position and the last."""
    rows = [
        ("pad", *(cell for name, *_ in columns for cell in (name, "5..95 %", "worst case"))),
        (unit_of("length"), *(unit for _, _, dimension, _ in columns for unit in [unit_of(dimension)] * 3)),
    ]
    last = len(found.study.positions) - 1
    for index in sorted({*range(0, last, EVERY), last}):
        cells = [number(float(found.study.positions[index]), "length")]
        for _, output, dimension, factor in columns:
            spread = spread_of(found, output, index)
            figures = {key: number(factor * value, dimension) for key, value in spread.items()}
            cells += [figures["nominal"], f"{figures['p05']}..{figures['p95']}"]
            cells.append(f"{figures['worst_least']}..{figures['worst_greatest']}")
        rows.append(tuple(cells))
    return rows


def _columns(rows: list[tuple[str, ...]], first: Callable[[str, int], str]) -> Iterator[str]:
    """Rows with their figures to the right; how the first column is put, is given."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        cells = (first(row[0], widths[0]), *(c.rjust(w) for c, w in zip(row[1:], widths[1:], strict=True)))
        yield "  ".join(cells).rstrip()


def _row(found: TravelStudy, output: str, words: str, dimension: str) -> tuple[str, ...]:
    spread = spread_of(found, output)
    unit = unit_of(dimension)
    worst = f"{number(spread['worst_least'], dimension)} to {number(spread['worst_greatest'], dimension)}"
    return (f"{words} [{unit}]", *(number(spread[key], dimension) for key in ("nominal", "p05", "p50", "p95")), worst)


def _percent(share: float, rounded: Any) -> str:
    """A share in per cent, with two telling figures near either end."""
    percent = 100.0 * share
    rest = min(percent, 100.0 - percent)
    decimals = max(1, 1 - math.floor(math.log10(rest))) if rest > 0.0 else 1
    return f"{rounded(percent * 10**decimals) / 10**decimals:.{decimals}f} %"


def grouped(count: int) -> str:
    """A count with its thousands apart."""
    return f"{count:,}".replace(",", " ")
