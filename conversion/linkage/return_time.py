"""How long the pedal takes from full to rest when the foot leaves it: an estimate with its assumptions."""

from __future__ import annotations

import numpy as np

from conversion.linkage.returns import ReturnCase, ReturnStudy
from conversion.linkage.turning import Array

STEPS = 2000


def uniform_arm_inertia_kgm2(mass_kg: float, length_mm: float) -> float:
    r"""Moment of inertia of a pedal arm taken as a uniform rod that turns about its end.

    .. math:: J = m \, l^2 / 3

    Args:
        mass_kg: Of the moving pedal. [kg]
        length_mm: From the axis to the pad. [mm]

    Returns:
        About the axis; an arm that carries most of its mass in the pad has up to three times as much. [kg·m²]

    Raises:
        ValueError: a mass or length that is not positive.

    Example:
        >>> round(uniform_arm_inertia_kgm2(0.6, 250.0), 6)
        0.0125

    References:
        Any textbook on mechanics.
    """
    if not (mass_kg > 0.0 and length_mm > 0.0):
        raise ValueError("mass and length must be positive")
    return mass_kg * (length_mm / 1000.0) ** 2 / 3.0


def return_time_s(
    study: ReturnStudy,
    inertia_kgm2: float,
    lever_inertia_kgm2: float = 0.0,
    case: ReturnCase | None = None,
) -> float:
    r"""Time from the last position of a study back to rest, let go at standstill.

    .. math:: t = \int_0^{\theta_1} \frac{d\theta}{\omega}, \qquad
        \tfrac12 J(\theta) \, \omega^2 = \int_\theta^{\theta_1} (M - M_{friction}) \, d\theta', \qquad
        J(\theta) = J_{pedal} + \Big(\frac{d\varphi}{d\theta}\Big)^2 J_{lever}

    Moment less friction runs straight between the positions of the study.

    Args:
        study: Moments over the travel, positions from rest to full.
        inertia_kgm2: Of the pedal about its axis. [kg·m²]
        lever_inertia_kgm2: Of the module's lever about its own axis. [kg·m²]
        case: Which of the study's cases; the first, with everything in, if it is not given. Of the lever alone
            only its own inertia counts, and of the pedal alone only the pedal's.

    Returns:
        nan where it does not come back from full, that is, where the work of the moments is used up on the way
        or something is unknown. [s]

    Raises:
        ValueError: an inertia that is not positive where it counts, or fewer than two positions.

    Note:
        Assumed: friction is constant and dry, nothing damps, the foot leaves at once, and pedal and lever stay
        together. The rod's mass is left out. A damped module takes longer.

    Example:
        A constant moment: t = √(2 θ J / M) = √(2 · 0.25 · 0.01 / 2) = 0.05 s

        >>> from conversion.linkage.direct import DirectLinkage
        >>> from conversion.linkage.returns import return_study
        >>> from conversion.linkage.springs import TorsionSpring
        >>> kept = DirectLinkage([0, 0, 0], [0, 1, 0], 1)
        >>> study = return_study(
        ...     kept, np.linspace(0, 0.25, 41), springs=[TorsionSpring("S1", 2.0, 0.0)], pad_radius_mm=250)
        >>> round(return_time_s(study, 0.01), 9)
        0.05
    """
    chosen = study.cases[0] if case is None else case
    angle = chosen.angle_rad
    if angle.size < 2:
        raise ValueError("a return needs at least two positions")
    inertia = np.full(angle.size, lever_inertia_kgm2 if chosen.half == "module" else inertia_kgm2)
    if chosen.half == "both" and lever_inertia_kgm2 > 0.0:
        inertia = inertia + study.solution.ratio**2 * lever_inertia_kgm2
    if not np.all(inertia > 0.0):
        raise ValueError("the inertia of what returns must be positive")
    return _time_s(angle, chosen.moment_nm - chosen.friction_nm, inertia)


def _time_s(angle: Array, net: Array, inertia: Array) -> float:
    """With θ = θ₁ − x² the start, where ω is zero, is no longer singular; midpoints of x."""
    end = angle[-1]
    edge = np.sqrt(end - angle[0]) * np.arange(STEPS + 1) / STEPS
    x = (edge[1:] + edge[:-1]) / 2
    at = end - x**2
    done = np.concatenate([[0.0], np.cumsum((net[1:] + net[:-1]) / 2 * np.diff(angle))])
    piece = np.clip(np.searchsorted(angle, at) - 1, 0, angle.size - 2)
    # Work from where we are to the end of its piece, then that of the whole pieces beyond.
    net_at = np.interp(at, angle, net)
    work = (net_at + net[piece + 1]) / 2 * (angle[piece + 1] - at) + done[-1] - done[piece + 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = np.sqrt(2.0 * work / np.interp(at, angle, inertia))
        if not np.all(speed > 0.0):
            return float("nan")
        return float(np.sum(2.0 * x / speed * np.diff(edge)))
