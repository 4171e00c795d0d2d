"""Two coil springs in parallel, and the load at which a strut buckles.

Springs    V. B. Bhandari, Design of Machine Elements, example 10.19 (title and author from memory, the example from a
           stored companion of solved examples with its printed results): outer 6 mm wire on 36 mm, 10 coils; inner 5 mm
           on 30 mm, 8 coils, 15 mm shorter; G 81 370 N/mm². 1000 N: 706.021471 N and 24.988839 mm outside,
           293.978529 N and 9.988839 mm inside.
Tolerance  One unit of the sixth decimal of the printed forces and ways.
Strut      Euler's formula from memory. No worked example with a credible printed answer was found; the check is plain
           statics: the load at which a pinned strut's own deflection equation has its first mode, solved numerically.
"""

from __future__ import annotations

import numpy as np
import pytest

from conversion.linkage import coil_spring_rate_n_per_mm, euler_buckling_n

SHEAR_MODULUS = 81370.0


def test_rates_are_printed_force_over_printed_way() -> None:
    outer = coil_spring_rate_n_per_mm(6.0, 36.0, 10.0, SHEAR_MODULUS)
    inner = coil_spring_rate_n_per_mm(5.0, 30.0, 8.0, SHEAR_MODULUS)
    assert outer == pytest.approx(706.021471 / 24.988839, rel=1e-7)
    assert inner == pytest.approx(293.978529 / 9.988839, rel=1e-7)


def test_the_load_is_shared_as_printed() -> None:
    outer = coil_spring_rate_n_per_mm(6.0, 36.0, 10.0, SHEAR_MODULUS)
    inner = coil_spring_rate_n_per_mm(5.0, 30.0, 8.0, SHEAR_MODULUS)
    way = (1000.0 + inner * 15.0) / (outer + inner)
    assert way == pytest.approx(24.988839, abs=1e-6)
    assert outer * way == pytest.approx(706.021471, abs=1e-6)


def test_a_strut_buckles_at_its_first_mode() -> None:
    """E I y″ = −F y with both ends held, by finite differences: the least load with a deflection other than zero."""
    length, diameter, points = 200.0, 5.0, 400
    stiffness = 200e3 * np.pi * diameter**4 / 64
    step = length / (points + 1)
    matrix = (2 * np.eye(points) - np.eye(points, k=1) - np.eye(points, k=-1)) * stiffness / step**2
    assert euler_buckling_n(diameter, length) == pytest.approx(np.linalg.eigvalsh(matrix)[0], rel=1e-4)
