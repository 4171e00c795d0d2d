"""The words that ``treadle identify`` prints."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

import numpy as np

from conversion.bench.unknown import words
from conversion.bench.unknown.group import Understood
from conversion.bench.unknown.identify import Identification
from conversion.bench.unknown.reader import Sheet
from conversion.bench.unknown.turns import SUPPLY_V, checks, turns
from conversion.description.complaints import listed
from conversion.quantities import show

WIDTH = 100


def lines(sheet: Sheet, found: Identification) -> Iterator[str]:
    """All of it, line by line, no longer than a terminal is wide."""
    yield f"{sheet.file.title}: {words.VERDICTS[found.verdict]}."
    yield from _against(sheet, found)
    if found.verdict != "no-fit":
        yield from _found(found)
    elif not found.contradictions and not found.polarised:
        for sentence in words.others(found):
            yield from _wrapped(sentence, "  ", "      ")
    for group in found.groups:
        yield from _how_sure(found, group)
    if found.further:
        yield ""
        yield "What would decide"
        yield from _list(words.further_words(found, each) for each in found.further)
    if found.verdict == "no-fit":
        yield ""
        yield "It may be a Hall or inductive module, or readings may be wrong: take those again that surprise you. Then"
        yield from _list(words.HALL)
        return
    yield from _turns(found)
    yield ""
    yield "Cautions"
    yield from _list([*words.CAUTIONS, *(words.doubts(found) if found.verdict == "found" else ())])


def _against(sheet: Sheet, found: Identification) -> Iterator[str]:
    names = found.readings.terminals
    for each in found.contradictions:
        place = sheet.place(each.position, each.first, each.second)
        pair = words.reading(found, each.position, (each.first, each.second))
        yield from _wrapped(f"{place}: {pair}: {each.reason}.", "  ", "      ")
    for position, first, second in found.polarised:
        place = sheet.place(position, first, second)
        yield from _wrapped(
            f"{place}: {words.reading(found, position, (first, second))}: reads otherwise with the leads changed over; "
            "no resistor does: there are electronics inside.", "  ", "      ",
        )  # fmt: skip
    for position, first, second, ohm in sheet.leaks:
        yield from _wrapped(
            f"{sheet.place(position, first, second)}: {show(ohm, 'resistance')} between {names[first]} and "
            f"{names[second]} is taken as open: fingers or damp read as much.", "  ", "      ",
        )  # fmt: skip


def _found(found: Identification) -> Iterator[str]:
    names = found.readings.terminals
    yield ""
    for track in found.tracks:
        first, second = names[track.ends[0]], names[track.ends[1]]
        toward = second if track.sweep > 0 else first
        stands = ", ".join(
            f"{show(float(share), 'ratio')} {position}"
            for share, position in zip(track.share, found.readings.positions, strict=True)
        )
        yield f"  Track with wiper {names[track.wiper]} between ends {first} and {second}"
        yield f"      {_with_spread(track.ohm, track.ohm_spread)} end to end; from {first} the wiper stands at {stands}"
        yield (
            f"      (± {show(2 * float(track.share_spread.max()), 'ratio')}), and moves toward {toward}; in its way "
            f"{_with_spread(track.wiper_ohm, track.wiper_spread)}"
        )
    for sentence in words.others(found):
        yield from _wrapped(sentence, "  ", "      ")


def _with_spread(ohm: float, spread: float) -> str:
    if not np.isfinite(spread) or spread > 0.5 * max(ohm, 100.0):
        return "a resistance that the readings do not hold"
    return f"{show(ohm, 'resistance')} ± {show(2 * spread, 'resistance')}"


def _how_sure(found: Identification, group: Understood) -> Iterator[str]:
    names = [found.readings.terminals[terminal] for terminal in group.group.terminals]
    if group.fixed_ohm is not None:
        return
    yield ""
    head = f"Terminals {', '.join(names)}: "
    if group.why:
        yield from _wrapped(f"{head}{words.VERDICTS[group.verdict]}: {group.why}.", "", "  ")
    else:
        yield f"{head}{words.VERDICTS[group.verdict] if group.best else 'no track is among them'}."
    if group.best is None or found.verdict == "no-fit":
        return
    spare = max(group.spare, 0)
    yield (
        f"  {spare} reading{'s' if spare != 1 else ''} more than needed; squares of what is left over, in the meter's "
        f"tolerance: {group.cost:.1f}"
    )
    if group.runner_up:
        tracks = tuple((track.ends, track.wiper) for track in group.runner_up.tracks)
        yield from _wrapped(
            f"next best, {group.runner_up.cost:.1f}: {words.arrangement(found, tracks)}", "  ", "      "
        )
    else:
        yield "  next best: none; what changes with the lever leaves no other arrangement"


def _turns(found: Identification) -> Iterator[str]:
    names = found.readings.terminals
    shown = [group.best for group in found.groups if group.best and group.verdict == "found"]
    if not shown:
        return
    yield ""
    yield f"Every way round (which of them is meant, resistance cannot tell); outputs of {SUPPLY_V:.2f} V, rest to full"
    for candidate in shown:
        for turn in turns(candidate):
            supply, ground = (
                listed((names[terminal] for terminal in side), "and") for side in (turn.supply, turn.ground)
            )
            yield f"  supply at {supply}; ground at {ground}"
            for track, (rest, full) in zip(candidate.tracks, turn.outputs, strict=True):
                way = "rises" if full > rest else "falls"
                volts = " to ".join(show(share * SUPPLY_V, "voltage") for share in (rest, full))
                shares = " to ".join(show(share, "ratio") for share in (rest, full))
                yield f"      wiper {names[track.wiper]}: {way}, {volts} ({shares})"
        if not turns(candidate):
            yield "  tracks that share their ends in a ring: no way round gives each a supply and a ground"
    yield ""
    yield "Powered check, before it is joined to a control unit"
    yield from _list(words.POWERED_CHECK)
    for candidate in shown:
        for check in checks(candidate):
            first, second = (names[end] for end in check.track.ends)
            yield (
                f"      ends {first} and {second}: {show(check.volts, 'voltage')} between them, "
                f"{show(SUPPLY_V - check.volts, 'voltage')} across the resistor"
            )


def _list(items: Iterable[str]) -> Iterator[str]:
    for item in items:
        yield from _wrapped(item, "  - ", "    ")


def _wrapped(text: str, first: str, rest: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
