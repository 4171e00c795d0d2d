"""Linkages that several tests look at: four-bars laid in a plane, and any linkage in space."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from conversion.linkage import RodLinkage


def four_bar(
    crank: float, rod: float, lever: float, ground: float, crank_rad: float, lever_rad: float, **changes: object
) -> RodLinkage:
    """A planar four-bar, angles from the ground link: the crank at rest, the lever on its stop."""
    fields = {
        "pedal_pivot": np.zeros(3),
        "pedal_axis": np.array([0.0, 0.0, 1.0]),
        "pedal_pin_at_rest": crank * np.array([np.cos(crank_rad), np.sin(crank_rad), 0.0]),
        "module_pivot": np.array([ground, 0.0, 0.0]),
        "module_axis": np.array([0.0, 0.0, 1.0]),
        "lever_pin_at_rest_stop": np.array([ground + lever * np.cos(lever_rad), lever * np.sin(lever_rad), 0.0]),
        "lever_sense": 1,
        "pedal_sense": 1,
        "rod_length_mm": rod,
    }
    return RodLinkage(**(fields | changes))


def unit(vector: np.ndarray) -> np.ndarray:
    """Vectors (..., 3) brought to length one."""
    return vector / np.linalg.norm(vector, axis=-1, keepdims=True)


def random_linkages(samples: int, seed: int) -> RodLinkage:
    """Linkages of the size of a footwell, turned every way, that close near the lever's stop or nearly do."""
    rng = np.random.default_rng(seed)
    pedal_pivot = rng.uniform(-300, 300, (samples, 3))
    module_pivot = pedal_pivot + unit(rng.normal(size=(samples, 3))) * rng.uniform(120, 300, (samples, 1))
    pedal_pin = pedal_pivot + unit(rng.normal(size=(samples, 3))) * rng.uniform(40, 120, (samples, 1))
    lever_pin = module_pivot + unit(rng.normal(size=(samples, 3))) * rng.uniform(30, 80, (samples, 1))
    return RodLinkage(
        pedal_pivot=pedal_pivot,
        pedal_axis=unit(rng.normal(size=(samples, 3))),
        pedal_pin_at_rest=pedal_pin,
        module_pivot=module_pivot,
        module_axis=unit(rng.normal(size=(samples, 3))),
        lever_pin_at_rest_stop=lever_pin,
        lever_sense=rng.choice([-1, 1], samples),
        pedal_sense=rng.choice([-1, 1], samples),
        rod_length_mm=np.linalg.norm(pedal_pin - lever_pin, axis=-1) * rng.uniform(0.995, 1.005, samples),
    )


def picked(linkages: RodLinkage, sample: int) -> RodLinkage:
    """One linkage out of many."""
    return RodLinkage(**{name: getattr(linkages, name)[sample] for name in RodLinkage.__dataclass_fields__})


seeds = st.integers(min_value=0, max_value=2**32 - 1)
one_linkage = seeds.map(lambda seed: picked(random_linkages(1, seed), 0))
