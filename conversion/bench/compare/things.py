"""Devices and splices that are new, gone, called otherwise or elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from conversion.bench.compare.names import Names
from conversion.plan import Plan


@dataclass(frozen=True, slots=True)
class ThingChange:
    """A device or a splice that is not as it was.

    Attributes:
        old: What it was called; None where it is new.
        new: What it is called; None where it is gone.
        said: What differs, as pieces of a sentence.
    """

    old: str | None
    new: str | None
    said: tuple[str, ...]


def changed_devices(old: Plan, new: Plan, names: Names) -> tuple[ThingChange, ...]:
    """Devices that differ by name, part, station or place."""

    def differs(before: str, after: str) -> list[str]:
        was, now = old.description.conversion.devices[before], new.description.conversion.devices[after]
        said = []
        if old.description.parts[before].title != new.description.parts[after].title:
            said.append(f"it is {new.description.parts[after].title}, not {old.description.parts[before].title}")
        said += _station(names.stations.get(was.station or ""), was.station, now.station)
        if was.place.casefold() != now.place.casefold():
            said.append(f"its place is {now.place}, not {was.place}")
        return said

    devices = (plan.description.conversion.devices for plan in (old, new))
    texts = [
        {name: f"{plan.description.parts[name].title}, {device.place}" for name, device in mapping.items()}
        for plan, mapping in zip((old, new), devices, strict=True)
    ]
    return _changes(texts[0], texts[1], names.devices, differs)


def changed_splices(old: Plan, new: Plan, names: Names) -> tuple[ThingChange, ...]:
    """Splices that differ by name, station or the roles that they join."""
    forms = [
        plan.description.conversion.loom.splices if plan.description.conversion.loom else {} for plan in (old, new)
    ]

    def differs(before: str, after: str) -> list[str]:
        was, now = forms[0][before], forms[1][after]
        said = _station(names.stations.get(was.station or ""), was.station, now.station)
        if {*was.joins} != {*now.joins} or {*(was.devices or ())} != {*(now.devices or ())}:
            said.append(f"it joins {_joined(now.joins, now.devices)}, not {_joined(was.joins, was.devices)}")
        return said

    texts = [
        {
            name: f"at {form.station or 'no station'}, joins {_joined(form.joins, form.devices)}"
            for name, form in each.items()
        }
        for each in forms
    ]
    return _changes(texts[0], texts[1], names.splices, differs)


def _changes(
    old: Mapping[str, str], new: Mapping[str, str], same: Mapping[str, str], differs: Callable[[str, str], list[str]]
) -> tuple[ThingChange, ...]:
    before = {after: name for name, after in same.items()}
    found = []
    for name, text in new.items():
        if name not in before:
            found.append(ThingChange(None, name, (text,)))
            continue
        said = [f"it was called {before[name]}"] if before[name] != name else []
        said += differs(before[name], name)
        if said:
            found.append(ThingChange(before[name], name, tuple(said)))
    found += [ThingChange(name, None, (text,)) for name, text in old.items() if name not in same]
    return tuple(found)


def _station(expected: str | None, was: str | None, now: str | None) -> list[str]:
    return [] if expected == now else [f"it moves from {was or 'no station'} to {now or 'no station'}"]


def _joined(roles: list[str], devices: list[str] | None) -> str:
    return ", ".join(roles) + (f" of {', '.join(devices)}" if devices else "")
