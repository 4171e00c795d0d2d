"""What is read at each switch, relay, fuse, lamp and supply by itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.readings import APART, JOINED
from conversion.checklist.saying import Limited, window
from conversion.checklist.writer import row
from conversion.description.parts import (
    BrakeSwitch,
    ClutchSwitch,
    Fuse,
    GroundPoint,
    IgnitionSwitch,
    OtherPart,
    Part,
    Relay,
    StopSwitch,
    Supply,
    WarningLamp,
)  # fmt: skip
from conversion.quantities import unit_of

_OHM = unit_of("resistance")
_KEY = "devices"
_LIGHTS = "lights, and is seen in daylight from the seat"


def device_rows(job: Job) -> Iterator[Row]:
    """Rows for every device that is no sensor and no control unit, in the order written."""
    for reference, part in job.description.parts.items():
        read = next((read for kind, read in _READ.items() if isinstance(part, kind)), None)
        if read is not None:
            yield from read(job, reference)


def _brake(job: Job, reference: str) -> Iterator[Row]:
    yield from _contact(job, reference, "brake.make", "make contact", APART, JOINED)
    yield from _contact(job, reference, "brake.break", "break contact", JOINED, APART)


def _contact(job: Job, reference: str, role: str, words: str, released: str, pressed: str) -> Iterator[Row]:
    word = role.rpartition(".")[2]
    for terminal in job.terminals_of(reference, role):
        start = f"{reference}, {words} at {terminal.name} to its feed"
        yield row(f"{start}: pedal released", released, _OHM, (_KEY, reference, f"{word} released"))
        yield row(f"{start}: pedal pressed", pressed, _OHM, (_KEY, reference, f"{word} pressed"))


def _clutch(job: Job, reference: str) -> Iterator[Row]:
    for terminal in job.terminals_of(reference, "clutch.signal"):
        yield row(
            f"{reference}, {terminal.name} to its feed: pedal released, then pressed",
            "one open, one closed",
            "",
            (_KEY, reference, "contact"),
        )


def _ignition(job: Job, reference: str) -> Iterator[Row]:
    ends = _through(job, reference)
    yield row(f"{reference}, {ends}: off", APART, _OHM, (_KEY, reference, "off"))
    yield row(f"{reference}, {ends}: on", JOINED, _OHM, (_KEY, reference, "on"))


def _stop(job: Job, reference: str) -> Iterator[Row]:
    ends = _through(job, reference)
    yield row(f"{reference}, {ends}: not operated", JOINED, _OHM, (_KEY, reference, "not operated"))
    yield row(f"{reference}, {ends}: operated, and it stays so", APART, _OHM, (_KEY, reference, "operated"))


def _relay(job: Job, reference: str) -> Iterator[Row]:
    coil = " to ".join(job.terminal_name(reference, role) for role in ("feed.coil", "relay.drive"))
    part = job.description.parts[reference]

    assert isinstance(part, Relay)
    resistance = job.part_described(part.coil_resistance, reference, "coil_resistance")
    yield row(f"{reference}, coil {coil}", resistance, _OHM, (_KEY, reference, "coil"))
    ends = _through(job, reference)
    yield row(f"{reference}, contact {ends}: coil without current", APART, _OHM, (_KEY, reference, "contact at rest"))
    yield row(f"{reference}, contact {ends}: coil fed", JOINED, _OHM, (_KEY, reference, "contact fed"))


def _fuse(job: Job, reference: str) -> Iterator[Row]:
    yield row(f"{reference}, {_through(job, reference)}: with the fuse in", JOINED, _OHM, (_KEY, reference, "through"))


def _lamp(job: Job, reference: str) -> Iterator[Row]:
    yield row(f"{reference}: fed between {_names(job, reference)}", _LIGHTS, "", (_KEY, reference, "lights"))


def _supply(job: Job, reference: str) -> Iterator[Row]:
    def expected() -> str:
        supply = job.supply_range()
        return Limited(f"within {window(supply)}", supply.low, supply.high, "voltage")

    yield row(f"{reference}: volts at its posts", expected, unit_of("voltage"), (_KEY, reference, "posts"))


def _ground(job: Job, reference: str) -> Iterator[Row]:
    yield row(f"{reference}, {job.conversion.devices[reference].place}: bare metal, toothed washer, tight")


def _other(job: Job, reference: str) -> Iterator[Row]:
    yield row(f"{reference}: {_names(job, reference)}", "as its own papers say")


def _through(job: Job, reference: str) -> str:
    return " to ".join(job.terminal_name(reference, role) for role in ("feed.in", "feed.out"))


def _names(job: Job, reference: str) -> str:
    return ", ".join(terminal.name for terminal, _ in job.description.terminals(reference)) or "no terminal described"


_READ: dict[type[Part], Callable[[Job, str], Iterator[Row]]] = {
    BrakeSwitch: _brake,
    ClutchSwitch: _clutch,
    IgnitionSwitch: _ignition,
    StopSwitch: _stop,
    Relay: _relay,
    Fuse: _fuse,
    WarningLamp: _lamp,
    Supply: _supply,
    GroundPoint: _ground,
    OtherPart: _other,
}
