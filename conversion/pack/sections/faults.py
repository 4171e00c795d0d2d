"""Faults: what each single fault of the loom makes the control unit believe, and which nothing notices."""

from __future__ import annotations

import math
from collections.abc import Sequence

from conversion.description import Missing
from conversion.drawings import Drawings
from conversion.faults.verdict import CATEGORIES, Verdict
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Points, Table
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.fault_pairs import pairs_blocks
from conversion.pack.sections.figures import or_gap
from conversion.pack.sections.pictures import left_out, pictures
from conversion.plan import Plan
from conversion.plan.faults.brake import brake_words, counted_words, verdict_braked
from conversion.plan.faults.groups import Alike, others_words, worst_groups
from conversion.plan.faults.judged import SENSORS, FaultStudy
from conversion.plan.faults.latent import LatentStudy
from conversion.plan.faults.words import (
    ABOUT,
    CATEGORY_WORDS,
    MOTOR,
    NO_SIZE,
    capital,
    closing,
    coverage,
    noticed_words,
    percent_words,
    read_words,
    size_words,
    where_words,
)
from conversion.quantities import number

WORST = 10
_NAMES = {"pedal": "Pedal", "throttle": "Throttle"}
_HOW = (
    "Each fault was made in the circuit of this loom: every wire and contact open, every contact with resistance, any "
    "two neighbours bridged, every conductor on the body, on its supply and on battery positive, supplies low and "
    "missing, tracks stuck, links parted, springs broken. The resistance at which a check just fails to notice is "
    "solved, so that the worst of all resistances stands here and not that of a few.",
    "The checks of both sensors count: a fault of the pedal that the throttle's checks notice is noticed. The plate is "
    "taken to follow the pedal.",
    "An input that hangs in the air may read anything: the worst of that counts.",
    f"Of the throttle the plate is judged: a track that reads low makes the control unit open farther. {MOTOR}",
    "A pressed brake with a described override takes the demand back; it does not make a fault noticed. What it cuts "
    "is judged at the worst resistance of each position: a milder form of the fault may stay where it does not act.",
    "Not covered: two faults at once ('treadle faults --latent' follows each fault that nothing notices by every other "
    "one), faults inside the control unit, and what moisture does to many conductors at once.",
)


def faults_section(plan: Plan, drawn: Drawings, latents: Sequence[LatentStudy] = ()) -> Section:
    """The section, charts included; with second faults after first ones where somebody asked for them."""
    blocks: list[Block] = [Paragraph(ABOUT)]
    for sensor in SENSORS:
        blocks.append(Heading(_NAMES[sensor]))
        blocks += or_gap(f"The faults of the {sensor}", lambda sensor=sensor: _of(plan.faults(sensor), drawn))  # type: ignore[misc]
    for latent in latents:
        blocks += [Heading(f"{_NAMES[latent.study.sensor]}: one fault after another"), *pairs_blocks(latent)]
    blocks += [*left_out(drawn, "faults"), Heading("How it was done, and what it does not cover"), Points(_HOW)]
    lead = (
        "What each single fault would make the control unit believe, which of its described checks would notice, and "
        "which would open the engine farther than the foot asks with nothing noticing."
    )
    return Section("faults", "Faults", lead, tuple(blocks))


def faults_data(plan: Plan) -> DataTable:
    """Every fault with its verdict; of a sensor that could be judged."""
    head = (
        "sensor", "fault", "kind", "place", "class", "worst_rise_percent", "pedal_percent", "resistance_ohm",
        "rise_at_rest_percent", "rise_meanwhile_percent", "noticed_by", "within_s", "noticed_percent",
        "with_brake", "reads_fully_grown",
    )  # fmt: skip
    rows = []
    for sensor in SENSORS:
        try:
            study = plan.faults(sensor)
        except Missing:
            continue
        rows += [_row(study, verdict) for verdict in study.verdicts]
    return DataTable("faults", head, tuple(rows))


def _row(study: FaultStudy, verdict: Verdict) -> tuple[str, ...]:
    fault = verdict.fault
    checks = [f"{check.kind} of {check.of_other or study.sensor} {check.subject}" for check in verdict.checks]
    return (
        study.sensor, fault.name, fault.kind, fault.place, verdict.category,
        _percent(verdict.rise_percent), _percent(verdict.pedal_percent), _plain(verdict.ohm),
        _percent(verdict.rise_at_rest_percent), _percent(verdict.rise_meanwhile_percent),
        "; ".join(checks), _plain(verdict.within_s), number(verdict.noticed_share, "ratio"),
        brake_words(study, verdict_braked(study, verdict)), read_words(study, verdict),
    )  # fmt: skip


