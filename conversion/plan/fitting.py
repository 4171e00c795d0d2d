"""Whether it all fits: clearances over travel and over-travel, the gaps at the pad, the recess, the bracket."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from conversion.description import Description, Missing
from conversion.description.fit_forms import ASKED_FOR, FitForm, ObstacleKind
from conversion.fit import (
    AnyBody,
    Bulkhead,
    Clearance,
    CornerInfill,
    Envelope,
    Kind,
    MemberCut,
    Poses,
    clearances,
    gap_at_mm,
    least_depth_mm,
    pad_centres_mm,
    side_gap_mm,
    step_height_mm,
    swept_envelope,
)
from conversion.fit.bodies import FIXED
from conversion.linkage import solve
from conversion.plan.fit_bodies import PEDAL, BodyMaker, poses_of
from conversion.plan.fit_bracket import cut_infills, cut_members
from conversion.plan.fit_figures import NO_FIT, FitFigures
from conversion.plan.fit_obstacles import Standing, stand
from conversion.plan.fit_pairs import UNDERFOOT, held_against, wanted_for
from conversion.plan.fit_recess import Lack, RecessPlan, plan_recess
from conversion.plan.travel import Travel

OVER_TRAVEL = 1.05
"""Past the full stop by 5 % of the travel, where the module's own stop does not end it before: stops and pedals give.
Common practice, no source."""
TOUCHING_MM = 0.05
"""What stands still may be fastened to each other; less than this deep in one another counts as touching."""
SIDE_GAP_MM = (40.0, 90.0)
"""Between the accelerator's pad and the brake's, where the description asks for nothing else: less and a boot presses
both, more and the foot has to look for the brake. Common practice, no source."""


@dataclass(frozen=True)
class FitClearance:
    """How close a body comes to an obstacle, and how that is judged.

    Attributes:
        clearance: The geometry: names, distance, pad position, closest points, and what is wanted and why.
        obstacle: The described obstacle.
        in_recess: True if the distance is that to the planned recess instead of the bulkhead.
        still: True if neither of the two moves.
    """

    clearance: Clearance
    obstacle: Standing
    in_recess: bool
    still: bool

    @property
    def least_mm(self) -> float:
        """Distance less what the obstacle's points are uncertain by. [mm]"""
        return self.clearance.distance_mm - self.obstacle.uncertain_mm

    @property
    def touches(self) -> bool:
        """Whether the two touch, as described."""
        return self.clearance.distance_mm <= (-TOUCHING_MM if self.still else 0.0)

    @property
    def enough(self) -> bool:
        """Whether the wanted clearance is there even if the obstacle stands as near as its points allow."""
        if self.still and self.clearance.wanted.clearance_mm == 0.0:
            return not self.touches
        return self.least_mm >= self.clearance.wanted.clearance_mm


@dataclass(frozen=True)
class PadGap:
    """Between the pad and what is under it, with the pedal at its full stop.

    Attributes:
        obstacle: The nearest of floor, mat and carpet.
        gap_mm: Distance there. [mm]
    """

    obstacle: Standing
    gap_mm: float


@dataclass(frozen=True)
class BrakeBeside:
    """How the brake pedal stands beside the accelerator, both at rest.

    Attributes:
        obstacle: The brake pedal.
        side_gap_mm: Sideways between the two pads. [mm]
        step_mm: How far the brake's face stands nearer to the driver; None if its pad is not described. [mm]
        wanted_mm: Least and greatest side gap that is wanted. [mm]
    """

    obstacle: Standing
    side_gap_mm: float
    step_mm: float | None
    wanted_mm: tuple[float, float]


