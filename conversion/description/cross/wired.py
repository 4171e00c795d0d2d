"""Faults of the list of what was really wired: ends that are nowhere, pairs that join nothing, pairs given twice."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import Complaint, listed, nearest, quoted
from conversion.description.described import Description, Terminal
from conversion.description.wired_forms import AsWired


def pairs(description: Description) -> Iterator[Complaint]:
    wired = description.as_wired
    if wired is None:
        return
    splices = description.conversion.loom.splices if description.conversion.loom else {}
    first: dict[frozenset[Terminal | str], int] = {}
    for index, pair in enumerate(wired.pairs):
        ends: list[Terminal | str] = []
        for position, name in enumerate(pair):
            end = description.find_place(name) or (name if name in splices else None)
            if end is None:
                yield _complaint(wired, _unknown_end(description, name, list(splices)), index, position)
            else:
                ends.append(end)
        if len(ends) < 2:
            continue
        key = frozenset(ends)
        if len(key) == 1:
            text = f"both ends are {_name(ends[0])}; a wire joins two, such as [K1.18, B1.1]."
            yield _complaint(wired, text, index)
        elif key in first:
            text = (
                f"{_name(ends[0])} to {_name(ends[1])} is entry {first[key] + 1} already; "
                "remove one, or write the ends that were meant."
            )
            yield _complaint(wired, text, index)
        first.setdefault(key, index)


def _complaint(wired: AsWired, text: str, *steps: int) -> Complaint:
    return Complaint(wired.place(*steps), wired.said(*steps), text)


def _name(end: Terminal | str) -> str:
    return end if isinstance(end, str) else end.name


def _unknown_end(description: Description, name: str, splices: list[str]) -> str:
    """Why an end is none, and what was probably meant."""
    device, dot, rest = name.partition(".")
    if not dot and device not in description.parts:
        near = nearest(name, splices)
        known = f"splices are {listed(splices, 'and')}" if splices else "none is described"
        hint = f"did you mean '{near}'?" if near else f"{known}; a terminal is written as K1.18 is."
        return f"there is no splice {quoted(name)}; {hint}"
    if device not in description.parts:
        near = nearest(device, description.parts)
        hint = f"did you mean {quoted(f'{near}.{rest}')}?" if near else f"known are {listed(description.parts, 'and')}."
        return f"there is no device {quoted(device)}; {hint}"
    housings = description.parts[device].housings
    if not rest:
        return f"{quoted(name)} is a device; name one of its places, such as '{_places(description, device)[0]}'."
    if len(housings) > 1 and rest.partition(".")[0] not in housings:
        having = [f"'{device}.{housing}.{rest}'" for housing, form in housings.items() if rest in form.names]
        hint = listed(having) if having else f"the housing too, such as '{_places(description, device)[0]}'"
        return f"{device} has the housings {listed(housings, 'and')}; write {hint}."
    places = _places(description, device)
    # One number is as near to another as a third one.
    near = None if rest.isdigit() else nearest(name, places)
    hint = f"did you mean '{near}'?" if near else f"its places are {_few(places)}."
    return f"{device} has no place {quoted(rest)}; {hint}"


def _places(description: Description, device: str) -> list[str]:
    housings = description.parts[device].housings
    return [description.terminal(device, name, cavity).name for name, form in housings.items() for cavity in form.names]


def _few(names: list[str]) -> str:
    return listed(names, "and") if len(names) <= 12 else f"{names[0]} to {names[-1]}"
