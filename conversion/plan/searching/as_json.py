"""What a search found as plain data, units in the names, for programs that read it."""

from __future__ import annotations

from dataclasses import fields
from math import degrees, isfinite
from typing import Any

import numpy as np

from conversion.description.complaints import dotted
from conversion.plan.searching.search import SearchOutcome, Setting
from conversion.study.interval import Chance
from conversion.study.search_wants import Looked


def search_json(outcome: SearchOutcome) -> dict[str, Any]:
    """Counts, settings, trade-off and obstacles; values that are not known are None."""
    found = outcome.found
    return {
        "title": outcome.title,
        "seed": found.seed,
        "combinations": found.case.grid.size,
        "looked_at": found.counts.looked_at,
        "looked_at_in_full": found.counts.in_full,
        "whole_grid": found.whole_grid,
        "taken": outcome.taken if outcome.settings else None,
        "now": looked_row(outcome.now, 0),
        "settings": [_setting(setting) for setting in outcome.settings],
        "trade_off": front_rows(outcome),
        "obstacles": [
            {"want": miss.want, "missed": miss.missed, "missed_alone": miss.alone, "of": miss.looked_at}
            for miss in outcome.obstacles
        ],
    }


def front_rows(outcome: SearchOutcome) -> list[dict[str, Any]]:
    """Every member of the trade-off with its settings and figures, best score first."""
    front = outcome.found.front
    settings = outcome.found.case.grid.settings(front.numbers)
    return [
        {"score": _plain(float(front.scores[index]))}
        | _in_degrees({name: float(values[index]) for name, values in settings.items()})
        | looked_row(outcome.front, index)
        for index in range(len(front.numbers))
    ]


def looked_row(looked: Looked, index: int) -> dict[str, Any]:
    """The figures of one candidate, angles in degrees, shares in per cent."""
    row: dict[str, Any] = {}
    for each in fields(looked):
        value = getattr(looked, each.name)[index]
        if each.name in ("off_feel", "sweep"):
            row[f"{each.name}_percent"] = _plain(100.0 * float(value))
        elif not isinstance(value, np.bool_):
            row |= _in_degrees({each.name: float(value)})
    return row


def _setting(setting: Setting) -> dict[str, Any]:
    study = setting.study.study
    return {
        "best_in": list(setting.best_in),
        "score": _plain(setting.score),
        "settings": _in_degrees(setting.settings),
        "rod_turns": None if setting.turns is None else _plain(setting.turns),
        "figures": looked_row(setting.looked, 0),
        "changes": {dotted(change.path): {"to": change.text, "was": change.was} for change in setting.changes},
        "room": _room(setting),
        "tolerance": {
            "samples": study.samples,
            "lever_at_full_p05_deg": _plain(degrees(study.bands["lever_at_full_rad"].p05[0])),
            "lever_at_full_p95_deg": _plain(degrees(study.bands["lever_at_full_rad"].p95[0])),
            "worst_margin_deg": _plain(degrees(study.corners.least["margin_rad"][0])),
            "window_missed": _chance(setting.study.window_missed) if setting.study.window_missed else None,
            "chances": {name: _chance(chance) for name, chance in study.chances.items()},
        },
    }


def _room(setting: Setting) -> dict[str, Any] | None:
    if setting.room is None and not setting.no_recess:
        return None
    room: dict[str, Any] = {"enough": setting.has_room, "no_recess": setting.no_recess or None}
    if setting.room is not None:
        near = setting.room.clearance
        room |= {
            "body": near.body,
            "obstacle": near.obstacle,
            "least_mm": _plain(setting.room.least_mm),
            "wanted_mm": _plain(near.wanted.clearance_mm),
        }
    return room


def _chance(chance: Chance) -> dict[str, Any]:
    return {"happened": chance.happened, "least": _plain(chance.least), "most": _plain(chance.most)}


def _in_degrees(values: dict[str, float]) -> dict[str, Any]:
    return {
        name.removesuffix("_rad") + "_deg" if name.endswith("_rad") else name: _plain(
            degrees(value) if name.endswith("_rad") else value
        )
        for name, value in values.items()
    }


def _plain(value: float) -> float | None:
    return round(float(value), 9) if isfinite(value) else None
