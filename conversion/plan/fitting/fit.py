"""Whether it all fits: clearances over travel and over-travel, the gaps at the pad, the recess, the bracket."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from conversion.description import Description, Missing
from conversion.description.fit_forms import ASKED_FOR, FitForm, ObstacleKind
from conversion.fit import (
    AnyBody,
    Bulkhead,
    CornerInfill,
    Kind,
    MemberCut,
    Poses,
    clearances,
    gap_at_mm,
    pad_centres_mm,
    side_gap_mm,
    step_height_mm,
)
from conversion.fit.apart import certainly_apart_mm
from conversion.fit.bodies import FIXED
from conversion.linkage import BellCrankLinkage, CableLinkage, ContactLinkage, DirectLinkage, RodLinkage, solve
from conversion.linkage.turning import across, length
from conversion.plan.fitting.bodies import PEDAL, BodyMaker, poses_of
from conversion.plan.fitting.bracket import cut_infills, cut_members, standing_members
from conversion.plan.fitting.figures import NO_FIT, FitFigures
from conversion.plan.fitting.judged import SIDE_GAP_MM, BrakeBeside, FitClearance, PadGap
from conversion.plan.fitting.obstacles import Standing, stand
from conversion.plan.fitting.pairs import UNDERFOOT, Pair, held_against, own_pairs, passes_through
from conversion.plan.fitting.places import FAR_OFF_MM, Misplaced, module_misplaced, pedal_misplaced
from conversion.plan.fitting.recess import NO_RECESS, Lack, RecessPlan, plan_recess, standing_on
from conversion.plan.link.travel import Travel

if TYPE_CHECKING:
    from conversion.fit import Envelope

NEAR_MM = 100.0
"""What stays farther apart over the whole travel is not listed."""
OVER_TRAVEL = 1.05
"""Past the full stop by 5 % of the travel, or by its tolerance if that is more, for stops and pedals give; but never
past the module's own stop. Common practice, no source."""


