"""Every second fault of a sensor after each first one that nothing notices, and the test that would find the first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from conversion.faults import Fault, Joined, Weakened
from conversion.faults.latent import First, Second, follow, waiting_faults
from conversion.faults.verdict import Verdict
from conversion.plan.faults.judged import FaultStudy

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class LatentPair:
    """A first fault that waits and a second one with which the engine opens farther than the foot asks.

    Attributes:
        first: The fault that waits.
        waits: How far it has grown.
        second: The one that comes.
        comes: What comes of it.
        pedal_percent: Per cent of the sound sensor where the rise is greatest.
        found_by: The test that would find the first one, as a sentence.
    """

    first: Fault
    waits: First
    second: Fault
    comes: Second
    pedal_percent: float
    found_by: str


@dataclass(frozen=True)
class LatentStudy:
    """The pairs of one sensor.

    Attributes:
        study: The single faults.
        waiting: How many first faults can wait, each in one or two states.
        pairs: The worst first; each state of a first fault with every second.
    """

    study: FaultStudy
    waiting: int
    pairs: tuple[LatentPair, ...]

    @property
    def worst_of_each(self) -> tuple[LatentPair, ...]:
        """Of each first fault the worst pair, the worst first."""
        seen: dict[str, LatentPair] = {}
        for pair in self.pairs:
            seen.setdefault(pair.first.name, pair)
        return tuple(seen.values())


def study_latent(study: FaultStudy, progress: Progress | None = None) -> LatentStudy:
    """Follow every fault of the circuit that nothing notices by every second one."""
    verdicts = _each_once(study)
    faults = [verdict.fault for verdict in verdicts]
    changes = [fault.change for fault in faults if isinstance(fault.change, Joined | Weakened)]
    alone = np.array([verdict.rise_percent for verdict in verdicts])
    inputs = list(study.read_at)
    waiting = waiting_faults(study.operating, changes, inputs, study.at_start, study.sweep, study.ceiling_v)
    unplugging = _unplugging(study, verdicts)
    pairs: list[LatentPair] = []
    for done, first in enumerate(waiting):
        if progress:
            progress(done, len(waiting))
        followed = follow(study.operating, first, changes, inputs, study.believer, study.sweep, study.ceiling_v, alone)
        test = _test(faults[first.index], [track for track, at in unplugging.items() if followed.silent[at]])
        pairs.extend(
            LatentPair(
                faults[first.index], first, faults[second.index], second,
                float(study.sweep.percent[second.position]), test,
            )
            for second in followed.seconds
        )  # fmt: skip
    pairs.sort(key=lambda pair: (-pair.comes.rise_at_rest_percent, -pair.comes.rise_percent))
    return LatentStudy(study, len({first.index for first in waiting}), tuple(pairs))


def _unplugging(study: FaultStudy, verdicts: list[Verdict]) -> dict[str, int]:
    """For each track whose lost signal is noticed everywhere in the sound car: the fault that takes the signal out."""
    found: dict[str, int] = {}
    for index, verdict in enumerate(verdicts):
        change = verdict.fault.change
        if not isinstance(change, Weakened) or verdict.noticed_share < 1.0:
            continue
        element = study.circuit.elements[change.element]
        for track in study.tracks:
            if element.kind == "contact" and f"{study.sensor}.{track}.signal" in element.roles:
                found.setdefault(track, index)
    return found


def _test(first: Fault, hidden: list[str]) -> str:
    """The test that would find a first fault.

    Args:
        first: The fault.
        hidden: Tracks whose signal can be taken out, with the first fault there, and nothing notices.
    """
    if hidden:
        return (
            f"Ignition on, engine off: take out the signal of track {hidden[0]}, press the pedal slowly. "
            "The lamp must light; with this fault it stays dark somewhere."
        )
    if isinstance(first.change, Joined):
        return f"All plugs out: the ohmmeter {_between(first)} must read open, also while the loom is moved."
    return "Both plugs out: the ohmmeter from end to end must read below 1 ohm, also while contacts and loom are moved."


def _between(first: Fault) -> str:
    """Where an ohmmeter goes for a bridge: its name begins with what it joins."""
    if first.kind == "bridge":
        return f"between {first.name.partition(' bridged')[0]}"
    other = {"to-battery": "battery positive", "to-chassis": "the body", "to-supply": "its supply's wire"}
    conductor = first.name.partition(" on ")[0]
    return f"from {conductor} to {other[first.kind]}" if first.kind in other else f"across {conductor}"


def _each_once(study: FaultStudy) -> list[Verdict]:
    """The faults of the circuit; an element that may gain any resistance may also be open, and counts once."""
    in_circuit = [v for v in study.verdicts if isinstance(v.fault.change, Joined | Weakened)]
    gaining = {
        v.fault.change.element
        for v in in_circuit
        if isinstance(v.fault.change, Weakened) and not v.fault.change.is_open
    }
    return [
        v
        for v in in_circuit
        if not (isinstance(v.fault.change, Weakened) and v.fault.change.is_open and v.fault.change.element in gaining)
    ]
