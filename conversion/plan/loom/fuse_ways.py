"""Which fuse stands before each wire, and what it may drive through it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from conversion.description import Description
from conversion.description.parts import Fuse, Supply
from conversion.plan.loom.feeding import Feeding
from conversion.quantities import show
from conversion.wiring import Wiring
from conversion.wiring.feeds import feed_chain


@dataclass(frozen=True, slots=True)
class Protection:
    """What a fuse may drive through a wire.

    Attributes:
        fuse: Reference of the fuse.
        rating_a: Its rating, or the share of it that may return through this wire. [A]
        words: The fuse as a sentence names it.
    """

    fuse: str
    rating_a: float
    words: str


@dataclass(frozen=True)
class FuseWays:
    """The fuses before the wires.

    Attributes:
        feeds: Fuse -> tags of the wires that hang on it, those of switches behind it included.
        ends: Fuse -> devices and roles whose feed it is the nearest fuse of.
        unfused: Tags of wires between the supply and the first fuse, if there is one, with the devices that they feed.
    """

    feeds: dict[str, tuple[str, ...]]
    ends: dict[str, tuple[tuple[str, str], ...]]
    unfused: dict[str, tuple[str, ...]]


def find_fuse_ways(description: Description, wiring: Wiring, feeding: Feeding) -> FuseWays:
    """The nearest fuse before every feeding wire, followed back through relays and switches."""
    feeds: dict[str, dict[str, None]] = {
        device: {} for device, part in description.parts.items() if isinstance(part, Fuse)
    }
    ends: dict[str, list[tuple[str, str]]] = defaultdict(list)
    unfused: dict[str, list[str]] = defaultdict(list)
    unit = description.control_unit
    for device in description.parts:
        for role in feeding.roles(device, "feed"):
            source, way = feeding.leg(device, role)
            fuse = feeding.fuse_above(source)
            if fuse is not None:
                feeds[fuse].update(dict.fromkeys(way.every))
                ends[fuse].append((device, role))
            elif source is not None and _reaches_supply(description, device, role):
                for tag in way.every:
                    unfused[tag].append(device)
        if unit is not None and device == unit[0]:
            # Its contacts are what the switches feed, not what feeds them.
            continue
        for fuse in _own_fuses(feeding, device):
            for role in feeding.roles(device, "switch") if feeding.roles(device, "feed") else ():
                feeds[fuse].update(dict.fromkeys(wire.tag for wire in wiring.of_role(role)))
    return FuseWays(
        {fuse: tuple(wire.tag for wire in wiring.wires if wire.tag in tags) for fuse, tags in feeds.items()},
        {fuse: tuple(ends[fuse]) for fuse in feeds},
        {tag: tuple(dict.fromkeys(devices)) for tag, devices in unfused.items()},
    )


def protections(
    description: Description, feeding: Feeding, ways: FuseWays, ratings_a: Mapping[str, float | None]
) -> dict[str, Protection]:
    """What the worst fuse may drive through each wire, feeds and grounds alike.

    A device that is shorted inside returns through its ground wires what its fuse lets through, shared equally among
    them. The wire between the supply and a fuse carries what that fuse lets through. Wires that only a switched load
    or the control unit's own driver can feed are in no fuse's way.
    """
    found: dict[str, Protection] = {}

    rating = ratings_a.__getitem__

    def note(tag: str, fuse: str, amps: float | None, words: str) -> None:
        if amps is not None and (tag not in found or amps > found[tag].rating_a):
            found[tag] = Protection(fuse, amps, words)

    for fuse, tags in ways.feeds.items():
        for tag in tags:
            note(tag, fuse, rating(fuse), fuse_words(fuse, rating(fuse)))
    for tag, devices in ways.unfused.items():
        behind = [device for device in devices if device in ratings_a]
        amps = [rating(fuse) for fuse in behind]
        if behind and None not in amps:
            words = " and ".join(fuse_words(fuse, rating(fuse)) for fuse in behind)
            note(tag, behind[0], sum(each for each in amps if each is not None), words + " behind it")
    for device, part in description.parts.items():
        if isinstance(part, Supply):
            continue
        grounds = [feeding.to_supply(ground) for ground in feeding.terminals(device, "ground.31")]
        times = Counter(tag for way in grounds for tag in set(way))
        for fuse in _own_fuses(feeding, device):
            for tag, count in times.items():
                shared = f", shared by {len(grounds)} ground wires of {device}" if count < len(grounds) else ""
                whole = rating(fuse)
                passed = None if whole is None else whole * count / len(grounds)
                note(tag, fuse, passed, fuse_words(fuse, whole) + shared)
    return found


def fuse_words(fuse: str, rating_a: float | None) -> str:
    """A fuse as a sentence names it."""
    return fuse if rating_a is None else f"{fuse} of {show(rating_a, 'current')}"


def _own_fuses(feeding: Feeding, device: str) -> tuple[str, ...]:
    sources = (feeding.leg(device, role)[0] for role in feeding.roles(device, "feed"))
    return tuple(dict.fromkeys(fuse for source in sources if (fuse := feeding.fuse_above(source)) is not None))


def _reaches_supply(description: Description, device: str, role: str) -> bool:
    chain = feed_chain(description, device, role)
    return bool(chain) and isinstance(description.parts[chain[-1]], Supply)
