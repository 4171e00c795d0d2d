"""Sentences about an unknown module: what was found, what would decide, what to do before anything is joined to it."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.bench.unknown.decide import Further
from conversion.bench.unknown.group import Understood
from conversion.bench.unknown.identify import Identification
from conversion.bench.unknown.turns import LIMIT_A, SERIES_OHM, SUPPLY_V
from conversion.description.complaints import listed
from conversion.quantities import show

VERDICTS = {
    "found": "the readings fit",
    "undecided": "undecided",
    "no-fit": "the readings fit no potentiometer module",
}
PLAUSIBLE_OHM = (200.0, 50e3)
"""Of a track in a vehicle: common practice, no source."""

POWERED_CHECK = (
    "Module out of the car and unplugged from everything. Nothing of the car is supplied by this.",
    f"A supply of {SUPPLY_V:.2f} V, its current limited to {show(LIMIT_A, 'current')}, with a resistor of "
    f"{show(SERIES_OHM, 'resistance')} in its plus wire. Join it to the two ends of one track, never to a wiper.",
    "The volts between the ends and across the resistor must be those below within 5 %, whichever end is at the "
    "supply. If not, or if anything gets warm: off at once; there is more than resistors inside.",
    "Measure from the ground end to the wiper with a meter of 10 Mohm. As a share of the volts between the ends it "
    "must be what is said above at rest and at full, and go from one to the other without a jump.",
    "Change supply and ground over: a plain track then gives what is left to 100 %. Take the way round that the "
    "control unit is to see, write it down as supplied_at, and run this again.",
)

HALL = (
    "Do not power it on a guess: a Hall or inductive sensor whose supply is changed over, or that gets more than its "
    "supply, is destroyed, or works and fails later.",
    "Get the data: the wiring diagram of the car that it came from, or the volts at each terminal there, plugged in, "
    "ignition on, engine off, pedal at rest and at full: which terminals stay near 5 V, which near 0 V, which move.",
    "Only when supply and ground of each track are known: module out of the car, supply 5.00 V limited to 20 mA, with "
    "a resistor of 100 ohm in its plus wire, one track at a time.",
    "Record the current, the volts between supply and ground at the module, and each output at rest, half-way and at "
    "full, first with the meter alone and then with 10 kohm from the output to ground.",
    "More than 20 mA for one track, less than 4.5 V at the module that the resistor does not explain, an output that "
    "does not move, or anything warm: off at once; the terminals are not what they were taken for.",
    "An output that jumps between two levels while the lever moves evenly sends messages, not volts: such a module "
    "cannot be used here.",
)

CAUTIONS = (
    "Measured unplugged, and never while anything is supplied: a meter set to ohms feeds the module itself.",
    "Resistance tells which terminals are ends and wiper, never which end is the supply: make the powered check first.",
    "A fit shows a network that reads the same, not that nothing else is inside.",
)


def reading(found: Identification, position: int | None, pair: tuple[int, int]) -> str:
    """A reading in words."""
    names = found.readings.terminals
    where = "while the lever moves slowly" if position is None else found.readings.positions[position]
    return f"terminals {names[pair[0]]} and {names[pair[1]]} {where}"


def further_words(found: Identification, each: Further) -> str:
    """What to read, and what follows from it."""
    text = reading(found, each.position, each.pair)
    if each.again:
        expects = f", which the others let expect near {show(each.expects[0], 'resistance')}" if each.expects else ""
        return (
            f"Read {text} again{expects}. If it is the same again, there is more inside than tracks and contacts: then "
            "treat it as a Hall module."
        )
    if each.position is None:
        return (
            f"Watch the meter between {text}: between two ends it stands perfectly still; between two wipers, or an "
            "end and a wiper, it creeps or flickers. No standing reading tells these arrangements apart."
        )
    if each.finer is not None:
        return (
            f"Read {text} with a meter good to {show(each.finer, 'ratio')}: the first arrangement expects "
            f"{show(each.expects[0], 'resistance')}, the other {show(each.expects[1], 'resistance')}."
        )
    if each.expects:
        return (
            f"Read {text}: the first arrangement expects {show(each.expects[0], 'resistance')}, the other "
            f"{show(each.expects[1], 'resistance')}."
        )
    return f"Read {text}."


def arrangement(found: Identification, tracks: tuple[tuple[tuple[int, int], int], ...]) -> str:
    """Tracks by their terminals."""
    names = found.readings.terminals
    return listed(
        (
            f"wiper {names[wiper]} between ends {names[min(ends)]} and {names[max(ends)]}"
            for ends, wiper in sorted(tracks, key=lambda track: track[1])
        ),
        "and",
    )


def others(found: Identification) -> Iterator[str]:
    """What there is besides tracks, a sentence each."""
    names = found.readings.terminals
    for contact in found.contacts:
        states = (
            f"{'closed' if closed else 'open'} {position}"
            for closed, position in zip(contact.closed, found.readings.positions, strict=True)
        )
        yield (
            f"A contact between terminals {names[contact.terminal]} and {names[contact.partner]}: "
            f"{', '.join(states)}; {show(contact.ohm, 'resistance')} while closed."
        )
    for group in found.groups:
        yield from _fixed(found, group)
        for terminal, same in group.group.joined.items():
            yield f"Terminals {names[same]} and {names[terminal]} are one inside."
    for terminal in found.alone:
        if not found.readings.read[:, terminal].any():
            continue  # nothing is known of it yet
        yield (
            f"Terminal {names[terminal]} leads to no other terminal: not used, or a contact that closes elsewhere; "
            "read it against each other one while the lever moves, and beyond full if there is a kick-down."
        )


def _fixed(found: Identification, group: Understood) -> Iterator[str]:
    if group.fixed_ohm is not None:
        first, second = (found.readings.terminals[terminal] for terminal in group.group.core)
        yield (
            f"Between terminals {first} and {second}: {show(group.fixed_ohm, 'resistance')}, whatever the lever does: "
            "a resistor, a heater, or the winding of a motor if this is a throttle body."
        )


def doubts(found: Identification) -> Iterator[str]:
    """What the readings do not exclude, or what is unusual, a sentence each; of what was found."""
    names = found.readings.terminals
    for track in found.tracks:
        wiper = names[track.wiper]
        if not PLAUSIBLE_OHM[0] <= track.ohm <= PLAUSIBLE_OHM[1]:
            yield f"The track of wiper {wiper} has {show(track.ohm, 'resistance')}, which is unusual for a pedal."
        if abs(track.sweep) < 0.2:
            sweep = show(abs(track.sweep), "ratio")
            yield f"Wiper {wiper} goes over {sweep} of its track only: was the lever at its far stop?"
    for group in found.groups:
        tracks = group.best.tracks if group.best else ()
        ends = [frozenset(track.ends) for track in tracks]
        if len(set(ends)) < len(ends):
            yield "Tracks share supply and ground: one fault moves both. For a pedal that is a reason not to use it."
        elif len(tracks) > 1:
            yield "Tracks share one end: one high resistance there moves both."
    if not found.readings.both_ways():
        yield (
            "No pair was read with the leads changed over. Read each pair both ways once: a difference means "
            "electronics inside, and then this is no potentiometer module."
        )
