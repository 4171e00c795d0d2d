"""How much longer wires get by twisting.

Source     The length of a helix; a worked figure of an answer on twisted pairs: helix radius 0.020 in and pitch 1 in,
           100 ft of pair need 100.79 ft of each wire. Figures of 1.6 mm wire at 33 mm and 20 mm pitch: the same formula
           worked out by hand.
Read from  A stored copy of the page that gives the example.
Tolerance  That of the printed figures.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from conversion.loom.twists import take_up


def test_the_worked_figure() -> None:
    assert take_up(1.0, 0.040) == pytest.approx(1.0079, abs=5e-5)
    assert 100.0 * take_up(1.0, 0.040) == pytest.approx(100.79, abs=0.005)


@pytest.mark.parametrize(("pitch_mm", "expected"), [(33.0, 1.01153), (20.0, 1.03110)])
def test_worked_out_by_hand(pitch_mm: float, expected: float) -> None:
    assert take_up(pitch_mm, 1.6) == pytest.approx(expected, abs=5e-6)


def test_against_a_helix_laid_out_in_short_steps() -> None:
    angle = np.linspace(0.0, 2.0 * math.pi, 20_001)
    helix = np.column_stack((1.2 * np.cos(angle), 1.2 * np.sin(angle), 25.0 * angle / (2.0 * math.pi)))
    length = float(np.linalg.norm(np.diff(helix, axis=0), axis=1).sum())
    assert take_up(25.0, 2.4) == pytest.approx(length / 25.0, rel=1e-7)