class Fit:
    """The fit of one description; what rests on an unknown figure comes as, or raises, Missing.

    Attributes:
        form: As described.
        travel: The pedal's travel.
        poses: From the rest stop over the full stop to the end of the over-travel.
        full_position: The position of the poses at which the pedal meets its full stop.
        bodies: Everything that belongs to the linkage, the module's body included.
        obstacles: Everything that may be in the way, the bracket's own members last.
        unknown: Why a body or an obstacle is not among them.
    """

    def __init__(self, description: Description, form: FitForm, travel: Travel) -> None:
        self.form, self.travel = form, travel
        self._figures = FitFigures(description)
        maker = BodyMaker(self._figures, form, travel)
        self.poses, self.full_position = _poses(description, travel, maker)
        made = list(maker.made())
        standing = stand(self._figures, form, travel.geometry.pad_mm)
        self._uncertain = maker.uncertain_mm
        self.bodies: tuple[AnyBody, ...] = tuple(each for each in made if not isinstance(each, Missing))
        described = tuple(each for each in standing if not isinstance(each, Missing))
        self.obstacles: tuple[Standing, ...] = (*described, *standing_members(self._figures, form))
        self.unknown = tuple(each for each in (*made, *standing) if isinstance(each, Missing))
        self._certain: dict[Pair, float] = {}
        self._found: dict[Pair, FitClearance] = {}
        linkage = description.conversion.linkage
        self._floor_hinged = linkage is not None and linkage.pedal.mount == "floor-hinged"

    def body(self, name: str) -> AnyBody | None:
        """The body of a name, such as ``pad`` or ``lever``."""
        return next((body for body in self.bodies if body.name == name), None)

    @property
    def not_described(self) -> tuple[ObstacleKind, ...]:
        """Kinds of obstacles that every footwell has, neither described nor said to be absent."""
        # A shoe on another pedal is not the one on this.
        obstacles = [each for each in self.form.obstacles.values() if each.kind != "shoe" or each.travel is None]
        told = {obstacle.kind for obstacle in obstacles} | set(self.form.absent)
        if self.form.bodies.shoe is not None:
            told.add("shoe")
        return tuple(kind for kind in ASKED_FOR if kind not in told)

    @property
    def still_pedals(self) -> tuple[str, ...]:
        """Other pedals of whose travel nothing is said, by name: neither their room nor their height is known."""
        pedals = ("brake pedal", "other pedal")
        return tuple(name for name, each in self.form.obstacles.items() if each.kind in pedals and not each.travel)

    @property
    def bodies_not_described(self) -> tuple[str, ...]:
        """Bodies that a linkage of this kind has and of which nothing is said, by their key under ``bodies``."""
        linkage, given = self.travel.geometry.linkage, self.form.bodies.model_fields_set
        wanted = ["module"] if isinstance(linkage, DirectLinkage) else ["lever", "module"]
        if not isinstance(linkage, ContactLinkage | DirectLinkage):
            wanted.insert(1, "link")
        if isinstance(linkage, BellCrankLinkage):
            wanted.append("crank")
        if isinstance(linkage, CableLinkage):
            wanted.append("outer")
        return tuple(key for key in wanted if key not in given)

    @cached_property
    def _as_it_is(self) -> tuple[Pair, ...]:
        """Every body with every obstacle that it is held against, as the car is, without a recess."""
        pairs = [
            Pair(body, standing, solid)
            for standing in self.obstacles
            for body in self.bodies
            if held_against(body, standing, self._floor_hinged)
            and not passes_through(self.travel.geometry.linkage, body, standing)
            for solid in standing.bodies
        ]
        shoe = self.body("shoe")
        if shoe is not None:
            foot = Standing("shoe", ("bodies", "shoe"), "shoe", (shoe,), (shoe,), (), None, 0.0, False)
            pairs += [Pair(body, foot, shoe) for body in self.bodies if body.moves_with != PEDAL]
        pairs += own_pairs(self.travel.geometry.linkage, self.bodies)
        found = []
        for pair in pairs:
            if pair.can_meet:
                off = self._uncertain.get(pair.body.name, 0.0) + self._uncertain.get(pair.solid.name, 0.0)
                found.append(pair.widened(off) if off > 0.0 else pair)
        return tuple(found)

    @cached_property
    def lacks(self) -> tuple[Lack, ...]:
        """Each flat part of a bulkhead that is too near to what moves, the driver's shoe left aside."""
        found = []
        for standing in self.obstacles:
            for flat in standing.flats:
                near = [
                    pair
                    for pair in self._as_it_is
                    if pair.solid.name == flat.name and pair.body.kind is not Kind.SHOE and not self._enough(pair)
                ]
                if near:
                    bodies = tuple(pair.body for pair in near)
                    wanted = max(pair.wanted.clearance_mm + pair.obstacle.uncertain_mm for pair in near)
                    found.append(Lack(standing, flat, bodies, wanted, self.poses))
        return tuple(found)

    def least_depth_mm(self, lack: Lack) -> float:
        """How far the bulkhead would have to go back. [mm]

        Raises:
            Missing: The mechanism runs through it.
        """
        try:
            return lack.least_depth_mm
        except ValueError as error:
            path = ("fit", *lack.obstacle.path)
            place, state = self._figures.description.place(*path), f"is too far in the way: {error}"
            raise Missing(".".join(path), place, NO_RECESS, state) from None

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
        return tuple(plan_recess(self._figures, form, lack, self._may_enter(lack), behind) for lack in self.lacks)

    @property
    def members_on_recess(self) -> tuple[tuple[RecessPlan, Standing], ...]:
        """Each recess with each member of the bracket that stands where it goes.

        Raises:
            Missing: A figure of the recess is not known, or it cannot be made.
        """
        members = [standing for standing in self.obstacles if standing.path[0] == "members"]
        return standing_on(self.recesses, members)

    def _may_enter(self, lack: Lack) -> tuple[AnyBody, ...]:
        """What is too near, and whatever else that moves may come into the opening, the shoe left aside."""
        return tuple(
            body
            for body in self.bodies
            if body.kind is not Kind.SHOE and (body.moves_with != FIXED or body in lack.bodies)
        )

    @cached_property
    def _with_recess(self) -> tuple[Pair, ...]:
        """The pairs with the described recess in place; where it cannot be worked out the bulkhead stays as it is."""
        try:
            recesses = {plan.lack.flat.name: plan for plan in self.recesses}
        except Missing:
            return self._as_it_is
        pairs = []
        for pair in self._as_it_is:
            plan = recesses.get(pair.solid.name)
            if plan is None or pair.body.kind is Kind.SHOE or self._stays_off(pair, plan.reach_mm):
                pairs.append(pair)
            else:
                pairs.append(Pair(pair.body, pair.obstacle, plan.recess.inside, in_recess=True))
        return tuple(pairs)

    @cached_property
    def clearances(self) -> tuple[FitClearance, ...]:
        """Least clearance of every body to every obstacle that it comes near to, the described recess in place."""
        near = []
        for pair in self._with_recess:
            listed_mm = max(NEAR_MM, 2.0 * pair.wanted.clearance_mm)
            if pair.in_recess or self._certain_mm(pair) < listed_mm:
                found = self._clearance(pair)
                if pair.in_recess or found.clearance.distance_mm < listed_mm:
                    near.append(found)
        return tuple(near)

    @cached_property
    def too_near(self) -> tuple[FitClearance, ...]:
        """Those of the clearances that are less than is wanted; found without working out the others."""
        return tuple(self._clearance(pair) for pair in self._with_recess if not self._enough(pair))

    def _enough(self, pair: Pair) -> bool:
        wanted = pair.wanted.clearance_mm + pair.obstacle.uncertain_mm
        return self._certain_mm(pair) >= wanted or self._clearance(pair).enough

    def _stays_off(self, pair: Pair, distance_mm: float) -> bool:
        return self._certain_mm(pair) >= distance_mm or self._clearance(pair).clearance.distance_mm >= distance_mm

    def _certain_mm(self, pair: Pair) -> float:
        if pair not in self._certain:
            self._certain[pair] = certainly_apart_mm(pair.body, pair.solid, self.poses)
        return self._certain[pair]

    def _clearance(self, pair: Pair) -> FitClearance:
        if pair not in self._found:
            (found,) = clearances([pair.body], [pair.solid], self.poses)
            self._found[pair] = FitClearance(
                replace(found, wanted=pair.wanted), pair.obstacle, pair.in_recess, pair.still
            )
        return self._found[pair]

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

    @property
    def misplaced(self) -> tuple[Misplaced, ...]:
        """What does not stand where such a thing can stand."""
        found = module_misplaced(self.body("module body"), self.travel.geometry.linkage)
        for standing in self.obstacles:
            if standing.name in self.form.obstacles:
                found += pedal_misplaced(standing, self.form.obstacles[standing.name])
        return tuple(found)

    @property
    def far_off(self) -> dict[str, float]:
        """Obstacles that certainly stay far from everything, by name, and the distance that they keep. [mm]"""
        kept: dict[str, float] = {}
        for pair in self._as_it_is:
            name = pair.obstacle.name
            if pair.obstacle.path[0] != "obstacles":
                continue
            kept[name] = min(kept.get(name, np.inf), self._certain_mm(pair))
        return {name: distance for name, distance in kept.items() if distance > FAR_OFF_MM}

    @cached_property
    def envelope(self) -> Envelope:
        """The outline that everything that moves sweeps in the side plane; computed only when a drawing asks."""
        moving = [body for body in self.bodies if body.moves_with != FIXED and body.kind is not Kind.SHOE]
        from conversion.fit import swept_envelope  # only drawings ask, and it loads slowly

        return swept_envelope(moving, self.poses)

    @cached_property
    def bulkheads(self) -> tuple[Bulkhead, ...]:
        """Flat parts of every described bulkhead."""
        return tuple(flat for standing in self.obstacles for flat in standing.flats)

    @property
    def not_cut(self) -> tuple[Missing, ...]:
        """Pieces of the bracket whose figures are known and that cannot be cut all the same."""
        cuts = (*self.members.values(), *self.infills.values())
        return tuple(cut for cut in cuts if isinstance(cut, Missing) and not cut.is_unknown)

    @cached_property
    def lever_web_mm(self) -> float | None:
        """Left between the hole for the pin and the bore of a lever; None where not both are described. [mm]"""
        lever, linkage = self.form.bodies.lever, self.travel.geometry.linkage
        if lever is None or not isinstance(linkage, RodLinkage | BellCrankLinkage):
            return None
        if lever.hole is None or lever.bore is None:
            return None
        arm = across(linkage.module_axis, linkage.lever_pin_at_rest_stop - linkage.module_pivot)
        return float(length(arm)) - (lever.hole.nominal + lever.bore.nominal) / 2

    @cached_property
    def members(self) -> dict[str, MemberCut | Missing]:
        """Cut lengths and mitres of the bracket's members, by name."""
        return cut_members(self._figures, self.form)

    @cached_property
    def infills(self) -> dict[str, CornerInfill | Missing]:
        """Cut lengths of the members across corners, by name."""
        return cut_infills(self._figures, self.form)


