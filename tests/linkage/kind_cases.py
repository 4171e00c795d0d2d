"""Linkages of every kind, of the size of a footwell: as one likes to build them, and at random in space."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from conversion.linkage import BellCrankLinkage, CableLinkage, ContactLinkage, DirectLinkage, Linkage, adjusted_at_rest
from conversion.linkage.kinds import arrays_of, with_figures
from conversion.linkage.turning import across
from tests.linkage.cases import picked, random_linkages, seeds, unit

TRAVEL = np.linspace(0.0, 0.4, 41)


def one_of(linkages: Linkage, sample: int) -> Linkage:
    """One linkage out of many."""
    figures = {name: getattr(linkages, name) for name in arrays_of(linkages)}
    many = {name: figure[sample] for name, figure in figures.items() if figure.ndim > (name in linkages.VECTORS)}
    return with_figures(linkages, many)


def pairs(samples: int, rng: np.random.Generator) -> dict[str, np.ndarray]:
    """Two axes, out of parallel by up to some 15°, 150 to 300 mm apart."""
    pedal_axis = unit(rng.normal(size=(samples, 3)))
    pedal_pivot = rng.uniform(-300, 300, (samples, 3))
    aside = unit(across(pedal_axis, rng.normal(size=(samples, 3))))
    return {
        "pedal_pivot": pedal_pivot,
        "pedal_axis": pedal_axis,
        "module_pivot": pedal_pivot + aside * rng.uniform(150, 300, (samples, 1)),
        "module_axis": unit(pedal_axis + 0.12 * rng.normal(size=(samples, 3))),
        "pedal_sense": rng.choice([-1.0, 1.0], samples),
        "lever_sense": rng.choice([-1.0, 1.0], samples),
    }


def random_cables(samples: int, seed: int) -> CableLinkage:
    """Round and eccentric quadrants, some with so short a groove that it is used up on the way."""
    rng = np.random.default_rng(seed)
    fields = pairs(samples, rng)
    pressing = fields["pedal_axis"] * fields["pedal_sense"][:, None]
    opening = fields["module_axis"] * fields["lever_sense"][:, None]
    arm = unit(across(pressing, rng.normal(size=(samples, 3)))) * rng.uniform(40, 90, (samples, 1))
    pin = fields["pedal_pivot"] + arm
    # The outer stands where pressing draws: behind the path of the pin, within some 30°.
    back = -unit(np.cross(pressing, unit(arm)) + 0.3 * rng.normal(size=(samples, 3)))
    radius = rng.uniform(25, 60, samples)
    first = unit(across(opening, rng.normal(size=(samples, 3))))
    second = np.cross(opening, first)

    def direction(angle: np.ndarray) -> np.ndarray:
        return np.cos(angle)[:, None] * first + np.sin(angle)[:, None] * second

    centre = (
        fields["module_pivot"]
        + direction(rng.uniform(-np.pi, np.pi, samples))
        * (radius * rng.choice([0.0, 1.0], samples) * rng.uniform(0.05, 0.5, samples))[:, None]
    )
    outer = fields["module_pivot"] + first * rng.uniform(110, 250, (samples, 1))
    leaves = -np.arccos(radius / 180.0)
    nipple = centre + direction(leaves - rng.uniform(0.1, 2.5, samples)) * radius[:, None]
    return CableLinkage(
        **fields,
        pedal_pin_at_rest=pin,
        pedal_outer_end=pin + back * rng.uniform(80, 250, (samples, 1)),
        module_outer_end=outer,
        nipple_at_rest_stop=nipple,
        groove_centre_at_rest_stop=centre,
        groove_radius_mm=radius,
        slack_at_rest_mm=rng.uniform(-1.0, 2.0, samples),
    )


def random_contacts(samples: int, seed: int, roller_on: str = "pedal", shape: str = "flat") -> ContactLinkage:
    """Contacts that touch near rest and push the lever open; the line of contact square to both arms within 30°."""
    rng = np.random.default_rng(seed)
    fields = pairs(samples, rng)
    pressing = fields["pedal_axis"] * fields["pedal_sense"][:, None]
    arm = unit(across(pressing, rng.normal(size=(samples, 3)))) * rng.uniform(60, 120, (samples, 1))
    touch = fields["pedal_pivot"] + arm
    push = unit(np.cross(pressing, unit(arm)) + 0.2 * rng.normal(size=(samples, 3)))
    # The lever's axis is put where such a push opens it.
    opening = fields["module_axis"] * fields["lever_sense"][:, None]
    lever_arm = np.cross(unit(across(opening, push)), opening) * rng.uniform(60, 120, (samples, 1))
    fields["module_pivot"] = touch - lever_arm
    radius = rng.uniform(5, 15, samples)
    normal = -push if roller_on == "pedal" else push
    face_radius = {"flat": np.full(samples, np.inf), "arched": rng.uniform(20, 80, samples)}
    face_radius["hollow"] = -face_radius["arched"]
    loose = ContactLinkage(
        **fields,
        roller_centre=touch + normal * radius[:, None],
        face_point=touch,
        face_normal=normal,
        roller_radius_mm=radius,
        face_radius_mm=face_radius[shape],
        roller_on=roller_on,
    )
    return adjusted_at_rest(loose, rng.uniform(-0.02, 0.05, samples))


def random_bell_cranks(samples: int, seed: int) -> BellCrankLinkage:
    """Two rods in space about a crank, nearly square to their arms at rest."""
    rng = np.random.default_rng(seed)
    first, second = random_linkages(samples, seed), random_linkages(samples, seed + 1)
    shift = first.module_pivot - second.pedal_pivot
    crank_axis = first.module_axis
    out = first.module_pivot + unit(rng.normal(size=(samples, 3))) * rng.uniform(40, 90, (samples, 1))
    lever_pin = second.lever_pin_at_rest_stop + shift
    return BellCrankLinkage(
        pedal_pivot=first.pedal_pivot,
        pedal_axis=first.pedal_axis,
        pedal_pin_at_rest=first.pedal_pin_at_rest,
        crank_pivot=first.module_pivot,
        crank_axis=crank_axis,
        crank_pin_in_at_rest=first.lever_pin_at_rest_stop,
        crank_pin_out_at_rest=out,
        module_pivot=second.module_pivot + shift,
        module_axis=second.module_axis,
        lever_pin_at_rest_stop=lever_pin,
        lever_sense=second.lever_sense,
        pedal_sense=first.pedal_sense,
        first_rod_length_mm=first.rod_length_mm,
        second_rod_length_mm=np.linalg.norm(out - lever_pin, axis=-1) * rng.uniform(0.995, 1.005, samples),
    )


def random_direct(samples: int, seed: int) -> DirectLinkage:
    rng = np.random.default_rng(seed)
    return DirectLinkage(
        rng.uniform(-300, 300, (samples, 3)),
        unit(rng.normal(size=(samples, 3))),
        rng.choice([-1.0, 1.0], samples),
        rng.uniform(0.0, 0.05, samples),
    )


KINDS: dict[str, Callable[[int, int], Linkage]] = {
    "rod": random_linkages,
    "cable": random_cables,
    **{
        f"contact, roller on the {body}, {shape} face": (
            lambda samples, seed, body=body, shape=shape: random_contacts(samples, seed, body, shape)
        )
        for body in ("pedal", "lever")
        for shape in ("flat", "arched", "hollow")
    },
    "bell-crank": random_bell_cranks,
    "direct": random_direct,
}

any_linkage = st.builds(lambda kind, seed: one_of(KINDS[kind](1, seed), 0), st.sampled_from(sorted(KINDS)), seeds)
any_cable = seeds.map(lambda seed: one_of(random_cables(1, seed), 0))
any_contact = st.builds(
    lambda seed, body, shape: one_of(random_contacts(1, seed, body, shape), 0),
    seeds,
    st.sampled_from(["pedal", "lever"]),
    st.sampled_from(["flat", "arched", "hollow"]),
)
any_bell_crank = seeds.map(lambda seed: one_of(random_bell_cranks(1, seed), 0))

# As one likes to build them: everything in the plane z = 0, arms upright.
CABLE = CableLinkage(
    pedal_pivot=[0, 0, 0],
    pedal_axis=[0, 0, -1],
    pedal_sense=1,
    pedal_pin_at_rest=[0, 60, 0],
    pedal_outer_end=[-200, 60, 0],
    module_outer_end=[200, 40, 0],
    module_pivot=[300, 0, 0],
    module_axis=[0, 0, 1],
    lever_sense=1,
    nipple_at_rest_stop=[340, 0, 0],
    groove_centre_at_rest_stop=[300, 0, 0],
    groove_radius_mm=40.0,
)
CONTACT = ContactLinkage(
    pedal_pivot=[0, 0, 0],
    pedal_axis=[0, 0, -1],
    pedal_sense=1,
    module_pivot=[20, 140, 0],
    module_axis=[0, 0, 1],
    lever_sense=1,
    roller_centre=[10, 70, 0],
    face_point=[20, 70, 0],
    face_normal=[-1, 0, 0],
    roller_radius_mm=10.0,
)
BELL_CRANK = BellCrankLinkage(
    pedal_pivot=[0, 0, 0],
    pedal_axis=[0, 0, 1],
    pedal_sense=1,
    pedal_pin_at_rest=[0, 60, 0],
    crank_pivot=[200, 0, 0],
    crank_axis=[0, 0, 1],
    crank_pin_in_at_rest=[200, 60, 0],
    crank_pin_out_at_rest=[240, 0, 0],
    module_pivot=[240, 150, 0],
    module_axis=[0, 0, 1],
    lever_pin_at_rest_stop=[280, 150, 0],
    lever_sense=1,
    first_rod_length_mm=200.0,
    second_rod_length_mm=np.hypot(40.0, 150.0),
)
DIRECT = DirectLinkage([0, 0, 0], [0, 1, 0], -1)
ROD = picked(random_linkages(1, 3), 0)


def changed(linkage: Linkage, **figures: object) -> Linkage:
    """The linkage with some figures exchanged."""
    return replace(linkage, **figures)
