"""Two faults, one after the other: what waits, what may follow, and the test that would find the first."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from conversion.description import Missing
from conversion.pack.blocks import Block, Cell, Column, Group, Paragraph, Table
from conversion.pack.document import DataTable
from conversion.plan import Plan
from conversion.plan.faults.brake import brake_words, counted_words, second_braked
from conversion.plan.faults.judged import SENSORS
from conversion.plan.faults.latent import LatentPair, LatentStudy
from conversion.plan.faults.words import ABOUT, NO_SIZE, capital, ohm_words, where_words
from conversion.quantities import number

_MOST = 15


def latent_studies(plan: Plan, step: Callable[[str], None]) -> tuple[LatentStudy, ...]:
    """Of each sensor whose faults can be judged; the section says of the others why not.

    Args:
        plan: What was computed.
        step: Told how far it is.
    """
    found = []
    for sensor in SENSORS:
        try:
            found.append(
                plan.latent(sensor, lambda done, total: step(f"following fault {done + 1} of {total} that can wait"))
            )
        except Missing:
            continue
    return tuple(found)


def pairs_blocks(latent: LatentStudy) -> tuple[Block, ...]:
    """How many faults can wait, and of each the worst that may follow."""
    worst = latent.worst_of_each
    said = (
        f"{latent.waiting} faults can wait with nothing noticing them. After {len(worst)} of them a second fault opens "
        f"the engine farther than either alone, in {len(latent.pairs)} pairs. Below stands the worst pair of each."
    )
    counted = counted_words(second_braked(latent.study, pair.comes) for pair in latent.pairs)
    if counted:
        said += f" Of the pairs: {counted}."
    if not worst:
        return (Paragraph(f"{latent.waiting} faults can wait; after none of them a second one does more than alone."),)
    columns = (
        Column("First, and how it waits", 3.2),
        Column("Then", 3.0),
        Column("Opens too far", 1.0, "right", "%"),
        Column("Foot off" if latent.study.sensor == "pedal" else "Closed", 1.2, "right", "%"),
        Column("Worst at", 1.6),
        *((Column("Brake pressed", 2.0),) if latent.study.override is not None else ()),
        Column("Finds the first", 3.4),
    )
    rows = tuple(_row(latent, pair) for pair in worst[:_MOST])
    more = f" {len(worst) - _MOST} more stand in tables/fault-pairs.csv." if len(worst) > _MOST else ""
    return Paragraph(said), Table(columns, (Group("", rows),), caption=f"{ABOUT}{more}", dense=True)


def fault_pairs_data(latents: Sequence[LatentStudy]) -> DataTable:
    """Every pair, the worst of each sensor first."""
    head = (
        "sensor", "first", "first_ohm", "second", "second_ohm", "worst_rise_percent", "pedal_percent",
        "rise_at_rest_percent", "with_brake", "found_by",
    )  # fmt: skip
    rows = tuple(
        (
            latent.study.sensor, pair.first.name, _plain(pair.waits.ohm), pair.second.name, _plain(pair.comes.ohm),
            _percent(pair.comes.rise_percent), _percent(pair.pedal_percent),
            _percent(pair.comes.rise_at_rest_percent),
            brake_words(latent.study, second_braked(latent.study, pair.comes)), pair.found_by,
        )
        for latent in latents
        for pair in latent.pairs
    )  # fmt: skip
    return DataTable("fault-pairs", head, rows)


def _row(latent: LatentStudy, pair: LatentPair) -> tuple[Cell, ...]:
    return (
        Cell(capital(pair.first.name), small=_size(ohm_words(pair.first.change, pair.waits.ohm))),
        Cell(capital(pair.second.name), small=_size(ohm_words(pair.second.change, pair.comes.ohm))),
        Cell(_percent(pair.comes.rise_percent), strong=True),
        Cell(_percent(pair.comes.rise_at_rest_percent)),
        Cell(capital(where_words(latent.study, pair.comes.position))),
        *((Cell(_braked(latent, pair)),) if latent.study.override is not None else ()),
        Cell(pair.found_by),
    )


def _braked(latent: LatentStudy, pair: LatentPair) -> str:
    """Without what the column's head says."""
    words = brake_words(latent.study, second_braked(latent.study, pair.comes))
    return capital(words.removeprefix("with the brake pressed: "))


def _size(words: str) -> str:
    return "" if words == NO_SIZE else words


def _percent(points: float) -> str:
    return number(points / 100.0, "ratio")


def _plain(value: float) -> str:
    return "open" if math.isinf(value) else f"{value:.6g}" if math.isfinite(value) else ""
