"""Whether every contact suits its wires, and every housing keeps out the water that it meets."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from conversion.description.complaints import listed
from conversion.plan import Plan
from conversion.plan.loom.ends import Termination, device_zones, open_places, terminations
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.wiring import Wire

_MOST_NAMED = 12


@rule("loom/contact-size", severity="FIX", sources=(COMMON_PRACTICE,))
def contact_size(plan: Plan) -> Iterator[Found]:
    """A contact gets a conductor that is thinner or thicker than it takes.

    Why: a crimp is made for a range of sizes. A thin conductor is not held and works loose; a thick one is cut by the
    tool, or its strands stand outside.
    Found in:
        B1: housings.A.contact = {title: very small socket contact, thinnest: 0.13 mm², thickest: 0.22 mm²}
    Put right:
        B1: housings.A.contact = {title: small socket contact, thinnest: 0.35 mm², thickest: 1.0 mm²}
    Not seen: whether the insulation fits the contact and its seal.
    """
    for end in terminations(plan):
        contact = end.contact
        if contact is None:
            continue
        for wires in end.crimps:
            size = sum(wire.size_mm2 for wire in wires)
            limit = None
            if contact.thinnest is not None and size < contact.thinnest.nominal * (1 - 1e-9):
                limit = f"takes nothing thinner than {show(contact.thinnest.nominal, 'area')}"
            elif contact.thickest is not None and size > contact.thickest.nominal * (1 + 1e-9):
                limit = f"takes nothing thicker than {show(contact.thickest.nominal, 'area')}"
            if limit is not None:
                area = show(size, "area")
                many = len(wires) > 1
                said = f"{_tags(wires)}, together {area}, end in" if many else f"{_tags(wires)} of {area} ends in"
                yield Found(
                    end.terminal.name,
                    plan.description.part_place(end.terminal.device, "housings", end.terminal.housing),
                    f"{said} {end.terminal.name}, whose contact '{contact.title}' {limit}.",
                    "Describe the contact of the same housing that takes this size; or lay a wire that the contact "
                    "takes as far as a splice.",
                )


@rule("loom/two-wires-in-a-seal", severity="FIX", sources=(COMMON_PRACTICE,))
def two_wires_in_a_seal(plan: Plan) -> Iterator[Found]:
    """Several wires end in one contact whose seal is made for a single wire.

    Why: two wires do not make a round shape, so that water creeps between them into the housing.
    Found in:
        conversion: loom.splices.Z1 removed
    Put right:
        conversion: loom.splices.Z1 = {joins: [feed.15]}
    Not seen: seals that are made for two wires; name such a seal of the contact in other words than 'single'.
    """
    for end in terminations(plan):
        seal = end.contact.seal if end.contact else None
        if seal is None or "single" not in seal.lower() or end.bolted or len(end.wires) < 2:
            continue
        yield Found(
            end.terminal.name,
            plan.description.place("devices", end.terminal.device),
            f"{len(end.wires)} wires ({_tags(end.wires)}) end in {end.terminal.name}, and '{seal}' seals one.",
            "Join them at a splice under 'loom.splices', so that one wire goes into the housing.",
        )


@rule("loom/unsealed-in-the-wet", severity="FIX", sources=(COMMON_PRACTICE,))
def unsealed_in_the_wet(plan: Plan) -> Iterator[Found]:
    """A housing that is not sealed lies where it gets wet.

    Why: water between two contacts is a resistor that nobody planned; with a voltage on them the copper goes within
    weeks.
    Found in:
        conversion: loom.runs.bulkhead-engine.zone = wet
        M1: housings.A.sealed = false
    Put right:
        M1: housings.A.sealed = true
    Not seen: rings on studs, which need grease, and housings at a station whose zone is described milder than it is.
    """
    zones = device_zones(plan.description)
    told: dict[tuple[str, str], Termination] = {}
    for end in terminations(plan):
        if zones.get(end.terminal.device) == "wet" and not end.sealed and not end.bolted:
            told.setdefault((end.terminal.device, end.terminal.housing), end)
    for (device, housing), end in told.items():
        several = len(plan.description.parts[device].housings) > 1
        name = f"housing {housing} of {device}" if several else f"the housing of {device}"
        yield Found(
            device,
            plan.description.part_place(device, "housings", housing),
            f"{name[0].upper()}{name[1:]} is not sealed and lies at station "
            f"'{plan.description.conversion.devices[end.terminal.device].station}', which is wet.",
            "Use a sealed housing and say 'sealed: true'; or place it where it stays dry.",
        )


@rule("loom/place-without-plug", severity="FIX", sources=(COMMON_PRACTICE,))
def place_without_plug(plan: Plan) -> Iterator[Found]:
    """A sealed housing has a place without a wire, and nothing is described that closes it.

    Why: a sealed housing is sealed when every place is: by a wire with its seal, or by a plug. One open place floods
    all.
    Found in:
        M1: housings.A.plug removed
    Put right:
        M1: housings.A.plug = small blind plug
    Not seen: housings with one mat for all wires, whose unused places are closed; describe that as the plug.
    """
    open_in: dict[tuple[str, str], list[str]] = defaultdict(list)
    for place in open_places(plan.description):
        if place.sealed and place.plug is None:
            open_in[place.terminal.device, place.terminal.housing].append(place.terminal.cavity)
    for (device, housing), cavities in open_in.items():
        several = len(plan.description.parts[device].housings) > 1
        yield Found(
            f"{device} housing {housing}" if several else device,
            plan.description.part_place(device, "housings", housing),
            f"The sealed housing of {device} has {len(cavities)} place{'' if len(cavities) == 1 else 's'} without a "
            f"wire ({_first(cavities)}), and no 'plug' is described.",
            "Name what closes them as the 'plug' of the housing; it then stands among the parts to buy.",
        )


@rule("loom/contact-not-described", severity="NOTE", sources=(COMMON_PRACTICE,))
def contact_not_described(plan: Plan) -> Iterator[Found]:
    """The contacts of a housing are not described.

    Why: without them nobody knows what to buy, how far to strip, how high the crimp has to be and what it has to hold;
    stripping is then taken as 5 mm.
    Found in:
        S2: housings.A.contact removed
    Put right:
        S2: housings.A.contact = {title: push-on receptacle 4.8 mm, strip: 5.5 mm, pull: 60 N}
    Not seen: whether what is described is what the housing takes.
    """
    lacking: dict[tuple[str, str], None] = {}
    for end in terminations(plan):
        if end.contact is None:
            lacking[end.terminal.device, end.terminal.housing] = None
    if lacking:
        (device, housing), *_ = lacking
        devices = list(dict.fromkeys(each for each, _ in lacking))
        yield Found(
            f"contacts of {_first(devices)}",
            plan.description.part_place(device, "housings", housing),
            f"The contacts of {_first(devices)} are not described, so that the parts to buy cannot name them.",
            "Describe the 'contact' of each housing: its title, strip length, crimp height, pull and sizes.",
        )


def _tags(wires: tuple[Wire, ...]) -> str:
    return _first([wire.tag for wire in wires])


def _first(words: list[str]) -> str:
    """The words as a sentence lists them, the end of a long list only counted."""
    if len(words) <= _MOST_NAMED:
        return listed(words, "and")
    return f"{', '.join(words[:_MOST_NAMED])} and {len(words) - _MOST_NAMED} more"
