"""What a pedal input reads when its wire is broken, and whether that is noticed."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description import Missing
from conversion.description.parts import NoPull
from conversion.plan import Plan
from conversion.quantities import Quantity
from conversion.rules.registry import Found, rule
from conversion.rules.sensors import Reading, percent, reading, span, volts
from conversion.sensing.single_faults import FaultReading, open_signal

_PULL = "Formula SAE Rules 2026 v1.0, T.4.2.3: a pull-up or pull-down brings an open input to 0 %"
_OUTSIDE = (
    "Formula SAE Rules 2026 v1.0, T.4.2.10: an open reads outside the normal range, such as below 0.5 V or above 4.5 V"
)


@rule("redundancy/no-pull", severity="HOLD", sources=(_PULL,))
def no_pull(plan: Plan) -> Iterator[Found | Missing]:
    """An input for a pedal track has no pull resistor.

    Why: a broken signal wire leaves the input floating. It may read anything, also a pressed pedal, and may follow
    the other track closely enough to pass.
    Found in:
        K1: accepts.pedal.tracks.a.pull = none
    Put right:
        K1: accepts.pedal.tracks.a.pull = {to: ground, resistance: 220 kohm ± 5 %}
    Not seen: a resistor at the module's end; it does not help when the wire between breaks.
    """
    read = reading(plan, "pedal")
    if read is None:
        return
    for track in read.tracks:
        pull = read.accepts.tracks[track].pull  # type: ignore[index]
        place = read.input_place("tracks", track, "pull")
        if pull is None:
            path = f"{read.unit}: accepts.pedal.tracks.{track}.pull"
            yield Missing(path, place, "a broken signal wire may read anything")
        elif isinstance(pull, NoPull):
            yield Found(
                read.unit,
                place,
                f"The input of {read.unit} for track {track} has no pull resistor: with its wire broken it floats. "
                "It should have one that takes it to rest and out of the valid range.",
                f"Add a resistor between that input and its ground, at {read.unit}, and describe it as 'pull'.",
            )


@rule("redundancy/open-unnoticed", severity="HOLD", sources=(_OUTSIDE, _PULL))
def open_unnoticed(plan: Plan) -> Iterator[Found | Missing]:
    """With the signal wire of a pedal track broken, the input reads a value that counts as valid.

    Why: the pull resistor decides what a broken wire reads. If that lies in the valid range, the break looks like a
    pedal position.
    Found in:
        K1: accepts.pedal.tracks.a.valid = 0.0 V..4.65 V
    Put right:
        K1: accepts.pedal.tracks.a.valid = 0.45 V..4.65 V
    Not seen: leakage over wet terminals, which lifts an input with a weak pull resistor.
    """
    read = reading(plan, "pedal")
    if read is None:
        return
    for track, floating in _broken(plan, read):
        valid = _window(read, track, "valid")
        if isinstance(valid, Missing):
            yield valid
        elif floating.least_v <= valid.high and floating.most_v >= valid.low:
            yield Found(
                read.unit,
                read.input_place("tracks", track, "valid"),
                f"With the signal wire of track {track} broken, {read.unit} reads {_reads(floating)}, which lies "
                f"within the {span(valid)} that it takes as valid; it should lie outside.",
                "Narrow the valid range, or pull the input the other way.",
            )


@rule("redundancy/open-reads-pressed", severity="NOTE", sources=(_PULL,))
def open_reads_pressed(plan: Plan) -> Iterator[Found | Missing]:
    """With the signal wire of a pedal track broken, the input is pulled toward a pressed pedal.

    Why: the rule book wants an open input to go to 0 %. The valid range notices the break all the same (that it
    does is a HOLD of its own), yet until it has done so the input asks for full throttle.
    Found in:
        K1: accepts.pedal.tracks.a.pull = {to: supply, resistance: 220 kohm ± 5 %}
    Put right:
        K1: accepts.pedal.tracks.a.pull = {to: ground, resistance: 220 kohm ± 5 %}
    Not seen: what the control unit does in the time until it has noticed.
    """
    read = reading(plan, "pedal")
    if read is None:
        return
    for track, floating in _broken(plan, read):
        rest, full = _window(read, track, "rest"), _window(read, track, "full")
        for window in (rest, full):
            if isinstance(window, Missing):
                yield window
        if isinstance(rest, Missing) or isinstance(full, Missing):
            continue
        middle = (floating.least_v + floating.most_v) / 2
        share = (middle - rest.nominal) / (full.nominal - rest.nominal) if full.nominal != rest.nominal else 0.0
        if share > 0.0:
            yield Found(
                read.unit,
                read.input_place("tracks", track, "pull"),
                f"With the signal wire of track {track} broken, {read.unit} reads {_reads(floating)}, "
                f"{percent(100.0 * share)} of the way to full by its windows; the rule book asks for 0 % or less.",
                "Where the control unit lets you choose, pull the input the other way.",
            )


def _broken(plan: Plan, read: Reading) -> Iterator[tuple[str, FaultReading]]:
    """Each track whose input has a known pull resistor, with what it reads when its wire is broken."""
    for track in read.tracks:
        floating = open_signal(plan.pedal_tracks[track].model)
        if floating is not None:
            yield track, floating


def _window(read: Reading, track: str, which: str) -> Quantity | Missing:
    try:
        return read.window(track, which)
    except Missing as missing:
        return missing


def _reads(floating: FaultReading) -> str:
    if floating.least_v == floating.most_v:
        return volts(floating.least_v)
    return f"{volts(floating.least_v)} to {volts(floating.most_v)}"
