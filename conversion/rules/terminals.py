"""Whether each place of a housing is accounted for, and each terminal has the wires that it should have."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import listed
from conversion.description.parts import PedalModule, SensingPart
from conversion.description.roles import meaning_of
from conversion.plan import Plan
from conversion.rules.feeds import dead_ends
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.wiring import Loose

_POSITION = ("pedal.", "throttle.")
_TO_CONTROL_UNIT = (*_POSITION, "brake.", "clutch.", "lamp.", "relay.")
# The need that tells of a terminal of the control unit without a partner, when it is open or waived.
_TOLD_WITH = {
    "brake.make": "brake-switch", "brake.break": "brake-switch", "clutch.signal": "clutch-switch",
    "lamp.drive": "warning-lamp", "relay.drive": "main-relay", "pedal.idle.signal": "idle-contact",
    "pedal.idle.ground": "idle-contact", "pedal.kickdown.signal": "kickdown-contact",
    "pedal.kickdown.ground": "kickdown-contact", "feed.15": "ignition-feed", "feed.30": "permanent-feed",
}  # fmt: skip


@rule("completeness/place-not-described", severity="FIX", sources=(COMMON_PRACTICE,))
def place_not_described(plan: Plan) -> Iterator[Found]:
    """A place of a housing is neither given a role nor called empty or unused.

    Why: an unnamed terminal is how a supply, a ground or a second signal is overlooked; and an empty place
    that is not plugged lets water reach its neighbours.
    Found in:
        B1: housings.A.positions = 8
        B1: housings.A.rows = [["1", "2", "3", "4"], ["5", "6", "7", "8"]]
    Put right:
        B1: housings.A.cavities.7 = empty
        B1: housings.A.cavities.8 = {unused: second idle contact that the control unit does not read}
    Not seen: whether a place that is called empty is.
    """
    for device, part, _ in plan.description.part_files():
        for name, housing in part.housings.items():
            absent = [place for place in housing.names if place not in housing.cavities]
            if absent:
                yield Found(
                    f"{device} housing {name}",
                    plan.description.part_place(device, "housings", name, "cavities"),
                    f"Housing {name} of {device} has {housing.positions} places and says nothing of "
                    f"{len(absent)}: {_first(absent)}.",
                    "Look into each of them and give it its role, or write 'empty', or 'unused:' with the reason.",
                )


@rule("completeness/position-terminal-open", severity="HOLD", sources=(COMMON_PRACTICE,))
def position_terminal_open(plan: Plan) -> Iterator[Found]:
    """A terminal of a position sensor or of the throttle motor has no partner.

    Why: a track without its supply, ground or signal is no track; the control unit reads a floating input. A
    motor with one lead moves nothing, or everything, when the other lead touches something.
    Found in:
        B1: housings.A.cavities.6 = {unused: not found}
    Put right:
        B1: housings.A.cavities.6 = pedal.b.signal
    Not seen: a wire that is described and not fitted.
    """
    yield from (_open(loose) for loose in _loose(plan) if loose.role.startswith(_POSITION))


@rule("completeness/terminal-open", severity="FIX", sources=(COMMON_PRACTICE,))
def terminal_open(plan: Plan) -> Iterator[Found]:
    """A terminal has a role, and no wire leads to it.

    Why: the role says that it needs one. A return that is missing finds its way through a neighbour; a feed
    that is missing leaves the device dead.
    Found in:
        conversion: devices.P1.fed_from removed
    Put right:
        conversion: devices.P1.fed_from = F2
    Not seen: a wire that is described and not fitted.
    """
    ends = dead_ends(plan)
    for loose in _loose(plan):
        # What feeds others and is fed by nothing is told once, with everything that hangs on it.
        told_with_feed = loose.role == "feed.in" and loose.terminal.device in ends
        if not loose.role.startswith(_POSITION) and not told_with_feed:
            yield _open(loose)


def _loose(plan: Plan) -> Iterator[Loose]:
    """The terminals without a partner, but for those that a finding on the whole device or on a need tells of."""
    description = plan.description
    unit = description.control_unit
    absent = [
        sensor
        for sensor, holder in (("pedal", description.pedal_module), ("throttle", description.throttle_body))
        if holder is None
    ]
    told = {answer.need for answer in plan.needs if answer.waived is not None or not answer.answered_by}
    for loose in plan.wiring.loose:
        if unit is None:
            with_other = loose.role.startswith(_TO_CONTROL_UNIT)
        else:
            with_device = loose.role.partition(".")[0] in absent
            with_need = _TOLD_WITH.get(loose.role) in told or loose.role in ("brake.make", "brake.break")
            with_other = loose.terminal.device == unit[0] and (with_device or with_need)
        if not with_other:
            yield loose


def _open(loose: Loose) -> Found:
    return Found(
        loose.terminal.name,
        loose.place,
        f"{loose.terminal.name} is for the {meaning_of(loose.role)} ('{loose.role}') and has no wire: {loose.why}.",
        "Describe its partner; or call the place unused with the reason, or leave its wire out with the reason.",
    )


@rule("completeness/track-terminal-missing", severity="HOLD", sources=(COMMON_PRACTICE,))
def track_terminal_missing(plan: Plan) -> Iterator[Found]:
    """A sensor track has not all of its three terminals: supply, ground and signal.

    Why: a track reads only with all three. A track whose ground is not a terminal returns through the body of
    the part, and reads whatever that body carries.
    Found in:
        B1: housings.A.cavities.5 = {unused: not found}
    Put right:
        B1: housings.A.cavities.5 = pedal.b.ground
    Not seen: two tracks that are joined inside the part.
    """
    for device, part in plan.description.parts.items():
        if not isinstance(part, SensingPart):
            continue
        sensor = "pedal" if isinstance(part, PedalModule) else "throttle"
        for track in part.tracks:
            words = [w for w in ("supply", "ground", "signal") if not part.places_of(f"{sensor}.{track}.{w}")]
            if words:
                roles = listed([f"'{sensor}.{track}.{word}'" for word in words], "and")
                yield Found(
                    f"{device} track {track}",
                    plan.description.part_place(device, "housings"),
                    f"Track {track} of {device} has {3 - len(words)} of 3 terminals; no place has {roles}.",
                    f"Find which terminal of {device} it is, by meter or from its papers, and write it there.",
                )


@rule("completeness/terminal-overfull", severity="FIX", sources=(COMMON_PRACTICE,))
def terminal_overfull(plan: Plan) -> Iterator[Found]:
    """More wires end in a terminal than it takes.

    Why: two conductors in a crimp made for one are held by neither; the looser one falls out later.
    Found in:
        conversion: loom.splices removed
    Put right:
        conversion: loom.splices = {Z1: {station: board, joins: [feed.15]},
          Z2: {station: board, joins: [feed.30, feed.coil]}}
    Not seen: whether the sizes of the wires suit the crimp.
    """
    for device in plan.description.parts:
        for terminal, form in plan.description.terminals(device):
            wires = plan.wiring.at(terminal)
            if len(wires) > form.holds:
                yield Found(
                    terminal.name,
                    plan.description.place("devices", device),
                    f"{len(wires)} wires end in {terminal.name} ({_first([wire.tag for wire in wires])}); "
                    f"it holds {form.holds}.",
                    "Join them at a splice under 'loom.splices', or use a terminal that 'holds' as many.",
                )


def _first(words: list[str], most: int = 12) -> str:
    """The words as a sentence lists them, the end of a long list only counted."""
    if len(words) <= most:
        return listed(words, "and")
    return f"{', '.join(words[:most])} and {len(words) - most} more"
