"""Faults that show only when the whole description is seen: references to nothing, terminals used twice.

These make the description unreadable (there is no plan to compute). Everything that is merely dangerous or
incomplete is left to the rules.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator

from conversion.description.complaints import Complaint, dotted, listed, nearest, quoted
from conversion.description.described import Description, Step
from conversion.description.parts import (
    ControlUnit,
    GroundPoint,
    Part,
    PedalModule,
    SensingPart,
    ThrottleBody,
)
from conversion.description.roles import group_of

_REFERENCE = re.compile(r"([A-Z]{1,2})([1-9]\d{0,3})")

# Roles that a part of a kind may bear, by first words; screens and the builder's own are allowed everywhere.
_ALLOWED: dict[str, tuple[str, ...]] = {
    "pedal-module": ("pedal.",),
    "throttle-body": ("throttle.",),
    "control-unit": ("pedal.", "throttle.", "brake.", "clutch.", "lamp.", "relay.", "feed.30", "feed.15", "feed.87", "ground.31"),
    "brake-switch": ("brake.", "feed.30", "feed.15", "feed.87", "ground.31"),
    "clutch-switch": ("clutch.", "feed.30", "feed.15", "feed.87", "ground.31"),
    "ignition-switch": ("feed.in", "feed.out"),
    "stop-switch": ("feed.in", "feed.out"),
    "warning-lamp": ("lamp.", "feed.30", "feed.15", "feed.87", "ground.31"),
    "fuse": ("feed.in", "feed.out"),
    "relay": ("relay.", "feed.in", "feed.coil", "feed.out", "ground.31"),
    "ground-point": ("ground.point",),
    "earth-point": ("ground.point",),
    "supply": ("feed.out", "ground.point", "ground.31"),
    "other": ("feed.30", "feed.15", "feed.87", "ground.31"),
}  # fmt: skip

# Groups in which one device may bear the same role on several terminals, wired in parallel.
_PARALLEL = {"feed", "source", "ground", "other", "screen"}


def cross_check(description: Description) -> list[Complaint]:
    """Every fault between the parts of a description, in no particular order."""
    checks: tuple[Callable[[Description], Iterable[Complaint]], ...] = (
        _references, _kinds, _roles, _feeds, _stations, _linkage, _splices, _changes, _waivers, _supplies,
    )  # fmt: skip
    return [complaint for check in checks for complaint in check(description)]


def _at(description: Description, path: tuple[Step, ...], message: str) -> Complaint:
    return Complaint(description.place(*path), dotted(path), message)


def _unknown(description: Description, path: tuple[Step, ...], word: str, known: Iterable[str], what: str) -> Complaint:
    words = list(known)
    near = nearest(word, words)
    if near:
        hint = f"did you mean '{near}'?"
    else:
        hint = f"known are {listed(words, 'and')}." if words else "none is described."
    return _at(description, path, f"there is no {what} {quoted(word)}; {hint}")


def _references(description: Description) -> Iterator[Complaint]:
    for reference, part in description.parts.items():
        path = ("devices", reference)
        letters = type(part).letters
        match = _REFERENCE.fullmatch(reference)
        example = f"{letters[0]}1"
        if not match:
            yield _at(
                description,
                path,
                f"{quoted(reference)} is no reference; a letter of IEC 81346-2 and a number, such as '{example}'",
            )
        elif match.group(1) not in letters:
            yield _at(
                description, path,
                f"'{reference}' begins with {match.group(1)}, but {type(part).words_of} has the letter {listed(letters)} (IEC 81346-2), such as '{example}'",
            )  # fmt: skip


def _kinds(description: Description) -> Iterator[Complaint]:
    for kind in (ControlUnit, ThrottleBody, PedalModule):
        found = list(description.devices_of(kind))
        for reference in found[1:]:
            yield _at(
                description, ("devices", reference),
                f"a conversion has one part of this kind ({kind.words_of}) and {found[0]} is it already; describe the other in a conversion of its own",
            )  # fmt: skip


def _roles(description: Description) -> Iterator[Complaint]:
    seen_parts: set[str] = set()
    for reference, part in description.parts.items():
        source = description.part_sources[reference]
        if source.name in seen_parts:
            continue
        seen_parts.add(source.name)
        yield from _roles_of_part(description, reference, part)


def _roles_of_part(description: Description, reference: str, part: Part) -> Iterator[Complaint]:
    allowed = _ALLOWED[part.kind]  # type: ignore[attr-defined]
    first: dict[str, str] = {}
    for housing, cavity, form in part.cavities():
        path = ("housings", housing, "cavities", cavity)
        place = description.part_place(reference, *path)
        for role in form.roles:
            if not role.startswith((*allowed, "screen", "other.")):
                yield Complaint(
                    place,
                    dotted(path),
                    f"{type(part).words_of} has no terminal for '{role}'; its roles begin with {listed(allowed)}",
                )
            if role in first and group_of(role) not in _PARALLEL:
                yield Complaint(
                    place,
                    dotted(path),
                    f"the role '{role}' is on place {first[role]} already; a terminal for it stands once",
                )
            first.setdefault(role, cavity)
    if isinstance(part, SensingPart):
        sensor = "pedal" if isinstance(part, PedalModule) else "throttle"
        tracks = {
            role.split(".")[1]
            for role in first
            if role.startswith(f"{sensor}.") and role.count(".") == 2 and role.split(".")[1] in "abc"
        }
        for track in sorted(tracks - set(part.tracks)):
            yield Complaint(
                description.part_place(reference, "tracks"), "tracks",
                f"a terminal has the role '{sensor}.{track}...', but track '{track}' is not described here",
            )  # fmt: skip


def _feeds(description: Description) -> Iterator[Complaint]:
    sources = [ref for ref, part in description.parts.items() if part.places_of("feed.out")]
    grounds = [ref for ref, part in description.parts.items() if part.places_of("ground.point")]
    for reference, device in description.conversion.devices.items():
        path = ("devices", reference, "fed_from")
        own_feeds = {
            role
            for _, _, form in description.parts[reference].cavities()
            for role in form.roles
            if group_of(role) == "feed"
        }
        if isinstance(device.fed_from, str):
            named = {None: device.fed_from}
        else:
            named = dict(device.fed_from or {})
        for role, source in named.items():
            here = path if role is None else (*path, role)
            if source == reference:
                yield _at(description, here, f"{reference} cannot feed itself")
            elif source not in description.parts:
                yield _unknown(description, here, source, sources, "device")
            elif source not in sources:
                yield _at(
                    description,
                    here,
                    f"{source} feeds nothing (no terminal 'feed.out'); devices that do are {listed(sources) if sources else 'not described'}",
                )
            if role is not None and role not in own_feeds:
                yield _unknown(
                    description, here, role, sorted(own_feeds), f"feed terminal on {reference} with the role"
                )
        if named and not own_feeds:
            yield _at(description, path, f"{reference} has no feed terminal, so nothing feeds it; remove the line")
        if device.grounded_at is not None and device.grounded_at not in grounds:
            yield _unknown(
                description,
                ("devices", reference, "grounded_at"),
                device.grounded_at,
                grounds,
                "ground point",
            )
    yield from _feed_circles(description)


def _feed_circles(description: Description) -> Iterator[Complaint]:
    def sources_of(reference: str) -> list[str]:
        device = description.conversion.devices.get(reference)
        fed = device.fed_from if device else None
        wanted = [fed] if isinstance(fed, str) else list((fed or {}).values())
        return [source for source in wanted if source in description.parts]

    state: dict[str, int] = {}
    for start in description.parts:
        # Walked without recursion: a long chain of feeds must not exhaust the stack.
        stack = [(start, iter(sources_of(start)))] if start not in state else []
        state.setdefault(start, 1)
        while stack:
            reference, rest = stack[-1]
            following = next(rest, None)
            if following is None:
                state[reference] = 2
                stack.pop()
            elif state.get(following) == 1:
                if following != reference:
                    yield _at(
                        description,
                        ("devices", reference, "fed_from"),
                        f"{reference} and {following} feed each other in a circle; a feed begins at a supply",
                    )
            elif following not in state:
                state[following] = 1
                stack.append((following, iter(sources_of(following))))


def _stations(description: Description) -> Iterator[Complaint]:
    loom = description.conversion.loom
    stations = loom.stations if loom else {}
    for reference, device in description.conversion.devices.items():
        if device.station is not None and device.station not in stations:
            yield _unknown(description, ("devices", reference, "station"), device.station, stations, "station")
    for name, run in (loom.runs if loom else {}).items():
        for index, station in enumerate(run.between):
            if station not in stations:
                yield _unknown(description, ("loom", "runs", name, "between", index), station, stations, "station")
    for name, splice in (loom.splices if loom else {}).items():
        if splice.station not in stations:
            yield _unknown(description, ("loom", "splices", name, "station"), splice.station, stations, "station")


def _linkage(description: Description) -> Iterator[Complaint]:
    linkage = description.conversion.linkage
    if linkage is None:
        return
    path = ("linkage", "module", "device")
    modules = list(description.devices_of(PedalModule))
    reference = linkage.module.device
    if reference not in description.parts:
        yield _unknown(description, path, reference, modules, "device")
    elif reference not in modules:
        yield _at(
            description,
            path,
            f"{reference} is {type(description.parts[reference]).words_of}; the rod moves a pedal module{': ' + modules[0] if modules else ''}",
        )


def _splices(description: Description) -> Iterator[Complaint]:
    loom = description.conversion.loom
    if loom is None:
        return
    bearers = _bearers(description)
    owner: dict[tuple[str, str], str] = {}
    for name, splice in loom.splices.items():
        for index, device in enumerate(splice.devices or []):
            if device not in description.parts:
                yield _unknown(
                    description,
                    ("loom", "splices", name, "devices", index),
                    device,
                    description.parts,
                    "device",
                )
        for index, role in enumerate(splice.joins):
            path = ("loom", "splices", name, "joins", index)
            if role not in bearers:
                yield _unknown(description, path, role, sorted(bearers), "terminal with the role")
                continue
            met = [device for device in bearers[role] if splice.devices is None or device in splice.devices]
            if not met:
                yield _at(description, path, f"none of the devices of this splice has a terminal for '{role}'")
            for device in dict.fromkeys(met):
                if (role, device) in owner:
                    yield _at(
                        description,
                        path,
                        f"the wire of '{role}' to {device} meets at splice {owner[role, device]} already",
                    )
                owner.setdefault((role, device), name)
        hubs = {hub for role in splice.joins for hub in _hubs(description, role, splice.devices)}
        if len(hubs) > 1:
            yield _at(
                description, ("loom", "splices", name, "joins"),
                f"this splice would join {listed(sorted(hubs), 'and')}; name the 'devices' whose wires meet here, all on one of them",
            )  # fmt: skip


def _bearers(description: Description) -> dict[str, list[str]]:
    """The devices that bear each role, one entry a terminal, in the order written."""
    bearers: dict[str, list[str]] = {}
    for reference, part in description.parts.items():
        for _, _, form in part.cavities():
            for role in form.roles:
                bearers.setdefault(role, []).append(reference)
    return bearers


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


def _changes(description: Description) -> Iterator[Complaint]:
    loom = description.conversion.loom
    if loom is None:
        return
    bearers = _bearers(description)
    taken: dict[str, int] = {}
    changed: dict[tuple[str, str | None], int] = {}
    for index, change in enumerate(loom.wires):
        path = ("loom", "wires", index)
        if change.role is not None:
            if change.role not in bearers:
                yield _unknown(description, (*path, "role"), change.role, sorted(bearers), "terminal with the role")
            key = (change.role, change.device)
            if key in changed:
                yield _at(
                    description,
                    path,
                    f"the wire of '{change.role}' is changed by entry {changed[key] + 1} already; put both changes there",
                )
            changed.setdefault(key, index)
        if change.device is not None and change.device not in description.parts:
            yield _unknown(description, (*path, "device"), change.device, description.parts, "device")
        elif change.device is not None and change.role in bearers and change.device not in bearers[change.role]:
            yield _at(
                description,
                (*path, "device"),
                f"{change.device} has no terminal with the role '{change.role}'; {listed(sorted(set(bearers[change.role])), 'and')} have",
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
            yield _unknown(description, path, device, description.parts, "device")
        else:
            names = [found.name for found, _ in description.terminals(device)]
            yield _unknown(description, path, name, names, "terminal")
        return
    form = description.parts[terminal.device].housings[terminal.housing].cavities[terminal.cavity]
    used = taken.get(terminal.name, 0) + 1
    taken[terminal.name] = used
    if form.unused is not None:
        yield _at(
            description,
            path,
            f"{name} is described as unused ({quoted(form.unused)}); give it a role or choose another terminal",
        )
    elif role is None and form.roles and form.holds == 1:
        yield _at(
            description,
            path,
            f"{name} is used twice: it has the wire of '{form.roles[0]}' already and holds one conductor",
        )
    elif used > form.holds:
        yield _at(
            description,
            path,
            f"{name} is used twice: it holds {form.holds} conductor{'s' if form.holds > 1 else ''} and {used} wires end there",
        )


def _waivers(description: Description) -> Iterator[Complaint]:
    control_unit = description.control_unit
    if control_unit is None:
        return
    reference, part = control_unit
    for need in description.conversion.waived:
        if need not in part.needs:
            yield _unknown(description, ("waived", need), need, part.needs, f"need of {reference} called")


def _supplies(description: Description) -> Iterator[Complaint]:
    control_unit = description.control_unit
    if control_unit is None:
        return
    reference, part = control_unit
    owner: dict[str, str] = {}
    for name, supply in part.supplies.items():
        for index, role in enumerate(supply.roles):
            path: tuple[Step, ...] = ("supplies", name, "roles", index)
            place = description.part_place(reference, *path)
            if not part.places_of(role):
                yield Complaint(place, dotted(path), f"no terminal of this control unit has the role '{role}'")
            if role in owner:
                yield Complaint(place, dotted(path), f"'{role}' is fed by the supply '{owner[role]}' already")
            owner.setdefault(role, name)
