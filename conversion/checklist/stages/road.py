"""From the yard to the road, in small steps, and what is looked at again afterwards."""

from __future__ import annotations

from conversion.checklist import words
from conversion.checklist.holding import above_note
from conversion.checklist.job import Job
from conversion.checklist.model import Stage
from conversion.checklist.writer import StageWriter, row


def road(job: Job) -> Stage:
    """Away from traffic first, then on the road once it may be used there."""
    work = StageWriter("road")
    work.caution(words.REDUNDANCY)
    work.hold(
        "before-the-road",
        "Before the road",
        "A second person goes through all pages. What is left here has to be cleared first.",
        findings=above_note(job.findings),
        rows=[
            row("All boxes of the stages before are filled in, and within their limits"),
            row("The questions of the roadworthiness page are asked and answered, in writing where it matters"),
            row("The insurer knows of the conversion"),
            row("No fault stored, warning lamp out"),
        ],
    )
    work.step(
        "On private, level ground without traffic, at walking pace: pull away, let go of the pedal, brake. Ten times.",
        "the car slows each time the pedal is released",
        cautions=(words.REDUNDANCY,),
    )
    work.step(
        "There, at a standstill with the engine idling, use the stop switch once more.",
        "the engine stops at once",
        cautions=(words.STALLED,),
    )
    work.step(
        "Raise the speed in steps. At each, press to half and let go; press to full and let go.",
        "no hanging, no jerk, no lamp",
    )
    work.step(
        "Drive over a rough road with the pedal held still. The engine's speed must not flicker: if it does, a "
        "terminal is loose.",
        "steady",
    )
    work.step(
        "Back in the workshop: look at every paint mark, lock nut, captive washer, spring and clip. Read the stored "
        "faults.",
        rows=[
            row("Paint marks unbroken"),
            row("Springs on their anchors, none rubbed"),
            row("Loom not chafed, not hot"),
            row("Pad's travel and lever's angle as at fitting"),
            row("Stored faults", "none"),
        ],
        cautions=(words.HOT,),
    )
    work.step(
        "Put these pages, the photographs and the description into the car's file. Look at stops, springs and link "
        "again after the first week, and at every service; take one spring out in turn each time.",
        unit="",
    )
    return work.finished()