class Fit:
    """The fit of one description; what rests on an unknown figure comes as, or raises, Missing.

    Attributes:
        form: As described.
        travel: The pedal's travel.
        poses: From the rest stop over the full stop to the end of the over-travel.
        full_position: The position of the poses at which the pedal meets its full stop.
        bodies: Everything that belongs to the linkage, the module's body included.
        obstacles: Everything that may be in the way.
        unknown: Why a body or an obstacle is not among them.
    """

    def __init__(self, description: Description, form: FitForm, travel: Travel) -> None:
        self.form, self.travel = form, travel
        self._figures = FitFigures(description)
        maker = BodyMaker(self._figures, form, travel)
        self.poses, self.full_position = _poses(description, travel, maker)
        made = list(maker.made())
        standing = stand(self._figures, form, travel.geometry.pad_mm)
        self.bodies: tuple[AnyBody, ...] = tuple(each for each in made if not isinstance(each, Missing))
        self.obstacles: tuple[Standing, ...] = tuple(each for each in standing if not isinstance(each, Missing))
        self.unknown = tuple(each for each in (*made, *standing) if isinstance(each, Missing))
        linkage = description.conversion.linkage
        self._floor_hinged = linkage is not None and linkage.pedal.mount == "floor-hinged"

    def body(self, name: str) -> AnyBody | None:
        """The body of a name, such as ``pad`` or ``lever``."""
        return next((body for body in self.bodies if body.name == name), None)

    @property
    def not_described(self) -> tuple[ObstacleKind, ...]:
        """Kinds of obstacles that every footwell has, neither described nor said to be absent."""
        told = {obstacle.kind for obstacle in self.form.obstacles.values()} | set(self.form.absent)
        if self.form.bodies.shoe is not None:
            told.add("shoe")
        return tuple(kind for kind in ASKED_FOR if kind not in told)

    @cached_property
    def direct_clearances(self) -> tuple[FitClearance, ...]:
        """Least clearance of every body to every obstacle as the car is, without a recess."""
        found = []
        for standing in self.obstacles:
            for body in self.bodies:
                if held_against(body, standing, self._floor_hinged):
                    found += self._clearances(body, standing, standing.bodies, False)
        shoe = self.body("shoe")
        if shoe is not None:
            foot = Standing("shoe", ("bodies", "shoe"), "shoe", (shoe,), (shoe,), (), None, 0.0, False)
            for body in self.bodies:
                if body.moves_with != PEDAL:
                    found += self._clearances(body, foot, foot.bodies, False)
        return tuple(found)

    @cached_property
    def lacks(self) -> tuple[Lack, ...]:
        """Each flat part of a bulkhead that is too near to what moves, the driver's shoe left aside."""
        found = []
        for standing in self.obstacles:
            for flat in standing.flats:
                near = [
                    each
                    for each in self.direct_clearances
                    if each.clearance.obstacle == flat.name and not each.enough and each.clearance.body != "shoe"
                ]
                bodies = tuple(body for body in self.bodies if body.name in {each.clearance.body for each in near})
                if bodies:
                    wanted = max(each.clearance.wanted.clearance_mm for each in near) + standing.uncertain_mm
                    depth = least_depth_mm(bodies, self.poses, flat, wanted)
                    found.append(Lack(standing, flat, bodies, depth, wanted))
        return tuple(found)

    @cached_property
    def recesses(self) -> tuple[RecessPlan, ...]:
        """The described recess worked out, for each flat part that is too near; none where it is not described.

        Raises:
            Missing: A figure of the recess is not known, or it cannot be made.
        """
        form = self.form.recess
        if form is None:
            return ()
        behind = [standing for standing in self.obstacles if standing.behind_bulkhead]
        return tuple(
            plan_recess(self._figures, form, lack, self._may_enter(lack), self.poses, behind) for lack in self.lacks
        )

    def _may_enter(self, lack: Lack) -> tuple[AnyBody, ...]:
        """What is too near, and whatever else that moves may come into the opening, the shoe left aside."""
        return tuple(
            body
            for body in self.bodies
            if body.kind is not Kind.SHOE and (body.moves_with != FIXED or body in lack.bodies)
        )

    @cached_property
    def clearances(self) -> tuple[FitClearance, ...]:
        """Least clearance of every body to every obstacle, with the described recess in place.

        Where the recess cannot be worked out, the bulkhead stands as it is.
        """
        try:
            recesses = {plan.lack.flat.name: plan for plan in self.recesses}
        except Missing:
            return self.direct_clearances
        found: list[FitClearance] = []
        for each in self.direct_clearances:
            plan, body = recesses.get(each.clearance.obstacle), self.body(each.clearance.body)
            if plan is None or body is None or body.kind is Kind.SHOE or each.clearance.distance_mm >= plan.reach_mm:
                found.append(each)
            else:
                found += self._clearances(body, each.obstacle, (plan.recess.inside,), True)
        return tuple(found)

    def _clearances(
        self, body: AnyBody, standing: Standing, solids: tuple[AnyBody, ...], in_recess: bool
    ) -> list[FitClearance]:
        return [
            FitClearance(
                replace(found, wanted=wanted_for(body, standing, solid.moves_with)),
                standing,
                in_recess,
                body.moves_with == FIXED and solid.moves_with == FIXED,
            )
            for solid in solids
            for found in clearances([body], [solid], self.poses)
        ]

    @cached_property
    def pad_gap(self) -> PadGap | None:
        """Between pad and floor, mat or carpet at the full stop; None without pad or any of those."""
        pad = self.body("pad")
        under = [standing for standing in self.obstacles if standing.kind in UNDERFOOT]
        if pad is None or not under:
            return None
        gaps = [
            (float(min(gap_at_mm(pad, body, self.poses, self.full_position)[0] for body in each.bodies)), number)
            for number, each in enumerate(under)
        ]
        gap, number = min(gaps)
        return PadGap(under[number], gap)

    @cached_property
    def brake(self) -> BrakeBeside | None:
        """The brake pedal beside this one, both at rest; None if it, or this pad, is not described."""
        pad, standing = self.body("pad"), next((each for each in self.obstacles if each.kind == "brake pedal"), None)
        if pad is None or standing is None or any(not hasattr(each, "pieces") for each in standing.at_rest):
            return None
        still = self.poses.at([0.0])
        gap = float(side_gap_mm(pad, standing.at_rest[0], still)[0])
        step = None
        if standing.pad_mm is not None:
            ours = pad_centres_mm(self.travel.geometry.pad_mm, still)[0]
            linkage = self.travel.geometry.linkage
            toward = -np.cross(linkage.pressing_axis, self.travel.geometry.pad_mm - linkage.pedal_pivot)
            step = float(step_height_mm(ours, standing.pad_mm, toward))
        asked = self.form.brake_gap
        return BrakeBeside(standing, gap, step, (asked.low, asked.high) if asked is not None else SIDE_GAP_MM)

    @cached_property
    def envelope(self) -> Envelope:
        """The outline that everything that moves sweeps in the side plane; computed only when a drawing asks."""
        moving = [body for body in self.bodies if body.moves_with != FIXED and body.kind is not Kind.SHOE]
        return swept_envelope(moving, self.poses)

    @cached_property
    def bulkheads(self) -> tuple[Bulkhead, ...]:
        """Flat parts of every described bulkhead."""
        return tuple(flat for standing in self.obstacles for flat in standing.flats)

    @cached_property
    def members(self) -> dict[str, MemberCut | Missing]:
        """Cut lengths and mitres of the bracket's members, by name."""
        return cut_members(self._figures, self.form)

    @cached_property
    def infills(self) -> dict[str, CornerInfill | Missing]:
        """Cut lengths of the members across corners, by name."""
        return cut_infills(self._figures, self.form)


def _poses(description: Description, travel: Travel, maker: BodyMaker) -> tuple[Poses, float]:
    """The travel's own positions and, as far apart as those, the over-travel."""
    full = float(travel.pad_at_full_mm[2])
    end = full * OVER_TRAVEL
    if np.isfinite(travel.module_stop_mm):
        end = max(full, min(end, travel.module_stop_mm))
    nominal = travel.pedal_rad
    step = float(nominal[1] - nominal[0])
    last = end / travel.geometry.pad_radius_mm
    more = max(0, int(np.ceil((last - float(nominal[-1])) / step - 1e-9)))
    pedal = np.concatenate([nominal, np.linspace(float(nominal[-1]), last, more + 1)[1:]]) if more else nominal
    motion = solve(travel.geometry.linkage, pedal)
    open_at = np.flatnonzero(~motion.exists)
    closes = int(open_at[0]) if len(open_at) else len(pedal)
    if closes < 2:
        raise Missing("linkage", description.place("linkage"), NO_FIT, "does not close with the pedal at rest")
    if closes < len(pedal):
        motion = solve(travel.geometry.linkage, pedal[:closes])
    return poses_of(travel, motion, maker.ends()), float(min(len(nominal), closes) - 1)
