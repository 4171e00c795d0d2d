"""What ``treadle identify --json`` prints."""

from __future__ import annotations

import math
from typing import Any

from conversion.bench.unknown import words
from conversion.bench.unknown.core import Track
from conversion.bench.unknown.group import Understood
from conversion.bench.unknown.identify import Identification
from conversion.bench.unknown.reader import Sheet
from conversion.bench.unknown.turns import checks, turns


def as_json(sheet: Sheet, found: Identification) -> dict[str, Any]:
    """Everything, with terminals by their names and figures in ohms, volts, amperes and shares of one."""
    names = found.readings.terminals
    return {
        "title": sheet.file.title,
        "verdict": found.verdict,
        "tracks": [_track(found, track) for track in found.tracks] if found.verdict != "no-fit" else [],
        "contacts": [
            {
                "between": [names[each.terminal], names[each.partner]],
                "closed": dict(zip(found.readings.positions, each.closed, strict=True)),
                "resistance_ohm": round(each.ohm, 3),
            }
            for each in found.contacts
        ],
        "joined": [
            [names[same], names[terminal]] for group in found.groups for terminal, same in group.group.joined.items()
        ],
        "alone": [names[terminal] for terminal in found.alone],
        "groups": [_group(found, group) for group in found.groups],
        "ways_round": _ways(found),
        "contradictions": [
            {
                "place": str(sheet.place(each.position, each.first, each.second)),
                "position": found.readings.positions[each.position],
                "between": [names[each.first], names[each.second]],
                "reason": each.reason,
            }
            for each in found.contradictions
        ],
        "differ_with_leads_changed_over": [
            {
                "place": str(sheet.place(position, first, second)),
                "position": found.readings.positions[position],
                "between": [names[first], names[second]],
            }
            for position, first, second in found.polarised
        ],
        "further_readings": [
            {
                "position": None if each.position is None else found.readings.positions[each.position],
                "between": [names[terminal] for terminal in each.pair],
                "again": each.again,
                "expected_ohm": [round(ohm, 3) for ohm in each.expects],
                "what": words.further_words(found, each),
            }
            for each in found.further
        ],
        "to_do": list(words.HALL if found.verdict == "no-fit" else words.POWERED_CHECK),
        "cautions": [*words.CAUTIONS, *(words.doubts(found) if found.verdict == "found" else ())],
    }


def _track(found: Identification, track: Track) -> dict[str, Any]:
    names = found.readings.terminals
    return {
        "ends": [names[end] for end in track.ends],
        "wiper": names[track.wiper],
        "moves_toward": names[track.ends[1 if track.sweep > 0 else 0]],
        "resistance_ohm": _figure(track.ohm),
        "wiper_path_ohm": _figure(track.wiper_ohm),
        "share_from_first_end": {
            position: _figure(float(share), 5)
            for position, share in zip(found.readings.positions, track.share, strict=True)
        },
        "spread": {
            "resistance_ohm": _figure(track.ohm_spread),
            "wiper_path_ohm": _figure(track.wiper_spread),
            "share": _figure(float(track.share_spread.max()), 5),
        },
    }


def _figure(value: float, decimals: int = 3) -> float | None:
    return round(value, decimals) if math.isfinite(value) else None


def _group(found: Identification, group: Understood) -> dict[str, Any]:
    names = found.readings.terminals
    return {
        "terminals": [names[terminal] for terminal in group.group.terminals],
        "verdict": group.verdict,
        "why": group.why or None,
        "fixed_ohm": None if group.fixed_ohm is None else round(group.fixed_ohm, 3),
        "spare_readings": group.spare,
        "sum_of_squares": round(group.cost, 4),
        "runner_up": None
        if group.runner_up is None
        else {
            "sum_of_squares": round(group.runner_up.cost, 4),
            "tracks": [
                {"ends": [names[end] for end in track.ends], "wiper": names[track.wiper]}
                for track in group.runner_up.tracks
            ],
        },
    }


def _ways(found: Identification) -> list[dict[str, Any]]:
    names = found.readings.terminals
    ways = []
    for group in found.groups:
        if group.best is None or group.verdict != "found":
            continue
        expects = [
            {
                "ends": [names[end] for end in check.track.ends],
                "current_a": round(check.amps, 6),
                "volts": round(check.volts, 4),
            }
            for check in checks(group.best)
        ]
        for turn in turns(group.best):
            ways.append(
                {
                    "supply": [names[terminal] for terminal in turn.supply],
                    "ground": [names[terminal] for terminal in turn.ground],
                    "outputs": [
                        {"wiper": names[track.wiper], "rest": round(rest, 5), "full": round(full, 5)}
                        for track, (rest, full) in zip(group.best.tracks, turn.outputs, strict=True)
                    ],
                    "powered_check": expects,
                }
            )
    return ways
