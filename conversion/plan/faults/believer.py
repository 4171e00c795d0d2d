"""From the description to what the control unit makes of the volts of one sensor."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from conversion.description import Missing
from conversion.faults.believing import Believer, Check, percent_agreement, range_check, rest_check, volts_agreement
from conversion.quantities import Quantity
from conversion.sensing import Sensor, sensor_input

if TYPE_CHECKING:
    from conversion.description.parts import SensorInput
    from conversion.plan.plan import Plan


def sensor_believer(
    plan: Plan, sensor: Sensor, sound_v: Mapping[str, np.ndarray], *, key_on: bool = False
) -> Believer:  # fmt: skip
    """The inputs of a sensor with their scale, what is taken of them, and the described checks.

    Args:
        plan: The plan.
        sensor: Which sensor.
        sound_v: What each input reads of the sound sensor from rest to full; a learned scale is learned from it.
        key_on: Also with a check that is made once before the engine starts. It finds no fault that arises on the
            road, and does find one that has waited since the last drive.

    Raises:
        Missing: No control unit reads the sensor, or how it makes per cent of volts is not known.
    """
    description = plan.description
    unit, accepts = description.control_unit, sensor_input(description, sensor)
    why = "what a fault would make it believe cannot be said"
    if unit is None or accepts is None:
        place = description.part_place(unit[0], "accepts") if unit else description.place("devices")
        raise Missing(f"accepts.{sensor}", place, why, "is not described")
    path = ("accepts", sensor)
    for name in ("takes", "scale"):
        if getattr(accepts, name) is None:
            raise Missing(f"{unit[0]}: accepts.{sensor}.{name}", description.part_place(unit[0], *path, name), why)
    tracks = tuple(name for name in sound_v if name in accepts.tracks)
    scales = []
    for name in tracks:
        volts, form = sound_v[name], accepts.tracks[name]
        if accepts.scale == "learned":
            scale = (float(volts[0]), float(volts[-1]))
        else:
            ends = [
                description.part_need(getattr(form, end), why, unit[0], *path, "tracks", name, end)
                for end in ("rest", "full")
            ]
            scale = (ends[0].nominal, ends[1].nominal)
        if scale[0] == scale[1]:
            place = description.part_place(unit[0], *path, "tracks", name)
            raise Missing(f"{unit[0]}: {sensor} track {name}", place, why, "reads the same at rest and at full")
        scales.append(scale)
    if not tracks or (accepts.takes == "a" and "a" not in tracks):
        raise Missing(f"{unit[0]}: accepts.{sensor}.tracks", description.part_place(unit[0], *path, "tracks"), why)
    scale_v = np.array(scales)
    return Believer(tracks, scale_v, accepts.takes, _checks(accepts, tracks, scale_v, key_on), sensor == "throttle")


def _checks(accepts: SensorInput, tracks: tuple[str, ...], scale_v: np.ndarray, key_on: bool) -> tuple[Check, ...]:
    found: list[Check] = []
    within = _seconds(accepts.range_within)
    for name in tracks:
        valid = accepts.tracks[name].valid  # type: ignore[index]
        if valid is not None:
            found.append(range_check(tracks, name, valid.low, valid.high, within))
    agreement = accepts.agreement
    for pair in combinations(tracks, 2):
        if agreement is None or agreement.at_most is None:
            break
        within = _seconds(agreement.within)
        most, least = agreement.at_most.nominal, agreement.at_least
        if agreement.of == "percent":
            found.append(percent_agreement(tracks, scale_v, pair, 100.0 * most, within))
        else:
            limits = (least.nominal if least else None, most)
            found.extend(volts_agreement(tracks, pair, float(agreement.factor), limits, within))
    rest = accepts.rest_check
    if rest is not None and rest.at_most is not None and (key_on or rest.when == "idle contact"):
        within = _seconds(rest.within)
        found.extend(rest_check(tracks, scale_v, name, 100.0 * rest.at_most.nominal, within) for name in tracks)
    return tuple(found)


def _seconds(figure: Quantity | None) -> float:
    return figure.nominal if figure else float("nan")