def _of(study: FaultStudy, drawn: Drawings) -> tuple[Block, ...]:
    groups = worst_groups(study)
    limits = f"{percent_words(study.limit_percent)}, or {percent_words(study.limit_at_rest_percent)} with the foot off"
    above = len(study.above_limit)
    count = sum(verdict.category == "unnoticed, higher" for verdict in study.verdicts)
    said = (
        f"{len(study.verdicts)} single faults were judged at {study.sweep.percent.size} positions. "
        + (f"{count} of them open the engine farther than the foot asks, with nothing noticing" if count else "None of "
           "them opens the engine farther than the foot asks with nothing noticing")
        + (f"; {above} above the limit of {limits}." if count else f". The limit would be {limits}.")
    )  # fmt: skip
    counted = counted_words(verdict_braked(study, verdict) for verdict in study.verdicts)
    if counted:
        said += f" Of those that open farther: {counted}."
    blocks: list[Block] = [Paragraph(said), _coverage(study, "kind"), _coverage(study, "place")]
    if groups:
        blocks += pictures(drawn, f"faults-{study.sensor}")
        blocks.append(_worst(study, groups))
    if study.not_judged:
        names = "; ".join(fault.name for fault in study.not_judged)
        blocks.append(
            Paragraph(f"Not judged here: {names}. What still returns is told by the rules on return.", small=True)
        )
    granted = (*study.circuit.taken, *study.circuit.left_out)
    if granted:
        blocks.append(Paragraph(" ".join(granted), small=True))
    return tuple(blocks)


def _coverage(study: FaultStudy, by: str) -> Table:
    title = "By what happens" if by == "kind" else "By place"
    columns = (
        Column(title, 4.0),
        *(
            Column(words[0].upper() + words[1:], 1.8, "right")
            for words in (CATEGORY_WORDS[each] for each in CATEGORIES)
        ),
    )
    rows = tuple(
        (Cell(capital(name)), *(Cell(str(found[each]) if found[each] else "") for each in CATEGORIES))
        for name, found in coverage(study.verdicts, by)
    )
    return Table(columns, (Group("", rows),), caption=ABOUT, dense=True)


def _worst(study: FaultStudy, groups: tuple[Alike, ...]) -> Table:
    braked = study.override is not None
    columns = (
        Column("", 0.4, "right"),
        Column("Fault", 3.4),
        Column("Opens too far", 1.0, "right", "%"),
        Column("Foot off" if study.sensor == "pedal" else "Closed", 1.2, "right", "%"),
        Column("Worst", 2.1),
        Column("Fully grown, noticed by", 2.0),
        *((Column("Brake pressed", 2.0),) if braked else ()),
        Column("Would close it", 3.0),
    )
    rows = []
    for place, group in enumerate(groups[:WORST], start=1):
        verdict = group.verdict
        rows.append(
            (
                Cell(str(place)),
                Cell(capital(verdict.fault.name), small=others_words(group.others)),
                Cell(_percent(verdict.rise_percent), strong=study.is_above(verdict)),
                Cell(_percent(verdict.rise_at_rest_percent)),
                Cell(capital(where_words(study, verdict.position)), small=_size(verdict)),
                Cell(capital(noticed_words(verdict))),
                *((Cell(_braked(study, verdict)),) if braked else ()),
                Cell(closing(study, verdict)),
            )
        )
    more = f" {len(groups) - WORST} more stand in tables/faults.csv." if len(groups) > WORST else ""
    caption = f"Bold: above the limit. Faults that come to the same stand together.{more} {ABOUT}"
    return Table(columns, (Group("", tuple(rows)),), caption=caption, dense=True)


def _braked(study: FaultStudy, verdict: Verdict) -> str:
    """Without what the column's head says."""
    return capital(brake_words(study, verdict_braked(study, verdict)).removeprefix("with the brake pressed: "))


def _size(verdict: Verdict) -> str:
    size = size_words(verdict, verdict.ohm)
    return "" if size == NO_SIZE else size


def _percent(points: float) -> str:
    return number(points / 100.0, "ratio")


def _plain(value: float) -> str:
    return f"{value:.6g}" if math.isfinite(value) else ""
