"""The faults of both sensors as plain data, for programs that read it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from conversion.faults.verdict import CATEGORIES, Verdict
from conversion.plan.faults.brake import brake_counts, brake_json, second_braked, verdict_braked
from conversion.plan.faults.judged import FaultStudy
from conversion.plan.faults.latent import LatentPair, LatentStudy
from conversion.plan.faults.words import ABOUT, closing


def faults_json(studies: Sequence[FaultStudy], latents: Sequence[LatentStudy]) -> dict[str, Any]:
    """Every fault and every pair, the worst first, units in the names.

    Args:
        studies: Of the sensors that could be judged.
        latents: Of those that were followed by a second fault; empty where nobody asked.
    """
    return {
        "about": ABOUT,
        "faults": [_fault(study, verdict) for study in studies for verdict in study.verdicts],
        "pairs": [_pair(latent, pair) for latent in latents for pair in latent.pairs],
        "summary": {
            study.sensor: {category: sum(v.category == category for v in study.verdicts) for category in CATEGORIES}
            | {
                "above_limit": len(study.above_limit),
                "with_brake": brake_counts(verdict_braked(study, verdict) for verdict in study.verdicts),
                "limit_percent": study.limit_percent,
                "limit_at_rest_percent": study.limit_at_rest_percent,
                "positions_percent": [round(float(percent), 3) for percent in study.sweep.percent],
                "not_judged": [fault.name for fault in study.not_judged],
                "taken": list(study.circuit.taken),
                "left_out": list(study.circuit.left_out),
            }
            for study in studies
        },
    }


def _fault(study: FaultStudy, verdict: Verdict) -> dict[str, Any]:
    return {
        "sensor": study.sensor,
        "fault": verdict.fault.name,
        "kind": verdict.fault.kind,
        "place": verdict.fault.place,
        "class": verdict.category,
        "above_limit": study.is_above(verdict),
        "worst_rise_percent": verdict.rise_percent,
        "pedal_percent": verdict.pedal_percent,
        "resistance_ohm": _finite(verdict.ohm),
        "rise_at_rest_percent": verdict.rise_at_rest_percent,
        "rise_meanwhile_percent": verdict.rise_meanwhile_percent,
        "noticed_by": [
            {"sensor": check.of_other or study.sensor, "check": check.kind, "of": check.subject}
            for check in verdict.checks
        ],
        "noticed_share": verdict.noticed_share,
        "within_s": _finite(verdict.within_s),
        "with_brake": brake_json(study, verdict_braked(study, verdict)),
        "needs_history": verdict.fault.needs_history,
        "undetermined": verdict.floats,
        "reads_v": {
            track: [round(float(volts), 4) for volts in verdict.grown_v[:, index]]
            for index, track in enumerate(study.tracks)
        },
        "rise_percent": [
            round(float(worst - sound), 3)
            for worst, sound in zip(verdict.worst_percent, study.sweep.percent, strict=True)
        ],
        "would_close": closing(study, verdict) if verdict.category == "unnoticed, higher" else None,
    }


def _pair(latent: LatentStudy, pair: LatentPair) -> dict[str, Any]:
    return {
        "sensor": latent.study.sensor,
        "first": pair.first.name,
        "first_ohm": _finite(pair.waits.ohm),
        "first_fully_grown": pair.waits.grown,
        "second": pair.second.name,
        "second_ohm": _finite(pair.comes.ohm),
        "worst_rise_percent": pair.comes.rise_percent,
        "pedal_percent": pair.pedal_percent,
        "rise_at_rest_percent": pair.comes.rise_at_rest_percent,
        "with_brake": brake_json(latent.study, second_braked(latent.study, pair.comes)),
        "found_by": pair.found_by,
    }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
