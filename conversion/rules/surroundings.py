"""What the control unit needs to see and reach in the car: brake and clutch, the warning lamp, a way to stop it."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import listed
from conversion.description.parts import BrakeSwitch, ClutchSwitch, Fuse, Part, StopSwitch, WarningLamp
from conversion.description.roles import group_of
from conversion.plan import Plan, engine_stops
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.wiring import feed_chain

_BRAKE = {"brake.make": "the contact that closes on braking", "brake.break": "the contact that opens on braking"}


@rule(
    "surroundings/brake-contact-missing",
    severity="FIX",
    sources=("Formula SAE Rules 2026 v1.0, T.4.3", COMMON_PRACTICE),
)
def brake_contact_missing(plan: Plan) -> Iterator[Found]:
    """The control unit does not read both contacts of the brake switch.

    Why: two contacts that change against each other show a failed switch or a lost wire; with one, the control
    unit takes a dead switch for a foot that is not on the brake. It then neither closes the throttle when both
    pedals are pressed nor says anything. It is a FIX and not a HOLD, since nothing opens the throttle by it.
    Found in:
        K1: housings.A.cavities.11 = empty
        S1: housings.A.cavities.4 = empty
    Put right:
        K1: housings.A.cavities.11 = brake.break
        S1: housings.A.cavities.4 = brake.break
    Not seen: whether the control unit compares the two. One that has a single brake input needs 'brake-switch'
    waived, with that reason.
    """
    unit = plan.description.control_unit
    if unit is None or "brake-switch" in plan.description.conversion.waived:
        return
    absent = [role for role in _BRAKE if not _wired(plan, role, BrakeSwitch)]
    # Without a contact at all an open need tells it; a control unit that asks for none is told of here.
    if absent and (len(absent) < len(_BRAKE) or "brake-switch" not in unit[1].needs):
        contacts = listed([f"{_BRAKE[role]} ('{role}')" for role in absent], "and")
        switch = next(iter(plan.description.devices_of(BrakeSwitch)), None)
        yield Found(
            switch or "brake switch",
            plan.description.place("devices", *([switch] if switch else [])),
            f"{unit[0]} reads {len(_BRAKE) - len(absent)} of 2 brake contacts; {contacts} does not reach it.",
            f"Fit a brake switch with both contacts and wire each to its own terminal of {unit[0]}.",
        )


@rule("surroundings/brake-contacts-share-fuse", severity="NOTE", sources=(COMMON_PRACTICE,))
def brake_contacts_share_fuse(plan: Plan) -> Iterator[Found]:
    """Both contacts of the brake switch are fed through one fuse.

    Why: that fuse takes both away at once. The control unit sees it only if it expects one of them live.
    Found in:
        conversion: devices.F2.fed_from = F1
    Put right:
        conversion: devices.F2.fed_from = S4
    Not seen: which contact inside the switch belongs to which feed.
    """
    for device in plan.description.devices_of(BrakeSwitch):
        chains = _feed_chains(plan, device)
        both = _wired(plan, "brake.make", BrakeSwitch) and _wired(plan, "brake.break", BrakeSwitch)
        if not both or not all(chains.values()):
            continue
        shared = [ref for ref in _common(chains) if isinstance(plan.description.parts[ref], Fuse)]
        if shared:
            yield Found(
                device,
                plan.description.place("devices", device, "fed_from"),
                f"Both contacts of {device} are fed through {listed(shared, 'and')}; two feeds should share no fuse.",
                f"Feed one contact of {device} from terminal 30 and the other from terminal 15, each through its fuse.",
            )


@rule("surroundings/no-warning-lamp", severity="FIX", sources=(COMMON_PRACTICE,))
def no_warning_lamp(plan: Plan) -> Iterator[Found]:
    """The control unit lights no warning lamp, and does not ask for one.

    Why: a redundant pedal is safe after a first fault only if the driver hears of it and stops. Without a lamp
    the first fault stays, until the second one.
    Found in:
        K1: needs = [pedal, throttle, brake-switch]
        conversion: devices.P1 removed
    Put right:
        conversion: devices.P1 = {part: "treadle:warning-lamp", place: instrument panel, station: panel, fed_from: F2}
    Not seen: whether the lamp can be seen from the seat, and whether it lights at key-on for a test. A control
    unit that warns in another way needs 'warning-lamp' among its needs, and waived with that reason.
    """
    unit = plan.description.control_unit
    if unit and "warning-lamp" not in unit[1].needs and not _wired(plan, "lamp.drive", WarningLamp):
        yield Found(
            f"{unit[0]} lamp.drive",
            plan.description.part_place(unit[0], "needs"),
            f"No warning lamp hangs on {unit[0]}; one is needed, since a fault has to reach the driver.",
            f"Wire a warning lamp to '{unit[0]}' by the role 'lamp.drive', and list 'warning-lamp' in its needs.",
        )


@rule(
    "surroundings/no-engine-stop",
    severity="HOLD",
    sources=(
        "Formula SAE Rules 2026 v1.0, IC.4.7 (what is cut when the throttle does not close)",
        COMMON_PRACTICE,
    ),
)
def no_engine_stop(plan: Plan) -> Iterator[Found]:
    """No switch cuts the control unit's feed, so nothing shuts the engine off.

    Why: when the throttle stays open, the last thing that helps is to take the control unit's feed away. A
    reason cannot waive it.
    Found in:
        K1: needs = [pedal, throttle, brake-switch]
        conversion: devices.F2.fed_from = F1
    Put right:
        conversion: devices.F2.fed_from = S4
    Not seen: a feed that reaches the control unit another way, through a relay that holds itself or an alternator.
    """
    unit = plan.description.control_unit
    if unit is None or engine_stops(plan.description, unit[0]):
        return
    # The open need is told of as such; one that is waived, or never asked for, is told of here.
    waived = plan.description.conversion.waived
    if "engine-stop" not in unit[1].needs or "engine-stop" in waived:
        feeds = [role for role in ("feed.15", "feed.87") if unit[1].places_of(role)]
        ways = [f"'{role}' comes from {_way(plan, unit[0], role)}" for role in feeds]
        yield Found(
            f"{unit[0]} feed",
            plan.description.place("devices", unit[0], "fed_from"),
            f"No switch cuts {unit[0]}: {listed(ways, 'and') if ways else 'it has no switched feed'}.",
            f"Put the ignition switch, and a stop switch within reach, into the feed of {unit[0]}.",
        )


@rule("surroundings/stop-switch-cuts-nothing", severity="FIX", sources=(COMMON_PRACTICE,))
def stop_switch_cuts_nothing(plan: Plan) -> Iterator[Found]:
    """A stop switch stands in none of the control unit's switched feeds.

    Why: a switch that everyone believes in and that stops nothing is worse than none.
    Found in:
        conversion: devices.F2.fed_from = S3
    Put right:
        conversion: devices.F2.fed_from = S4
    Not seen: a stop switch that opens something else, such as the fuel pump or the ignition coils.
    """
    unit = plan.description.control_unit
    if unit is None:
        return
    stops = engine_stops(plan.description, unit[0])
    for device in plan.description.devices_of(StopSwitch):
        if device not in stops:
            feeds = [other for other in plan.description.parts if device in _upstream(plan, other)]
            behind = f"it feeds {listed(feeds, 'and')}" if feeds else "it feeds nothing"
            yield Found(
                device,
                plan.description.place("devices", device),
                f"{device} is not in the feed of 'feed.15' or 'feed.87' of {unit[0]} ({behind}); it should cut one.",
                f"Feed {unit[0]} by way of {device}.",
            )


@rule("surroundings/clutch-not-read", severity="NOTE", sources=(COMMON_PRACTICE,))
def clutch_not_read(plan: Plan) -> Iterator[Found]:
    """The control unit reads no clutch switch, and does not ask for one.

    Why: with a manual gearbox the control unit uses it to close the throttle between gears and to end a speed
    hold; without it the engine flares. It says nothing about safety by itself.
    Found in:
        K1: needs = [pedal, throttle, brake-switch]
        K1: housings.A.cavities.12 = empty
        conversion: devices.S2 removed
    Put right:
        K1: housings.A.cavities.12 = clutch.signal
        conversion: devices.S2 = {part: parts/clutch-switch.yaml, place: clutch pedal box, station: pedal, fed_from: F2}
    Not seen: whether the gearbox is automatic; then it needs none.
    """
    unit = plan.description.control_unit
    if unit and "clutch-switch" not in unit[1].needs and not _wired(plan, "clutch.signal", ClutchSwitch):
        yield Found(
            f"{unit[0]} clutch.signal",
            plan.description.part_place(unit[0], "needs"),
            f"{unit[0]} reads no clutch switch; with a manual gearbox one is usual.",
            "Ask in its papers whether it wants one; fit a clutch switch if it does.",
        )


def _wired(plan: Plan, role: str, kind: type[Part]) -> bool:
    """Whether a wire joins the role of the control unit to a device of a kind."""
    unit = plan.description.control_unit
    devices = {terminal.device for terminal in plan.wiring.nets.get(role, ())}
    dropped = {left for left, _ in plan.wiring.left_out}
    met = any(isinstance(plan.description.parts[device], kind) for device in devices)
    return unit is not None and unit[0] in devices and met and role not in dropped


def _feed_chains(plan: Plan, device: str) -> dict[str, tuple[str, ...]]:
    cavities = plan.description.parts[device].cavities()
    roles = dict.fromkeys(role for _, _, form in cavities for role in form.roles if group_of(role) == "feed")
    return {role: feed_chain(plan.description, device, role) for role in roles}


def _upstream(plan: Plan, device: str) -> set[str]:
    return {reference for chain in _feed_chains(plan, device).values() for reference in chain[:1]}


def _common(chains: dict[str, tuple[str, ...]]) -> list[str]:
    """What stands in every chain, in the order of the first."""
    first, *others = chains.values()
    return [reference for reference in first if all(reference in chain for chain in others)]


def _way(plan: Plan, device: str, role: str) -> str:
    return " fed from ".join(feed_chain(plan.description, device, role)) or "nowhere"
