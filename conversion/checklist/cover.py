"""What stands on the cover and on the last page: cautions, what was not checked, and who signs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from conversion.checklist import words
from conversion.checklist.holding import above_note, holds
from conversion.checklist.job import Job
from conversion.checklist.model import Caution, Stage
from conversion.description import Missing
from conversion.description.complaints import listed
from conversion.plan import Plan
from conversion.rules import Finding

COVER = "cover"

DEFERENCE = (
    "This plan does not say that the car is safe or legal. Local codes, the approval authority and a licensed "
    "practitioner have the last word, and where they differ from it they hold."
)

_NOT_CHECKED = (
    "Strength and stiffness of bracket, stops, link, lever and pedal.",
    "Tolerances that the description does not state: such a figure counts as exact, and chances are those of the "
    "stated limits, each figure independent of the others.",
    "Wear, play, dirt, ice and corrosion of ball joints, springs, terminals and tracks.",
    "What heats the loom besides its own currents and the described air, the real curves of its fuses, and currents "
    "that nobody described.",
    "Whether the loom can be laid where the description has it, and what rubs, shakes or wets it there.",
    "Faults outside the sensing circuits, faults inside the control unit, more than two at once, and two at once where "
    "the section on faults does not speak of pairs.",
    "Electromagnetic compatibility, and interference from ignition, starter and radio.",
    "The control unit's real software, its reaction times, and what it does with a fault.",
    "The engine, its fuelling, its emissions, its power and the gearbox behind it.",
    "Whether any part is genuine, sound, and what its papers say.",
)


@dataclass(frozen=True, slots=True)
class HoldSign:
    """One hold point in the table of signatures: its step, its title, how many findings stood in the way."""

    step: str
    title: str
    findings: int
    second_person: bool


@dataclass(frozen=True, slots=True)
class SignOff:
    """The last page.

    Attributes:
        vehicle: Which car it is.
        title: Of the conversion.
        builder: Who built it.
        revision: Of the description.
        date: Of the description, year-month-day.
        photographs: What each photo box is to show.
        holds: Every hold point, for who checked it and when.
        open_findings: What has to be cleared or explained before anybody signs.
        statement: What a signature means, and what it does not.
    """

    vehicle: str
    title: str
    builder: str
    revision: str
    date: str
    photographs: tuple[str, ...]
    holds: tuple[HoldSign, ...]
    open_findings: tuple[Finding, ...]
    statement: str


def cover_cautions(plan: Plan, findings: Sequence[Finding]) -> tuple[Caution, ...]:
    """What is to be read before any work; each stands again where the work is."""
    texts = [
        words.REDUNDANCY,
        words.FIRST_START,
        words.WELDING,
        words.LINES,
        words.PLATE,
        words.AIRBAG,
        words.FULL_FOOT,
        words.SEAL,
        words.EXHAUST,
    ]
    if Job(plan, tuple(findings)).has_powered_tracks:
        texts.insert(1, words.HALL)
    blocking = len(holds(findings))
    if blocking:
        texts.insert(0, _blocked(blocking))
    return tuple(Caution(text, COVER) for text in texts)


def _blocked(count: int) -> str:
    finding = "One finding says" if count == 1 else f"{count} findings say"
    return f"{finding} HOLD: do not fit, power or start before each is cleared."


def not_checked(plan: Plan) -> tuple[str, ...]:
    """What this plan says nothing about, and who has the last word."""
    extra = []
    conversion = plan.description.conversion
    if conversion.linkage is None:
        extra.append("Everything that moves: no linkage is described.")
    if conversion.loom is None:
        extra.append("Where wires run and how long they are: no loom is described.")
    first, *others = _NOT_CHECKED
    return (*extra, first, *_room(plan), *others, DEFERENCE)


def _room(plan: Plan) -> tuple[str, ...]:
    """What of the clearances was not checked: all of them, those whose figures lack, or what is not described."""
    try:
        fit = plan.fit
    except Missing:
        fit = None
    if fit is None:
        return (
            "Clearance of lever, link, pedal and shoe to anything in the footwell, and the gap to the brake pedal.",
            "Size and place of a recess in the bulkhead, and its seal.",
        )
    lacking = [kind for kind in fit.not_described] + [missing.path for missing in fit.unknown]
    beyond = f"Clearance to {listed(lacking, 'and')}: nothing is known of it." if lacking else ""
    return tuple(
        text
        for text in (
            beyond,
            "Clearance to what is not described among the obstacles, and of parts that bend, wear or come loose.",
            "The seal of the recess, and whether the bulkhead carries a load where it is cut.",
        )
        if text
    )


def sign_off(plan: Plan, findings: Sequence[Finding], stages: Sequence[Stage]) -> SignOff:
    """The page to sign, with every hold point of the stages of the checklist."""
    conversion = plan.description.conversion
    return SignOff(
        vehicle=conversion.vehicle.identity,
        title=conversion.title,
        builder=conversion.builder,
        revision=conversion.revision,
        date=conversion.date.isoformat(),
        photographs=_photographs(Job(plan, tuple(findings))),
        holds=tuple(
            HoldSign(step.number, step.hold.title, len(step.hold.findings), step.hold.second_person)
            for stage in stages
            for step in stage.steps
            if step.hold is not None
        ),
        open_findings=above_note(findings),
        statement=("I have done, or seen done, what these pages ask, and written down what was found. " + DEFERENCE),
    )


def _photographs(job: Job) -> tuple[str, ...]:
    return (
        "Identity plate of the car",
        "Pedal and cable as they were, with a tape in the picture",
        "Bulkhead, both sides, before it was cut",
        f"{job.module_name} on its bracket, lever at rest",
        "What joins pedal and lever, with its locks and paint marks, both ends",
        "Rest stop and full stop, locked and marked",
        "Each return spring on its own anchors",
        "Recess and grommet sealed, from both sides",
        "Loom laid out, with its labels",
        f"{job.unit_name} and its housing, plugged in",
        f"{job.body_name} with its housing, clear of the exhaust",
        "Fuses, relay and ground points",
        "Stop switch and warning lamp from the driver's seat",
    )
