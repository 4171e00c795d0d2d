"""From the described springs, weights and friction to the return study of the linkage room."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.description import Description, Missing
from conversion.description.parts import PedalModule
from conversion.description.places import Point
from conversion.description.spring_forms import CompressionSpring, ExtensionSpring
from conversion.description.spring_forms import Spring as SpringForm
from conversion.linkage.returns import ReturnStudy, return_study
from conversion.linkage.springs import Half, PointSpring, Spring, TorsionSpring, Weight, hinge_of, module_springs
from conversion.linkage.turning import Array
from conversion.plan.link.friction import frictions
from conversion.plan.link.geometry import Geometry
from conversion.plan.link.linkages import listed
from conversion.plan.link.spring_rates import spring_rate
from conversion.plan.link.travel import Travel
from conversion.quantities import Quantity

_NO_RETURN = "the return cannot be judged"


@dataclass(frozen=True)
class ReturnParts:
    """What returns pedal and lever, and what is in its way.

    Attributes:
        springs: Outside the module, then those in it.
        weights: Of the pedal, where it is described.
        pedal_friction_nm: About the pedal axis. [N·m]
        module_friction_nm: About the lever's axis. [N·m]
    """

    springs: tuple[Spring, ...]
    weights: tuple[Weight, ...]
    pedal_friction_nm: float
    module_friction_nm: float


def gather_return(description: Description, swing_rad: float) -> ReturnParts:
    """Springs, weights and friction of a description.

    Args:
        description: With every point as coordinates.
        swing_rad: Between the module's own stops. [rad]

    Raises:
        Missing: A figure of a spring or of the module's springs is not known.
    """
    form = description.conversion.linkage
    assert form is not None, "a geometry was gathered from it"
    pedal = form.pedal
    pedal_friction, module_friction = frictions(description)
    springs = described_springs(description)
    inner = _module(description, form.module.device, swing_rad)
    weights = []
    if pedal.mass is not None and pedal.centre_of_mass is not None:
        centre = _point(description, pedal.centre_of_mass, "linkage", "pedal", "centre_of_mass")
        weights.append(Weight("weight of the pedal", pedal.mass.nominal, centre))
    return ReturnParts(
        (*springs, *inner), tuple(weights), pedal_friction.moment_nm, module_friction.moment_nm
    )  # fmt: skip


def study_return(description: Description, geometry: Geometry, travel: Travel) -> ReturnStudy:
    """Moments of everything that returns pedal and lever, with each spring out and with the link parted.

    Raises:
        Missing: A figure of a spring or of the module's springs is not known.
    """
    parts = gather_return(description, geometry.swing_rad[0])
    return return_study(
        geometry.linkage,
        travel.pedal_rad,
        springs=parts.springs,
        pad_radius_mm=geometry.pad_radius_mm,
        weights=parts.weights,
        pedal_friction_nm=parts.pedal_friction_nm,
        module_friction_nm=parts.module_friction_nm,
    )


def described_springs(description: Description) -> list[Spring]:
    """The springs outside the module, in the order written.

    Raises:
        Missing: A figure of one of them is not known.
    """
    return [_spring(description, name, spring) for name, spring in description.conversion.springs.items()]


@dataclass(frozen=True)
class SpringWay:
    """A described spring between two points over the travel.

    Attributes:
        spring: What was described.
        force_n: Over the travel, (positions,). [N]
        length_mm: Over the travel, (positions,). [mm]
        at_farthest_mm: With its half as far as the tolerances of the full stop let it go. [mm]
    """

    spring: PointSpring
    force_n: Array
    length_mm: Array
    at_farthest_mm: float


def spring_ways(description: Description, travel: Travel) -> list[SpringWay]:
    """Each described spring between two points over the travel."""
    found = []
    pedal_farthest = travel.pad_at_full_mm[2] / travel.geometry.pad_radius_mm
    for spring in described_springs(description):
        if isinstance(spring, PointSpring):
            on_pedal = spring.half == "pedal"
            angle = travel.pedal_rad if on_pedal else travel.lever_rad
            farthest = pedal_farthest if on_pedal else travel.lever_at_full_rad[2]
            hinge = hinge_of(travel.geometry.linkage, spring.half)
            found.append(
                SpringWay(
                    spring,
                    spring.force_at_n(hinge, angle),
                    spring.length_at_mm(hinge, angle),
                    float(spring.length_at_mm(hinge, [farthest])[0]),
                )
            )
    return found


def _spring(description: Description, name: str, form: SpringForm) -> Spring:
    half: Half = "pedal" if form.acts_on == "pedal" else "module"

    def known(figure: Quantity | None, key: str) -> Quantity:
        return description.need(figure, _NO_RETURN, "springs", name, key)

    if isinstance(form, ExtensionSpring | CompressionSpring):
        tension = form.initial_tension.low if isinstance(form, ExtensionSpring) and form.initial_tension else 0.0
        return PointSpring(
            name,
            form.type,
            _point(description, form.fixed_end, "springs", name, "fixed_end"),
            _point(description, form.moving_end, "springs", name, "moving_end"),
            known(form.free_length, "free_length").nominal,
            spring_rate(description, form, name, _NO_RETURN).low,
            tension,
            half,
        )
    return TorsionSpring(name, known(form.rest_moment, "rest_moment").low, known(form.rate, "rate").low, half)


def _module(description: Description, device: str, swing_rad: float) -> list[Spring]:
    part = description.parts[device]
    assert isinstance(part, PedalModule), "the linkage's device is checked when the description is read"
    form = part.lever.springs
    if form is None:
        why = f"{_NO_RETURN}; write 'count: 0' if the module has none"
        raise Missing(f"{device}: lever.springs", description.part_place(device, "lever"), why)
    if form.count == 0:
        return []
    rest = description.part_need(form.rest_moment, _NO_RETURN, device, "lever", "springs", "rest_moment")
    full = description.part_need(form.full_moment, _NO_RETURN, device, "lever", "springs", "full_moment")
    return list(module_springs("in the module", rest.low, full.low, swing_rad, count=form.count))


def _point(description: Description, point: Point, *path: str) -> np.ndarray:
    figures = enumerate(listed(point))
    return np.array([description.need(figure, _NO_RETURN, *path, index).nominal for index, figure in figures])
