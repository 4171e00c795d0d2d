"""Whether every wire is as thick as its load, its fuse, its zone and its drop ask, and what the sensors lose."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from conversion.description import Missing, Place
from conversion.description.complaints import listed
from conversion.description.limit_forms import LOOM_SHARE
from conversion.loom.sizes import SizeChoice
from conversion.plan import Plan
from conversion.plan.loom.loads import Load
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.sensing import Sensor

_BALANCE = "Churchill and Chu, 1975: heat of a cylinder in still air (from memory)"
_BUNCH = "BS 7671, table 4C1: bunched cables"
_ISO = "ISO 6722-1: short-term ageing 25 K above the class (from memory)"
_FAA_DROP = "FAA AC 43.13-1B, table 11-6: 0.5 V continuous, 1 V intermittent in a 14 V system (from memory)"


@rule("loom/size-too-small", severity="FIX", sources=(_BALANCE, _BUNCH, _ISO, COMMON_PRACTICE))
def size_too_small(plan: Plan) -> Iterator[Found]:
    """A wire is described thinner than its load, its fuse or its zone asks.

    Why: too thin for its load it ages and grows brittle; too thin for its fuse it is the fuse, and burns where nobody
    looks, with the loom around it.
    Found in:
        conversion: loom.wires.3 = {role: feed.87, size: 0.5 mm², reason: left over}
    Put right:
        conversion: loom.wires.3.size = 2.5 mm²
    Not seen: strands that are cut or nicked at a crimp, and heat of a neighbour that is not described.
    """
    for choice in plan.sizes.choices.values():
        if choice.decided_by != "said":
            continue
        unmet = [limit for limit in choice.limits if limit.name in ("load", "fuse", "least")]
        worst = max(unmet, key=lambda limit: limit.size_mm2, default=None)
        if worst is not None and worst.enough and worst.size_mm2 > choice.size_mm2 * (1 + 1e-9):
            yield Found(
                choice.tag,
                _place(plan, choice.tag),
                f"{choice.tag} is {show(choice.size_mm2, 'area')}; it should be at least "
                f"{show(worst.size_mm2, 'area')}. {worst.words}",
                f"Give {choice.tag} a 'size' of {show(worst.size_mm2, 'area')} under 'loom.wires', or take its size "
                "out and let it be chosen.",
            )


@rule("loom/no-size-enough", severity="FIX", sources=(_BALANCE, "ISO 6722-1: classes of insulation (from memory)"))
def no_size_enough(plan: Plan) -> Iterator[Found]:
    """No wire that is sold is thick enough, or the air alone is hotter than the insulation stands.

    Why: insulation above its class hardens and cracks within months, and what it kept apart then touches.
    Found in:
        conversion: loom.insulation = 80 °C
    Put right:
        conversion: loom.insulation = 105 °C
    Not seen: heat that radiates from an exhaust onto a run whose air is cooler.
    """
    by_cause: dict[str, list[str]] = defaultdict(list)
    for choice in plan.sizes.choices.values():
        unmet = next((limit for limit in choice.limits if not limit.enough), None)
        if unmet is not None:
            by_cause[_hot_passage(plan, choice) or unmet.words].append(choice.tag)
    for cause, tags in by_cause.items():
        yield Found(
            f"loom, {tag_words(tags)}",
            plan.description.place("loom"),
            f"No size will do for {tag_words(tags)}. {cause}",
            "Take wire of a higher class and write it as 'insulation', or lead the run through a cooler place.",
        )


@rule("loom/load-unknown", severity="NOTE", sources=(COMMON_PRACTICE,))
def load_unknown(plan: Plan) -> Iterator[Found]:
    """What a device draws is not described, so that its wires have sizes by habit.

    Why: a size by habit is right in most cars. Whether it is in this one, nobody has shown.
    Found in:
        K1: draws.'feed.15' removed
    Put right:
        K1: draws.'feed.15' = 0.3 A
    Not seen: currents that are described and wrong.
    """
    unknown: dict[str, list[Load]] = defaultdict(list)
    for load in plan.sizes.loads.loads:
        if load.current_a is None:
            unknown[load.device or load.name].append(load)
    for subject, loads in unknown.items():
        tags = {tag for load in loads for tag in load.way.every}
        habit = [tag for tag, choice in plan.sizes.choices.items() if tag in tags and choice.decided_by == "habit"]
        if habit:
            yield Found(
                subject,
                plan.description.place("devices", loads[0].device) if loads[0].device else _place(plan, habit[0]),
                f"The current of {listed([load.name for load in loads], 'and')} is not known; {tag_words(habit)} "
                f"{'has its size' if len(habit) == 1 else 'have their sizes'} by habit.",
                "Measure it, or find it in the papers, and write it under 'draws' of the part.",
            )


@rule("loom/drop-too-much", severity="FIX", sources=(_FAA_DROP,))
def drop_too_much(plan: Plan) -> Iterator[Found]:
    """A load loses more voltage in its wires, out and back, than is allowed.

    Why: a control unit that runs at 11 V while the battery has 12.5 V resets when the engine is cranked, and a motor
    that is starved moves the plate late.
    Found in:
        conversion: loom.wires.1.size = 1.0 mm²
        conversion: loom.wires.2.size = 1.0 mm²
    Put right:
        conversion: loom.wires.1.size = 2.5 mm²
        conversion: loom.wires.2.size = 2.5 mm²
    Not seen: contacts, switches and fuses, which are not in this drop; and wires whose length is not known.
    """
    for drop in plan.sizes.drops:
        if drop.enough:
            continue
        choices = plan.sizes.choices
        thin = [tag for tag in drop.by_wire_v if choices[tag].needed_mm2 > choices[tag].size_mm2 * (1 + 1e-9)]
        most = max(drop.by_wire_v, key=lambda tag: drop.by_wire_v[tag])
        yield Found(
            drop.load,
            _place(plan, thin[0] if thin else most),
            f"{drop.load} loses {show(drop.drop_v, 'voltage')} on its way out and back; at most "
            f"{show(drop.allowed_v, 'voltage')} should be lost. Most is lost in {most}, "
            f"{show(drop.by_wire_v[most], 'voltage')}.",
            _thicker(thin, choices)
            if thin
            else "Shorten the way, or take the load from a relay of its own beside the battery.",
        )


@rule("loom/sensor-error", severity="FIX", sources=(COMMON_PRACTICE,))
def sensor_error(plan: Plan) -> Iterator[Found | Missing]:
    """The loom's own resistance takes more of the agreement between two tracks than it may.

    Why: what the wires take of the difference that passes is gone for the sensors' own tolerances, for heat and for
    age, and a sound car then lights its lamp.
    Found in:
        conversion: limits.loom_share = 0.1 %
    Put right:
        conversion: limits.loom_share = 10 %
    Not seen: contacts that age; and what a learned scale takes along.
    """
    limits = plan.description.conversion.limits
    allowed = limits.of_agreement if limits else LOOM_SHARE
    sensors: tuple[Sensor, ...] = ("pedal", "throttle")
    for sensor in sensors:
        try:
            costs, losses = plan.agreement_costs(sensor), plan.line_losses(sensor, plan.tracks(sensor))
        except Missing as missing:
            if plan.description.control_unit is not None:
                yield missing
            continue
        for cost in costs:
            if cost.share <= allowed:
                continue
            tags = [tag for name in cost.tracks for tag in (*losses[name].supply, *losses[name].ground)]
            yield Found(
                f"{sensor} tracks {' and '.join(cost.tracks)}",
                _place(plan, tags[0]) if tags else plan.description.place("loom"),
                f"The loom moves track {cost.tracks[0]} of the {sensor} by {1e3 * cost.own[0]:.1f} mV and track "
                f"{cost.tracks[1]} by {1e3 * cost.own[1]:.1f} mV. That is {show(cost.share, 'ratio')} of the "
                f"difference that passes; at most {show(allowed, 'ratio')} should be.",
                f"Take a larger 'size' for {tag_words(tags)}, or lead them a shorter way.",
            )


def tag_words(tags: Sequence[str], most: int = 8) -> str:
    """Tags as a sentence names them, the first few of many."""
    return listed(tags, "and") if len(tags) <= most else f"{', '.join(tags[:most])} and {len(tags) - most} more wires"


def _thicker(tags: list[str], choices: Mapping[str, SizeChoice]) -> str:
    wanted = listed([f"{show(choices[tag].needed_mm2, 'area')} for {tag}" for tag in tags], "and")
    return f"Take {wanted}, or take their sizes out and let them be chosen."


def _place(plan: Plan, tag: str) -> Place:
    return next(wire.place for wire in plan.wiring.wires if wire.tag == tag)


def _hot_passage(plan: Plan, choice: SizeChoice) -> str | None:
    """That the air is hotter than the insulation stands, where that is why no size will do."""
    hot = [each for each in plan.sizes.cases[choice.tag].passages if each.ambient_degc >= plan.sizes.insulation_degc]
    if not hot:
        return None
    worst = max(hot, key=lambda each: each.ambient_degc)
    return (
        f"In {worst.name} ({worst.zone}) the air alone has {show(worst.ambient_degc, 'temperature')}, and the "
        f"insulation stands {show(plan.sizes.insulation_degc, 'temperature')}."
    )
