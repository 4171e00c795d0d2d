"""Packing of wires: nothing overlaps, nothing sticks out, and one more or one thicker never makes it thinner."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion.loom.packing import Packing, pack_circles
from conversion.loom.sites import site_arrangements
from conversion.loom.squeezing import MOST_SQUEEZED, wide_outside

DIAMETERS = st.one_of(st.sampled_from([1.4, 1.6, 1.9, 2.1, 2.4, 3.0, 3.7, 4.3]), st.floats(0.3, 9.0))
BUNDLES = st.lists(DIAMETERS, min_size=1, max_size=34)
HAIR_MM = 1e-7


def assert_lies(packing: Packing, diameters: list[float]) -> None:
    radii = np.array(diameters) / 2.0
    centres = packing.centres_mm
    assert (np.hypot(*centres.T) + radii).max() <= packing.diameter_mm / 2.0 + HAIR_MM
    apart = np.hypot(*(centres[:, None] - centres[None]).transpose(2, 0, 1))
    needed = radii[:, None] + radii[None]
    one, other = np.triu_indices(len(radii), 1)
    assert (apart[one, other] >= needed[one, other] - HAIR_MM).all()


@settings(max_examples=150, deadline=None)
@given(BUNDLES)
def test_every_wire_lies_in_the_circle_and_on_no_other(diameters: list[float]) -> None:
    assert_lies(pack_circles(diameters), diameters)


@settings(max_examples=150, deadline=None)
@given(BUNDLES, DIAMETERS)
def test_another_wire_never_shrinks_a_bundle(diameters: list[float], another: float) -> None:
    with_another = pack_circles([*diameters, another]).diameter_mm
    assert with_another >= pack_circles(diameters).diameter_mm - HAIR_MM


@settings(max_examples=150, deadline=None)
@given(BUNDLES, st.data())
def test_a_thicker_wire_never_shrinks_a_bundle(diameters: list[float], data: st.DataObject) -> None:
    index = data.draw(st.integers(0, len(diameters) - 1))
    thicker = list(diameters)
    thicker[index] += data.draw(st.floats(0.0, 3.0))
    assert pack_circles(thicker).diameter_mm >= pack_circles(diameters).diameter_mm - HAIR_MM


@settings(max_examples=50, deadline=None)
@given(BUNDLES, st.randoms(use_true_random=False))
def test_the_order_of_the_wires_changes_nothing(diameters: list[float], random: object) -> None:
    shuffled = list(diameters)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert pack_circles(shuffled).diameter_mm == pytest.approx(pack_circles(diameters).diameter_mm, rel=1e-12)
    assert_lies(pack_circles(shuffled), shuffled)


def test_done_in_the_head() -> None:
    assert pack_circles([]).diameter_mm == 0.0
    assert pack_circles([2.5]).diameter_mm == 2.5
    assert pack_circles([3.0, 2.0]).diameter_mm == pytest.approx(5.0)
    # The gap beside two equal wires holds a third of two thirds their diameter.
    assert pack_circles([3.0, 3.0, 2.0]).diameter_mm == pytest.approx(6.0)
    # A thin wire lies between four thick ones.
    assert pack_circles([2.0] * 4 + [0.8]).diameter_mm == pytest.approx(2.0 + 2.0 * math.sqrt(2.0))


def test_hundreds_of_wires_fill_what_layers_can_fill() -> None:
    diameters = [1.6, 1.9, 2.4, 3.0] * 100
    packing = pack_circles(diameters)
    assert_lies(packing, diameters)
    filled = sum(diameter**2 for diameter in diameters) / packing.diameter_mm**2
    # Even circles of one size cannot fill more than the hexagonal pattern does.
    assert 0.65 < filled < math.pi / math.sqrt(12.0)


@pytest.mark.parametrize("diameters", [[0.0], [1.6, -1.0], [float("nan")]])
def test_a_wire_without_thickness_is_refused(diameters: list[float]) -> None:
    with pytest.raises(ValueError, match="positive"):
        pack_circles(diameters)


@pytest.mark.parametrize("number", range(len(site_arrangements())))
def test_arrangements_neither_overlap_nor_stick_out(number: int) -> None:
    sites = site_arrangements()[number]
    assert_lies(Packing(2.0 * float(sites.reach[-1]), sites.centres), list(2.0 * sites.radii))
    assert (np.diff(sites.radii) <= 1e-12).all()
    for count in (1, len(sites.radii) // 2, len(sites.radii)):
        ends = np.hypot(*sites.centres[:count].T) + sites.radii[:count]
        assert ends.max() <= sites.reach[count - 1] + 1e-9


@pytest.mark.parametrize("seed", range(12))
def test_different_wires_find_room_where_layers_are_too_wide(seed: int) -> None:
    """What the law above rests on for wires of different size: pushing always gets there."""
    random = np.random.default_rng(seed)
    for count in (4, 5, 6, 8, 12, 20):
        diameters = np.sort(random.uniform(1.2, 5.0, count) if seed % 2 else np.exp(random.normal(0.8, 0.6, count)))
        packing = pack_circles(diameters.tolist())
        assert_lies(packing, diameters.tolist())
        assert packing.diameter_mm <= 2.0 * wide_outside(diameters[::-1] / 2.0) + HAIR_MM


def test_the_laws_hold_where_many_wires_are_laid_more_simply() -> None:
    random = np.random.default_rng(7)
    for _ in range(12):
        many = random.choice([1.4, 1.6, 1.9, 2.4, 3.7], MOST_SQUEEZED + 1).tolist()
        widths = [pack_circles(many[:count]).diameter_mm for count in range(MOST_SQUEEZED - 2, MOST_SQUEEZED + 2)]
        assert all(one <= other + HAIR_MM for one, other in pairwise(widths))
