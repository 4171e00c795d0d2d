"""A part file of an identified pedal module, `unknown` where resistance cannot tell."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator

from conversion.bench.unknown.contacts import Contact
from conversion.bench.unknown.core import Track
from conversion.bench.unknown.identify import Identification
from conversion.bench.unknown.reader import Sheet
from conversion.bench.unknown.turns import output
from conversion.description.complaints import Complaint, DescriptionError
from conversion.description.roles import TRACKS

HEAD = "# Written by treadle identify from resistances between the terminals."
HOUSING = "A"


class NoPart(Exception):
    """No part file can be written; the text says why and what to do."""


def part_file(sheet: Sheet, found: Identification) -> str:
    """The part file's text.

    Raises:
        NoPart: nothing was found for sure, or more tracks than a sensor has.
        DescriptionError: what `supplied_at` says does not go with what was found, each at its place.
    """
    if found.verdict != "found":
        raise NoPart(
            "no part file is written, since it is not decided what the module is; take the readings named above"
        )
    if len(found.tracks) > len(TRACKS):
        raise NoPart(f"a pedal module has at most {len(TRACKS)} tracks here; {len(found.tracks)} were found")
    return "\n".join(_lines(sheet, found, _supply(sheet, found))) + "\n"


def _supply(sheet: Sheet, found: Identification) -> set[int] | None:
    """Terminals at the supply; None before the powered check."""
    said = sheet.file.supplied_at
    if said is None:
        return None
    names = found.readings.terminals
    supply = {names.index(name) for name in said}
    complaints = []
    for index, name in enumerate(said):
        if not any(names.index(name) in track.ends for track in found.tracks):
            place = sheet.tree.place_of(("supplied_at", index))
            complaints.append(Complaint(place, "supplied_at", f"terminal '{name}' is no end of a track."))
    for track in found.tracks:
        if len(supply & set(track.ends)) != 1:
            first, second = (names[end] for end in track.ends)
            message = (
                f"one of terminals '{first}' and '{second}' must stand here, and not both: they are the ends of the "
                f"track with wiper '{names[track.wiper]}'."
            )
            complaints.append(Complaint(sheet.tree.place_of(("supplied_at",)), "supplied_at", message))
    if complaints:
        raise DescriptionError(complaints)
    return supply


def _lines(sheet: Sheet, found: Identification, supply: set[int] | None) -> Iterator[str]:
    file = sheet.file
    yield HEAD
    if supply is None:
        yield "# Which end of a track is its supply is not known: make the powered check, write `supplied_at` into the"
        yield "# readings, and let this be written again."
    yield "kind: pedal-module"
    yield f"title: {_text(file.title)}"
    yield "evidence: measured"
    if file.note:
        yield f"note: {_text(file.note)}"
    yield "housings:"
    yield f"  {HOUSING}:"
    rows = file.rows or [list(found.readings.terminals)]
    yield f"    positions: {sum(len(row) for row in rows)}"
    if file.rows is None:
        yield "    # All in one row, since the readings do not say how they lie. Put it right: neighbours may touch."
    yield f"    rows: {_text(rows)}"
    yield f"    seen_from: {file.seen_from}"
    yield "    cavities:"
    meanings = _meanings(found, supply)
    for row in rows:
        for name in row:
            meaning = meanings[found.readings.terminals.index(name)] if name in found.readings.terminals else "empty"
            yield f"      {_text(name)}: {meaning}"
    yield "tracks:"
    for letter, track in zip(TRACKS, found.tracks, strict=False):
        yield from _track(letter, track, supply, found.readings.meter[0])
    yield "lever:"
    yield f"  swing: {file.swing.text if file.swing else 'unknown'}"
    kinds = {kind for contact in found.contacts if (kind := _kind(contact))}
    for kind in sorted(kinds):
        yield f"{kind}_contact: {{closes: {'below' if kind == 'idle' else 'above'}, at: unknown}}"


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def _track(letter: str, track: Track, supply: set[int] | None, share: float) -> Iterator[str]:
    yield f"  {letter}:"
    yield "    principle: potentiometer"
    yield f"    resistance: {_ohms(track.ohm, max(2 * track.ohm_spread, share * track.ohm))}"
    yield f"    source_resistance: {_ohms(track.wiper_ohm, max(2 * track.wiper_spread, share * track.wiper_ohm))}"
    if supply is None:
        yield "    output: {rest: unknown, full: unknown}"
        return
    off = max(2 * float(track.share_spread.max()), 0.001)
    shown = ", ".join(
        f"{key}: {_percent(level, off)}" for key, level in zip(("rest", "full"), output(track, supply), strict=True)
    )
    yield f"    output: {{{shown}}}"


def _percent(level: float, off: float) -> str:
    """A share with its tolerance, as a range where it comes near an end of the track."""
    low, high = level - off, level + off
    if low < 0.0 or high > 1.0:
        return f"{max(low, 0.0) * 100:.1f} %..{min(high, 1.0) * 100:.1f} %"
    return f"{level * 100:.1f} % ± {math.ceil(off * 1000) / 10:.1f} %"


def _ohms(ohm: float, off: float) -> str:
    """With its tolerance, a tenth of an ohm at the finest; unknown where it may be off by half."""
    if not math.isfinite(off) or off > max(0.5 * ohm, 100.0):
        return "unknown"
    off = max(math.ceil(off * 10) / 10, 0.1)
    if off >= ohm:
        return f"0 ohm..{ohm + off:.1f} ohm"
    return f"{ohm:.1f} ohm ± {off:.1f} ohm" if off < 10 else f"{ohm:.0f} ohm ± {off:.0f} ohm"


def _kind(contact: Contact) -> str | None:
    """``idle`` for a contact that is closed at rest and not at full, ``kickdown`` for the reverse."""
    at_rest, at_full = contact.closed[0], contact.closed[-1]
    return None if at_rest == at_full else "idle" if at_rest else "kickdown"


def _meanings(found: Identification, supply: set[int] | None) -> dict[int, str]:
    """What stands in the place of each terminal."""
    names = found.readings.terminals
    roles: dict[int, list[str]] = {}
    why: dict[int, str] = {}
    for letter, track in zip(TRACKS, found.tracks, strict=False):
        roles.setdefault(track.wiper, []).append(f"pedal.{letter}.signal")
        for end in track.ends:
            if supply is None:
                why[end] = f"end of track {letter}: supply or ground, which the powered check tells"
            else:
                roles.setdefault(end, []).append(f"pedal.{letter}.{'supply' if end in supply else 'ground'}")
    taken: set[str] = set()
    for contact in found.contacts:
        _place_contact(found, contact, supply, roles, why, taken)
    for group in found.groups:
        for terminal, same in group.group.joined.items():
            why[terminal] = f"one with terminal {names[same]} inside"
        if group.fixed_ohm is not None:
            first, second = group.group.core
            why[first] = f"a fixed resistance to terminal {names[second]}"
            why[second] = f"a fixed resistance to terminal {names[first]}"
    for terminal in found.alone:
        why[terminal] = "leads to no other terminal at rest or at full"
    return {
        terminal: " + ".join(roles[terminal])
        if terminal in roles and terminal not in why
        else _unused(why.get(terminal, "not understood"))
        for terminal in range(len(names))
    }


def _place_contact(
    found: Identification,
    contact: Contact,
    supply: set[int] | None,
    roles: dict[int, list[str]],
    why: dict[int, str],
    taken: set[str],
) -> None:
    names, kind = found.readings.terminals, _kind(contact)
    ends = {end for track in found.tracks for end in track.ends}
    wipers = {track.wiper for track in found.tracks}
    partner = contact.partner
    if kind is None or kind in taken or partner in wipers or (supply and partner in supply):
        why[contact.terminal] = f"a contact to terminal {names[partner]}"
        if partner not in ends | wipers and partner not in roles:
            why[partner] = f"a contact to terminal {names[contact.terminal]}"
        return
    taken.add(kind)
    roles[contact.terminal] = [f"pedal.{kind}.signal"]
    why.pop(partner, None) if partner not in ends else None
    if partner not in ends or supply is not None:
        roles.setdefault(partner, []).append(f"pedal.{kind}.ground")


def _unused(reason: str) -> str:
    return f"{{unused: {_text(reason)}}}"
