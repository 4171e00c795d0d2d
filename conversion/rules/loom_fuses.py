"""Whether each fuse carries its loads, opens on a short circuit, and sits where what it protects begins."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import listed
from conversion.description.parts import Relay
from conversion.loom.fuses import RATINGS_A, SURELY_OPENS
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.loom_sizes import tag_words
from conversion.rules.registry import COMMON_PRACTICE, Found, rule

_ISO = "ISO 8820-3: ratings, and times until a fuse opens (from memory)"
_FAA = "FAA AC 43.13-1B, paragraphs 11-47 and 11-48: protection as near the source as possible"

UNFUSED_MM = 200.0
"""Longest wire between the supply and its first fuse. Common practice, no source."""


@rule("fuse/blows-in-use", severity="FIX", sources=(_ISO, COMMON_PRACTICE))
def blows_in_use(plan: Plan) -> Iterator[Found]:
    """A fuse is too small for what hangs on it.

    Why: a fuse that is run near its rating ages and opens one day for no other reason, in traffic. Four fifths of the
    rating may flow for ever, less where it is hot, and the inrush must pass as well.
    Found in:
        K1: draws.'feed.87'.current = 18 A
    Put right:
        K1: draws.'feed.87'.current = 12 A
    Not seen: loads that are not described.
    """
    for fuse in plan.sizes.fuses.values():
        need = fuse.need
        if need.least_a is None or need.rated_a is None or need.rated_a >= need.least_a * (1 - 1e-9):
            continue
        wanted = show(fuse.smallest_a, "current") if fuse.smallest_a is not None else "a larger one"
        yield Found(
            fuse.device,
            plan.description.part_place(fuse.device, "rating"),
            f"{fuse.device} is rated {show(need.rated_a, 'current')} and should be rated at least "
            f"{show(need.least_a, 'current')}. {fuse.words}",
            f"Take {wanted}, and let the wires behind it be sized for that, or split the load over two fuses.",
        )


@rule("fuse/not-a-rating", severity="NOTE", sources=(_ISO,))
def not_a_rating(plan: Plan) -> Iterator[Found]:
    """A fuse has a rating that blade fuses do not come in.

    Why: what cannot be bought is replaced by what is in the drawer, and the wires were not sized for that.
    Found in:
        F3: rating = 18 A
    Put right:
        F3: rating = 20 A
    Not seen: fuses of other makes, such as bolted strips, which have ratings of their own.
    """
    for fuse in plan.sizes.fuses.values():
        rated = fuse.need.rated_a
        if rated is not None and rated not in RATINGS_A:
            near = [show(each, "current") for each in sorted(RATINGS_A, key=lambda each: abs(each - rated))[:2]]
            yield Found(
                fuse.device,
                plan.description.part_place(fuse.device, "rating"),
                f"{fuse.device} is rated {show(rated, 'current')}; the nearest blade fuses are {listed(near, 'and')}.",
                "Write the rating that is on the fuse.",
            )


@rule("fuse/rating-chosen", severity="NOTE", sources=(_ISO, COMMON_PRACTICE))
def rating_chosen(plan: Plan) -> Iterator[Found]:
    """The rating of a fuse is not described, and one is chosen for it.

    Why: the wires behind it are sized for the fuse. The one that is fitted has to be that one.
    Found in:
        F3: rating = unknown
    Put right:
        F3: rating = 20 A
    Not seen: what is in the holder.
    """
    for fuse in plan.sizes.fuses.values():
        if fuse.need.rated_a is None:
            chosen = "none can be chosen" if fuse.chosen_a is None else f"{show(fuse.chosen_a, 'current')} is chosen"
            yield Found(
                fuse.device,
                plan.description.part_place(fuse.device),
                f"The rating of {fuse.device} is not described; {chosen}. {fuse.words}",
                "Fit that fuse and write its rating into its part.",
            )


@rule(
    "fuse/relay-weaker",
    severity="FIX",
    sources=("Formula SAE Rules 2026 v1.0, EV.6.6.2: no protection is rated above what it protects",),
)
def relay_weaker(plan: Plan) -> Iterator[Found]:
    """The contact of a relay is rated below the fuse before it.

    Why: an overload that the fuse lets pass welds the contact, and the relay then no longer switches off.
    Found in:
        K2: contact_rating = 15 A
    Put right:
        K2: contact_rating = 30 A
    Not seen: inrush that pits a contact, and relays whose papers give another rating when hot.
    """
    for fuse in plan.sizes.fuses.values():
        for device, role in plan.sizes.ways.ends[fuse.device]:
            part = plan.description.parts[device]
            if role != "feed.in" or not isinstance(part, Relay) or part.contact_rating is None:
                continue
            if fuse.chosen_a is not None and fuse.chosen_a > part.contact_rating.low:
                yield Found(
                    device,
                    plan.description.part_place(device, "contact_rating"),
                    f"The contact of {device} is rated {show(part.contact_rating.low, 'current')} and hangs on "
                    f"{fuse.device} of {show(fuse.chosen_a, 'current')}; it should be rated at least that.",
                    f"Take a stronger relay, or a smaller fuse for {fuse.device}.",
                )


@rule("fuse/far-from-supply", severity="FIX", sources=(_FAA, COMMON_PRACTICE))
def far_from_supply(plan: Plan) -> Iterator[Found]:
    """The wire between the supply and its first fuse is longer than it may be.

    Why: nothing protects that wire. Where it chafes through it carries what the battery gives, and burns.
    Found in:
        conversion: devices.F3.station = board
    Put right:
        conversion: devices.F3.station = battery
    Not seen: how it is protected from chafing, and a fusible link in the battery's own cable.
    """
    loom = plan.description.conversion.loom
    most = loom.unfused_within.nominal if loom and loom.unfused_within else UNFUSED_MM
    sizes = plan.sizes
    for tag, devices in sizes.ways.unfused.items():
        length, fuses = sizes.lengths_m.get(tag), [device for device in devices if device in sizes.fuses]
        if length is not None and 1000.0 * length > most + 1e-6:
            yield Found(
                tag,
                plan.description.place("devices", devices[0], "fed_from"),
                f"{tag} to {listed(devices, 'and')} is {show(1000.0 * length, 'length')} long and no fuse is before "
                f"it; at most {show(most, 'length')} should be unprotected.",
                f"Move {listed(fuses, 'and')} beside the supply." if fuses else "Put a fuse beside the supply.",
            )


@rule("fuse/stays-closed", severity="FIX", sources=(_ISO, COMMON_PRACTICE))
def stays_closed(plan: Plan) -> Iterator[Found]:
    """A short circuit at the far end of a wire does not open its fuse within seconds.

    Why: the resistance of a long thin wire holds the current down. The fuse then waits while the wire heats.
    Found in:
        conversion: loom.wires.3 = {role: feed.15, device: P1, size: 0.35 mm², reason: thin}
        F2: rating = 80 A
    Put right:
        conversion: loom.wires.3 removed
        F2: rating = 5 A
    Not seen: a short circuit through a poor contact, which may carry less than any fuse notices.
    """
    for fuse in plan.sizes.fuses.values():
        if fuse.opens or fuse.short_a is None or fuse.chosen_a is None:
            continue
        yield Found(
            fuse.device,
            plan.description.place("devices", fuse.device),
            f"A short circuit at {fuse.short_at} drives {show(fuse.short_a, 'current')} through {fuse.device} of "
            f"{show(fuse.chosen_a, 'current')}; it should drive at least "
            f"{show(SURELY_OPENS * fuse.chosen_a, 'current')}, so that the fuse opens within seconds.",
            f"Take a smaller fuse, or thicker wire for {tag_words(list(fuse.protects))}.",
        )
