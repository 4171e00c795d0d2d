"""Feeds, switches and the lamp: what stands around the sensors."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist.failure import mode as words
from conversion.checklist.failure.mode import FailureMode
from conversion.checklist.job import Job
from conversion.checklist.saying import of, said
from conversion.checklist.volts import unpowered_opening
from conversion.plan import engine_stops


def supporting_faults(job: Job) -> Iterator[FailureMode]:
    """One for each thing that is described, and for those that should be and are not."""
    yield _feed(job)
    yield _ground(job)
    yield _relay_stays(job)
    yield _brake(job)
    if list(job.of_kind("clutch-switch")):
        yield FailureMode(
            "clutch-lost",
            "Clutch switch lost",
            "The control unit sees one position of the clutch for ever.",
            "The description has no check of it.",
            "The engine may flare when the gear is changed, or cruise control stays off.",
            words.AT_SERVICE,
            "no check described",
            try_it=True,
        )
    for contact, name in (("idle", "Idle-validation contact"), ("kickdown", "Kick-down contact")):
        if job.module and getattr(job.module[1], f"{contact}_contact") is not None:
            yield FailureMode(
                f"{contact}-lost",
                f"{name} lost",
                "The contact says the same at every lever angle.",
                "The description has no check of the contact against the tracks.",
                words.NOTHING,
                words.AT_SERVICE,
                "no check described",
                try_it=True,
            )
    yield _lamp(job)
    yield _stop(job)


def _feed(job: Job) -> FailureMode:
    opening = said(lambda: of(unpowered_opening(job)))
    rests = opening if opening.startswith("cannot") else f"the springs leave the plate {opening} open"
    return FailureMode(
        "feed-lost",
        f"Feed of {job.unit_name} lost: fuse, relay, ignition switch or wire",
        f"The motor has no power; plate: {rests}. Injection and ignition stop as well if the same feed runs them.",
        "Nothing, since it is off. A fault is stored when the feed comes back, if it keeps one.",
        "The engine dies or idles. Brakes and steering get heavy after a few strokes.",
        "Clutch down, roll to a safe place, hazard lamps. Look at the fuse before it is changed: find out why it blew.",
        "no check described",
    )


def _ground(job: Job) -> FailureMode:
    shared = job.unit is not None and job.unit[1].motor_ground == "shared with sensors"
    return FailureMode(
        "ground-weak",
        f"Ground of {job.unit_name} weak: loose or rusty stud",
        "The motor returns through the sensors' ground, and its current lifts all tracks together."
        if shared
        else "The motor's current lifts the control unit's ground against the body.",
        "Both tracks move together, so their agreement says nothing.",
        "An idle that wanders with lamps and fan, a lamp now and then.",
        "Stop when the lamp lights. Clean the stud and read the drop across it with the engine running.",
        "no check described",
    )


def _relay_stays(job: Job) -> FailureMode:
    relays = ", ".join(job.of_kind("relay"))
    return FailureMode(
        "relay-stays",
        f"Main relay {relays} stays closed, or its drive is shorted"
        if relays
        else "Power of the throttle cannot be cut",
        "The power stays on although the control unit lets go of the relay.",
        "The description has no check of it.",
        "The engine or the control unit stays on after the key is off.",
        "Stop switch. Then the battery. Do not use the car before the relay is changed.",
        "no check described",
    )


def _brake(job: Job) -> FailureMode:
    unit = job.unit[0] if job.unit else None
    both = unit is not None and all(job.terminals_of(unit, f"brake.{which}") for which in ("make", "break"))
    return FailureMode(
        "brake-lost",
        "Brake switch lost, or one of its contacts",
        "The two contacts no longer say the opposite of one another."
        if both
        else "The one contact says the same for ever.",
        "With two contacts it can be noticed, if the control unit compares them; the description does not say so."
        if both
        else "With one contact, or none, it cannot be noticed.",
        "Brake lamps stay off or on. The control unit no longer knows that the driver brakes.",
        "Do not drive with dark brake lamps. A check that lets the brake win is gone as well.",
        "no check described",
        try_it=True,
    )


def _lamp(job: Job) -> FailureMode:
    lamps = ", ".join(job.of_kind("warning-lamp"))
    return FailureMode(
        "lamp-dead",
        f"Warning lamp {lamps} dead" if lamps else "No warning lamp is described",
        "Faults are noticed and nobody is told.",
        "The description has no check of the lamp.",
        "No lamp when the ignition is switched on.",
        "Look for it at every start. No lamp, no drive.",
        "no check described",
    )


def _stop(job: Job) -> FailureMode:
    stops = engine_stops(job.description, job.unit[0]) if job.unit else ()
    others = f" {len(stops)} ways to stop are described: {', '.join(stops)}." if len(stops) > 1 else ""
    return FailureMode(
        "stop-fails",
        f"Stop switch {stops[0]} does not open" if stops else "No way to shut the engine off is described",
        "The feed of the control unit stays on when it is operated." + others,
        "Nothing: it is only seen when it is used.",
        "The engine runs on.",
        "Use the next way: ignition off, or stall it in gear on the brake. Try every stop once a month, standing.",
        "no check described",
    )