def _poses(description: Description, travel: Travel, maker: BodyMaker) -> tuple[Poses, float]:
    """The travel's own positions and, as far apart as those, the over-travel; the module's own stop ends both."""
    nominal, radius = travel.pedal_rad, travel.geometry.pad_radius_mm
    last = max(float(nominal[-1]) * OVER_TRAVEL, travel.pad_at_full_mm[2] / radius)
    if travel.module_stop_mm > 0.0:
        last = min(last, travel.module_stop_mm / radius)
    step = float(nominal[1] - nominal[0])
    # The first position counts also where the module's own stop comes at once.
    within = nominal[: max(1, int(np.sum(nominal < last - step / 4)))]
    more = max(1, int(np.ceil((last - float(within[-1])) / step - 1e-9)))
    pedal = np.concatenate([within, np.linspace(float(within[-1]), last, more + 1)[1:]])
    motion = solve(travel.geometry.linkage, pedal)
    open_at = np.flatnonzero(~motion.exists)
    closes = int(open_at[0]) if len(open_at) else len(pedal)
    if closes < 2:
        raise Missing("linkage", description.place("linkage"), NO_FIT, "does not close with the pedal at rest")
    if closes < len(pedal):
        motion = solve(travel.geometry.linkage, pedal[:closes])
    return poses_of(travel, motion, maker.ends()), float(min(len(nominal), closes) - 1)
