"""Faults of the loom: stations, runs, splices and changes that name nothing, terminals used twice."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import Complaint, listed, quoted
from conversion.description.cross.wording import at, bearers_of_roles, unknown
from conversion.description.described import Description, Step
from conversion.description.roles import group_of


def stations(description: Description) -> Iterator[Complaint]:
    loom = description.conversion.loom
    stations = loom.stations if loom else {}
    for reference, device in description.conversion.devices.items():
        if device.station is not None and device.station not in stations:
            yield unknown(description, ("devices", reference, "station"), device.station, stations, "station")
    for name, run in (loom.runs if loom else {}).items():
        for index, station in enumerate(run.between):
            if station not in stations:
                yield unknown(description, ("loom", "runs", name, "between", index), station, stations, "station")
    for name, splice in (loom.splices if loom else {}).items():
        if splice.station is not None and splice.station not in stations:
            yield unknown(description, ("loom", "splices", name, "station"), splice.station, stations, "station")


def reached(description: Description) -> Iterator[Complaint]:
    """Every station has a run, once runs are described at all."""
    loom = description.conversion.loom
    if loom is None or not loom.runs:
        return
    joined = {station for run in loom.runs.values() for station in run.between}
    for name in loom.stations:
        if name not in joined:
            yield at(
                description,
                ("loom", "stations", name),
                f"no run reaches '{name}'; describe the run that joins it to another station under 'loom.runs' (with "
                "'length: unknown' until it is measured), or take the station away",
            )


def splices(description: Description) -> Iterator[Complaint]:
    loom = description.conversion.loom
    if loom is None:
        return
    bearers = bearers_of_roles(description)
    owner: dict[tuple[str, str], str] = {}
    for name, splice in loom.splices.items():
        for index, device in enumerate(splice.devices or []):
            if device not in description.parts:
                yield unknown(
                    description,
                    ("loom", "splices", name, "devices", index),
                    device,
                    description.parts,
                    "device",
                )
        for index, role in enumerate(splice.joins):
            path = ("loom", "splices", name, "joins", index)
            if role not in bearers:
                yield unknown(description, path, role, sorted(bearers), "terminal with the role")
                continue
            met = [device for device in bearers[role] if splice.devices is None or device in splice.devices]
            if not met:
                yield at(description, path, f"none of the devices of this splice has a terminal for '{role}'")
            for device in dict.fromkeys(met):
                if (role, device) in owner:
                    yield at(
                        description,
                        path,
                        f"the wire of '{role}' to {device} meets at splice {owner[role, device]} already",
                    )
                owner.setdefault((role, device), name)
        hubs = {hub for role in splice.joins for hub in _hubs(description, role, splice.devices)}
        if len(hubs) > 1:
            yield at(
                description, ("loom", "splices", name, "joins"),
                f"this splice would join {listed(sorted(hubs), 'and')}; "
                "name the 'devices' whose wires meet here, all on one of them",
            )  # fmt: skip


def _hubs(description: Description, role: str, devices: list[str] | None) -> set[str]:
    """What feeds, or grounds, the devices whose wires of a role meet at a splice."""
    hubs: set[str] = set()
    points = [ref for ref, part in description.parts.items() if part.places_of("ground.point")]
    for reference, device in description.conversion.devices.items():
        if not description.parts[reference].places_of(role) or (devices is not None and reference not in devices):
            continue
        if group_of(role) == "feed":
            source = device.fed_from if isinstance(device.fed_from, str) else (device.fed_from or {}).get(role)
            hubs.update([source] if source else [])
        elif group_of(role) == "ground":
            hubs.update([device.grounded_at] if device.grounded_at else points[:1])
    return hubs


def changes(description: Description) -> Iterator[Complaint]:
    loom = description.conversion.loom
    if loom is None:
        return
    bearers = bearers_of_roles(description)
    taken: dict[str, int] = {}
    changed: dict[tuple[str, str | None], int] = {}
    for index, change in enumerate(loom.wires):
        path = ("loom", "wires", index)
        if change.role is not None:
            if change.role not in bearers:
                yield unknown(description, (*path, "role"), change.role, sorted(bearers), "terminal with the role")
            key = (change.role, change.device)
            for step, station in enumerate(change.via):
                if station not in loom.stations:
                    yield unknown(description, (*path, "via", step), station, loom.stations, "station")
            if key in changed:
                yield at(
                    description,
                    path,
                    f"the wire of '{change.role}' is changed by entry {changed[key] + 1} already; "
                    "put both changes there",
                )
            changed.setdefault(key, index)
        if change.device is not None and change.device not in description.parts:
            yield unknown(description, (*path, "device"), change.device, description.parts, "device")
        elif change.device is not None and change.role in bearers and change.device not in bearers[change.role]:
            yield at(
                description,
                (*path, "device"),
                f"{change.device} has no terminal with the role '{change.role}'; "
                f"{listed(sorted(set(bearers[change.role])), 'and')} have",
            )
        for key_word, name in (("from", change.from_terminal), ("to", change.to_terminal)):
            if name is None:
                continue
            yield from _terminal_of_change(description, (*path, key_word), name, change.role, taken, index)


def _terminal_of_change(
    description: Description,
    path: tuple[Step, ...],
    name: str,
    role: str | None,
    taken: dict[str, int],
    index: int,
) -> Iterator[Complaint]:
    terminal = description.find_terminal(name)
    if terminal is None:
        device = name.partition(".")[0]
        if device not in description.parts:
            yield unknown(description, path, device, description.parts, "device")
        else:
            names = [found.name for found, _ in description.terminals(device)]
            yield unknown(description, path, name, names, "terminal")
        return
    form = description.parts[terminal.device].housings[terminal.housing].cavities[terminal.cavity]
    used = taken.get(terminal.name, 0) + 1
    taken[terminal.name] = used
    if form.unused is not None:
        yield at(
            description,
            path,
            f"{name} is described as unused ({quoted(form.unused)}); give it a role or choose another terminal",
        )
    elif role is None and form.roles and form.holds == 1:
        yield at(
            description,
            path,
            f"{name} is used twice: it has the wire of '{form.roles[0]}' already and holds one conductor",
        )
    elif used > form.holds:
        yield at(
            description,
            path,
            f"{name} is used twice: it holds {form.holds} conductor{'s' if form.holds > 1 else ''} "
            f"and {used} wires end there",
        )
