"""Whether each feed begins at a supply, passes a fuse, and is switched where it should be and nowhere else."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description import Place
from conversion.description.complaints import listed
from conversion.description.parts import Fuse, IgnitionSwitch, Relay, StopSwitch, Supply
from conversion.description.roles import group_of
from conversion.plan import Plan
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.wiring import feed_chain

_DIN = "DIN 72552, terminals 15 and 30 (numbers from memory)"


@rule("completeness/ignition-feed-unswitched", severity="FIX", sources=(_DIN, COMMON_PRACTICE))
def ignition_feed_unswitched(plan: Plan) -> Iterator[Found]:
    """A terminal 15 is fed without an ignition switch or a stop switch in its feed.

    Why: terminal 15 is live only while the ignition is on. Fed past the switch, the control unit or the lamp
    never goes off: the engine cannot be stopped with the key, and the battery runs down.
    Found in:
        conversion: devices.F2.fed_from = G1
    Put right:
        conversion: devices.F2.fed_from = S4
    Not seen: a switch that is bridged inside, and a feed that finds its way back through another device.
    """
    for chain, fed in _by_way(plan, "feed.15").items():
        if not any(isinstance(plan.description.parts[ref], IgnitionSwitch | StopSwitch) for ref in chain):
            yield Found(
                f"feed.15 of {listed(fed, 'and')}",
                _place(plan, fed[0], "feed.15"),
                f"Terminal 15 of {listed(fed, 'and')} comes from {_way(chain)}, past every switch; it is live with "
                "the ignition off, and should not be.",
                f"Feed {listed(fed, 'and')} from a fuse behind the ignition switch.",
            )


@rule("completeness/permanent-feed-switched", severity="FIX", sources=(_DIN, COMMON_PRACTICE))
def permanent_feed_switched(plan: Plan) -> Iterator[Found]:
    """A terminal 30 is fed through a switch or a relay.

    Why: terminal 30 is always live. A control unit that loses it forgets the rest and full volts that it has
    learned, or never finishes its run-down; a brake switch that loses it no longer reports.
    Found in:
        conversion: devices.F1.fed_from = S3
    Put right:
        conversion: devices.F1.fed_from = G1
    Not seen: a battery isolator that is not described. One that is described as a switch is found here: it then
    belongs on record that learned values are lost with it.
    """
    for chain, fed in _by_way(plan, "feed.30").items():
        kinds = IgnitionSwitch | StopSwitch | Relay
        switches = [ref for ref in chain if isinstance(plan.description.parts[ref], kinds)]
        if switches:
            yield Found(
                f"feed.30 of {listed(fed, 'and')}",
                _place(plan, fed[0], "feed.30"),
                f"Terminal 30 of {listed(fed, 'and')} comes from {_way(chain)}; {listed(switches, 'and')} can cut it, "
                "and it should always be live.",
                f"Feed {listed(fed, 'and')} from a fuse that hangs on the supply itself.",
            )


@rule("completeness/feed-without-supply", severity="FIX", sources=(COMMON_PRACTICE,))
def feed_without_supply(plan: Plan) -> Iterator[Found]:
    """A feed can be followed back, but not to a supply.

    Why: what is not followed to its beginning is not known to be fused, switched or live.
    Found in:
        conversion: devices.F4.fed_from removed
    Put right:
        conversion: devices.F4.fed_from = G1
    Not seen: whether the supply can give what all feeds take together.
    """
    for last, behind in dead_ends(plan).items():
        yield Found(
            last,
            plan.description.place("devices", last),
            f"Nothing feeds {last}, so the feed of {listed(behind, 'and')} should end at a supply and ends at {last}.",
            f"Name what feeds {last} in its 'fed_from', back to the battery.",
        )


@rule("completeness/feed-without-fuse", severity="FIX", sources=(COMMON_PRACTICE,))
def feed_without_fuse(plan: Plan) -> Iterator[Found]:
    """A feed passes no fuse on its way from the supply.

    Why: a wire that chafes through to chassis then carries what the battery gives, and burns with the loom
    around it, the sensor wires included.
    Found in:
        conversion: devices.K2.fed_from.'feed.in' = G1
    Put right:
        conversion: devices.K2.fed_from.'feed.in' = F3
    Not seen: where the fuse sits and whether its rating suits the wire behind it; both have rules of their own.
    """
    for device, role, chain in _fed(plan):
        # What is fed through a device that has no fuse before it is told of with that device.
        if len(chain) == 1 and not any(isinstance(plan.description.parts[ref], Fuse) for ref in (device, *chain)):
            yield Found(
                f"{device} {role}",
                _place(plan, device, role),
                f"'{role}' of {device} comes from {_way(chain)} without a fuse; it should pass at least one.",
                f"Put a fuse next to the supply and feed {device} from it.",
            )


def _by_way(plan: Plan, role: str) -> dict[tuple[str, ...], list[str]]:
    """The devices with a feed role by the way on which it comes."""
    ways: dict[tuple[str, ...], list[str]] = {}
    for device, each, chain in _fed(plan):
        if each == role:
            ways.setdefault(chain, []).append(device)
    return ways


def _fed(plan: Plan) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Each feed role of each device that something feeds: device, role, and the way back to the supply."""
    for device in plan.description.parts:
        for role in _feed_roles(plan, device):
            chain = feed_chain(plan.description, device, role)
            if chain:
                yield device, role, chain


def _place(plan: Plan, device: str, role: str) -> Place:
    return plan.description.place("devices", device, "fed_from", role)


def _feed_roles(plan: Plan, device: str) -> dict[str, None]:
    cavities = plan.description.parts[device].cavities()
    return dict.fromkeys(role for _, _, form in cavities for role in form.roles if group_of(role) == "feed")


def dead_ends(plan: Plan) -> dict[str, list[str]]:
    """Devices that feed others, are no supply and are fed by nothing; with the devices behind them."""
    ends: dict[str, dict[str, None]] = {}
    for device, _, chain in _fed(plan):
        if not isinstance(plan.description.parts[chain[-1]], Supply):
            ends.setdefault(chain[-1], {})[device] = None
    return {last: list(behind) for last, behind in ends.items()}


def _way(chain: tuple[str, ...]) -> str:
    return " fed from ".join(chain)
