"""What resistance in supply and return conductors does to a track: wires, aged contacts, a return that is shared."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from conversion.sensing.track_model import Array, TrackModel

AGED_CONTACT_OHM = 10.0
"""A contact that has begun to corrode and still passes current. Common practice, no source."""

COPPER_OHM_MM2_PER_M = 1.0 / 58.0
"""Annealed copper at 20 °C, IEC 60028:1925 (figure from memory)."""


def copper_ohm(area_mm2: float, length_mm: float) -> float:
    r"""Resistance of a copper conductor at 20 °C.

    .. math:: R = \rho L / A

    Args:
        area_mm2: Nominal cross-section; positive. [mm²]
        length_mm: One way. [mm]

    Returns:
        The resistance; stranded wire may have up to a seventh more. [Ω]

    Example:
        >>> round(copper_ohm(0.5, 1000.0), 4)
        0.0345

    References:
        IEC 60028:1925, resistivity of annealed copper.
    """
    return COPPER_OHM_MM2_PER_M * length_mm / 1000.0 / area_mm2


def volts_with_return_resistance(
    tracks: Mapping[str, TrackModel], drawn_a: Mapping[str, float], position: Array, joint_ohm: float
) -> dict[str, Array]:
    r"""Volts of tracks that return through one conductor with a resistance in it.

    .. math:: V_g = R_j \frac{\sum V_i / R_i + \sum I_k}{1 + R_j \sum 1 / R_i}, \qquad
        V = V_g + k (V_i - V_g)

    Args:
        tracks: The tracks that share the return.
        drawn_a: For each track that is no potentiometer, the current that it draws. [A]
        position: Lever angle or opening; (positions,).
        joint_ohm: Resistance in the shared conductor. [Ω]

    Returns:
        Volts at the control unit by track; (positions,) each. [V]

    Note:
        Pull resistors count as returned to the control unit's own ground, and their current is left out of the
        sum: it is some thousandth of that of the tracks.

    Example:
        Two tracks of 1 kΩ on 5 V through 10 Ω: 10 mA lift the ground by 5 V · 10 Ω / 510 Ω = 0.098 V.

        >>> from conversion.sensing import Span
        >>> track = TrackModel(
        ...     np.array([0.0, 1.0]), np.array([0.0, 1.0]), np.array([0.0, 1.0]), np.array([0.0, 1.0]),
        ...     Span.exact(1.0), Span.exact(5.0), Span.exact(1000.0), Span.exact(0.0), None, Span.exact(0.0), None)
        >>> lifted = volts_with_return_resistance({"a": track, "b": track}, {}, np.array([0.0, 1.0]), 10.0)
        >>> lifted["a"].round(3).tolist()
        [0.098, 5.0]
    """
    divided = {name: model for name, model in tracks.items() if name not in drawn_a}
    current = sum(model.supply_v.nominal / model.track_ohm.nominal for model in divided.values())
    current += sum(drawn_a[name] for name in tracks if name in drawn_a)
    conductance = sum(1.0 / model.track_ohm.nominal for model in divided.values())
    ground_v = joint_ohm * current / (1.0 + joint_ohm * conductance)
    return {name: _lifted(model, ground_v).volts(position) for name, model in tracks.items()}


def _lifted(model: TrackModel, ground_v: float) -> TrackModel:
    """The track with its ground raised, seen from the control unit's ground."""
    share = ground_v / model.supply_v.nominal
    return replace(model, ratio=np.asarray(share + model.ratio * (1.0 - share)))
