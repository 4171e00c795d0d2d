"""The operating point of one network walked to, for the few in which turning bends all at once goes round in a circle.

From any voltages, towards the solution of the linear part that holds there, but only as far as the first bend; that one
is turned, and on from there. What the currents at the nodes are out of balance by shrinks with each step and never
turns round, so that no linear part is met twice (Katzenelson's method).
"""

from __future__ import annotations

import numpy as np

from conversion.circuit.network import Array, Flags

STEPS = 200
_STANDSTILL = 1e-13


def walk(linear: Array, amps: Array, bends: tuple[Array, Array, Array], alive: Flags, start: Array) -> Flags | None:
    """Which bends carry current in the end; (bends,). None where no way was found.

    Args:
        linear: Matrix with every bend off; (size, size). [S]
        amps: Right-hand side; (size,). [A]
        bends: Where each leaves and enters (bends, size), its slope (bends, size) and its offset (bends,).
        alive: Bends that may carry; (bends,).
        start: Any volts; (size,). [V]
    """
    into, slope, offset = bends
    volts = np.nan_to_num(start)
    on = alive & (slope @ volts + offset > 0.0)
    stands = 0
    for _ in range(STEPS):
        matrix = linear + (into * on[:, None]).T @ slope
        right = amps - into.T @ np.where(on, offset, 0.0)
        try:
            goal = np.linalg.solve(matrix, right)
        except np.linalg.LinAlgError:
            return None
        over, change = slope @ volts + offset, slope @ (goal - volts)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(alive & np.where(on, change < 0.0, change > 0.0), -over / change, np.inf)
        first = int(np.argmin(share)) if len(share) else 0
        if not len(share) or share[first] >= 1.0:
            return on
        step = max(float(share[first]), 0.0)
        stands = stands + 1 if step < _STANDSTILL else 0
        if stands > len(share):
            return None
        volts = volts + step * (goal - volts)
        on[first] = ~on[first]
    return None
