"""Faults of devices and their parts: references, kinds, roles, supplies, waivers."""

from __future__ import annotations

import re
from collections.abc import Iterator

from conversion.description.complaints import Complaint, dotted, listed, quoted
from conversion.description.cross.wording import at, unknown
from conversion.description.described import Description, Step
from conversion.description.parts import ControlUnit, Part, PedalModule, SensingPart, ThrottleBody
from conversion.description.roles import group_of

_REFERENCE = re.compile(r"([A-Z]{1,2})([1-9]\d{0,3})")

# Roles that a part of a kind may bear, by first words; screens and the builder's own are allowed everywhere.
_ALLOWED: dict[str, tuple[str, ...]] = {
    "pedal-module": ("pedal.",),
    "throttle-body": ("throttle.",),
    "control-unit": (
        "pedal.", "throttle.", "brake.", "clutch.", "lamp.", "relay.", "feed.30", "feed.15", "feed.87", "ground.31",
    ),
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


def references(description: Description) -> Iterator[Complaint]:
    for reference, part in description.parts.items():
        path = ("devices", reference)
        letters = type(part).letters
        match = _REFERENCE.fullmatch(reference)
        example = f"{letters[0]}1"
        if not match:
            yield at(
                description,
                path,
                f"{quoted(reference)} is no reference; write a letter of IEC 81346-2 and a number: '{example}'",
            )
        elif match.group(1) not in letters:
            yield at(
                description, path,
                f"'{reference}' begins with {match.group(1)}, but {type(part).words_of} has the letter "
                f"{listed(letters)} "
                f"(IEC 81346-2), such as '{example}'",
            )  # fmt: skip


def kinds(description: Description) -> Iterator[Complaint]:
    for kind in (ControlUnit, ThrottleBody, PedalModule):
        found = list(description.devices_of(kind))
        for reference in found[1:]:
            yield at(
                description, ("devices", reference),
                f"a conversion has one part of this kind ({kind.words_of}) and {found[0]} is it already; "
                "describe the other in a conversion of its own",
            )  # fmt: skip


def roles(description: Description) -> Iterator[Complaint]:
    for reference, part, _ in description.part_files():
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


def linkage(description: Description) -> Iterator[Complaint]:
    linkage = description.conversion.linkage
    if linkage is None:
        return
    path = ("linkage", "module", "device")
    modules = list(description.devices_of(PedalModule))
    reference = linkage.module.device
    if reference not in description.parts:
        yield unknown(description, path, reference, modules, "device")
    elif reference not in modules:
        yield at(
            description,
            path,
            f"{reference} is {type(description.parts[reference]).words_of}; "
            f"the rod moves a pedal module{': ' + modules[0] if modules else ''}",
        )


def waivers(description: Description) -> Iterator[Complaint]:
    control_unit = description.control_unit
    if control_unit is None:
        return
    reference, part = control_unit
    for need in description.conversion.waived:
        if need not in part.needs:
            yield unknown(description, ("waived", need), need, part.needs, f"need of {reference} called")


def supplies(description: Description) -> Iterator[Complaint]:
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
