"""What moves, and the module's body: from the linkage's points and the described thicknesses to solid bodies."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from conversion.description import Missing
from conversion.description.fit_forms import FitForm
from conversion.fit import AnyBody, Body, Kind, Link, Poses, Turn, box, capsule, joined
from conversion.fit.bodies import FIXED
from conversion.fit.polytope import extruded
from conversion.linkage import BellCrankLinkage, CableLinkage, ContactLinkage, DirectLinkage, Linkage, Motion
from conversion.linkage.turning import Array, across, foot_of, length
from conversion.plan.fitting.figures import NO_FIT, FitFigures
from conversion.plan.link.travel import Travel

END_LENGTH_MM = 30.0
PEDAL, LEVER, CRANK = "pedal", "lever", "crank"
OUTER, MODULE = "cable's outer", "module body"
# Corners of a quadrant's rim, which lies outside its circle.
RIM = 16


@dataclass(frozen=True)
class Ends:
    """Thick ends of a link that are lines of their own: which line, from which end, how long. [mm]"""

    line: int
    at_start: bool
    length_mm: float


def poses_of(travel: Travel, motion: Motion, ends: tuple[Ends, ...]) -> Poses:
    """Every position as the fit takes it: turns of pedal, lever and crank, lines of the link and of its ends."""
    linkage = motion.linkage
    turns = {PEDAL: Turn(linkage.pedal_pivot, linkage.pressing_axis, motion.pedal_angle_rad)}
    if not isinstance(linkage, DirectLinkage):
        turns[LEVER] = Turn(linkage.module_pivot, linkage.opening_axis, motion.lever_angle_rad)
    if isinstance(linkage, BellCrankLinkage):
        turns[CRANK] = Turn(linkage.crank_pivot, linkage.crank_axis, motion.quantities()["crank_angle_rad"])
    lines = () if isinstance(linkage, ContactLinkage) else motion.link_lines_mm()
    return Poses(
        motion.pedal_angle_rad,
        motion.pedal_angle_rad * travel.geometry.pad_radius_mm,
        turns,
        (*lines, *(_end_line(lines[end.line], end) for end in ends)),
    )


def _end_line(line: Array, end: Ends) -> Array:
    start, other = (line[:, 0], line[:, -1]) if end.at_start else (line[:, -1], line[:, 0])
    run = other - start
    size = length(run)[:, None]
    return np.stack([start, start + run / size * np.minimum(end.length_mm, size)], axis=1)


class BodyMaker:
    """Makes the bodies of one description; what lacks a figure comes as the Missing that tells of it.

    Attributes:
        uncertain_mm: How far a body may stand from where its own points have it, by its name; only of bodies that
            have such points. [mm]
    """

    def __init__(self, figures: FitFigures, form: FitForm, travel: Travel) -> None:
        self.figures, self.bodies = figures, form.bodies
        self.linkage: Linkage = travel.geometry.linkage
        self.pad_mm = travel.geometry.pad_mm
        self.uncertain_mm: dict[str, float] = {}

    def ends(self) -> tuple[Ends, ...]:
        """Thick ends of the link; none where they are not described."""
        link, linkage = self.bodies.link, self.linkage
        if link is None or isinstance(linkage, ContactLinkage | DirectLinkage):
            return ()
        if "end_diameter" not in link.model_fields_set:
            return ()
        size = self.figures.nominal(link.end_length, END_LENGTH_MM, "bodies", "link", "end_length")
        if isinstance(linkage, CableLinkage):
            return (Ends(0, True, size),)
        last = 2 if isinstance(linkage, BellCrankLinkage) else 0
        pairs = {0: (True, False), last: (True, False)}
        return tuple(Ends(line, at_start, size) for line, sides in pairs.items() for at_start in sides)

    def made(self) -> Iterator[AnyBody | Missing]:
        """Every body, or why it cannot be made."""
        for maker in (
            self._arm,
            self._pad,
            self._lever,
            self._crank,
            self._links,
            self._outer,
            self._module,
            self._shoe,
        ):
            try:
                yield from maker()
            except Missing as missing:
                yield missing

    @property
    def _press(self) -> Array:
        """Way of the pad when pressed, at rest, (3,)."""
        way = np.cross(self.linkage.pressing_axis, self.pad_mm - self.linkage.pedal_pivot)
        return np.asarray(way / length(way))

    def _pad_axes(self) -> Array:
        """Along the arm, across, and out of the face toward the driver, as rows."""
        faces = self.bodies.pad.faces
        out = -self._press if faces is None else np.array(faces)
        wide = across(out, self.linkage.pedal_axis)
        if not float(length(wide)) > 1e-6:
            place = self.figures.description.place("fit", "bodies", "pad", "faces")
            raise Missing("fit.bodies.pad.faces", place, NO_FIT, "lies along the pedal's axis")
        wide = wide / length(wide)
        return np.array([np.cross(wide, out), wide, out])

    def _arm(self) -> Iterator[AnyBody]:
        thick = self.figures.most(self.bodies.pedal_arm, "bodies", "pedal_arm")
        pad = self.figures.most(self.bodies.pad.thickness, "bodies", "pad", "thickness")
        back = self.pad_mm - self._pad_axes()[2] * max(pad, thick / 2)
        foot = foot_of(self.linkage.pedal_pivot, self.linkage.pedal_axis, back)
        parts = [capsule("pedal arm", Kind.PEDAL, foot, back, thick / 2, PEDAL)]
        for pin in self._pedal_points():
            pin_foot = foot_of(self.linkage.pedal_pivot, self.linkage.pedal_axis, pin)
            parts += self._bars("pedal arm", Kind.PEDAL, (foot, pin_foot, pin), thick / 2, PEDAL)
        yield joined("pedal arm", Kind.PEDAL, [*parts, *self._roller("pedal", "pedal arm", Kind.PEDAL, thick)])

    def _pedal_points(self) -> list[Array]:
        linkage = self.linkage
        if isinstance(linkage, DirectLinkage):
            return []
        if isinstance(linkage, ContactLinkage):
            return [linkage.roller_centre if linkage.roller_on == "pedal" else linkage.face_point]
        pin: Array = linkage.pedal_pin_at_rest  # type: ignore[attr-defined]
        return [pin]

    def _pad(self) -> Iterator[AnyBody]:
        pad, axes = self.bodies.pad, self._pad_axes()
        size = [self.figures.most(getattr(pad, key), "bodies", "pad", key) for key in ("height", "width", "thickness")]
        yield box("pad", Kind.PEDAL, self.pad_mm - axes[2] * size[2] / 2, axes, np.array(size) / 2, PEDAL)

    def _shoe(self) -> Iterator[AnyBody]:
        shoe, axes = self.bodies.shoe, self._pad_axes()
        if shoe is not None:
            path = ("bodies", "shoe")
            ahead, behind = (self.figures.most(getattr(shoe, key), *path, key) for key in ("ahead", "behind"))
            width, height = (self.figures.most(getattr(shoe, key), *path, key) for key in ("width", "height"))
            # Along the arm may point to either end; the toe is the end farther from the floor.
            up = axes[0] if axes[0][2] >= 0.0 else -axes[0]
            centre = self.pad_mm + up * (ahead - behind) / 2 + axes[2] * height / 2
            half = np.array([(ahead + behind) / 2, width / 2, height / 2])
            yield box("shoe", Kind.SHOE, centre, axes, half, PEDAL)

    def _lever(self) -> Iterator[AnyBody]:
        linkage, lever = self.linkage, self.bodies.lever
        if lever is None or isinstance(linkage, DirectLinkage):
            return
        thick = self.figures.most(lever.thickness, "bodies", "lever", "thickness")
        past = self.figures.nominal(lever.past_pin, thick / 2, "bodies", "lever", "past_pin")
        if isinstance(linkage, CableLinkage):
            rim = float(linkage.groove_radius_mm) + past
            yield _disc("lever", Kind.LEVER, linkage.groove_centre_at_rest_stop, linkage.module_axis, rim, thick)
            return
        if isinstance(linkage, ContactLinkage):
            pin = linkage.face_point if linkage.roller_on == "pedal" else linkage.roller_centre
        else:
            pin = linkage.lever_pin_at_rest_stop  # type: ignore[attr-defined]
        foot = foot_of(linkage.module_pivot, linkage.module_axis, pin)
        # A round end reaches half the thickness past the point where the bar ends.
        end = pin + (pin - foot) / length(pin - foot) * (past - thick / 2)
        parts = self._bars("lever", Kind.LEVER, (foot, end), thick / 2, LEVER)
        yield joined("lever", Kind.LEVER, [*parts, *self._roller("lever", "lever", Kind.LEVER, thick)])

    def _roller(self, half: str, name: str, kind: Kind, thick_mm: float) -> list[Body]:
        linkage = self.linkage
        if not isinstance(linkage, ContactLinkage):
            return []
        axis = linkage.pedal_axis if half == "pedal" else linkage.module_axis
        moves = PEDAL if half == "pedal" else LEVER
        if linkage.roller_on == half and float(linkage.roller_radius_mm) > 0.0:
            return [_disc(name, kind, linkage.roller_centre, axis, float(linkage.roller_radius_mm), thick_mm, moves)]
        if linkage.roller_on != half and np.isfinite(linkage.face_from_mm):
            along = np.cross(axis, linkage.face_normal)
            inward = linkage.face_point - linkage.face_normal * thick_mm / 2
            ends = [inward + along / length(along) * float(at) for at in (linkage.face_from_mm, linkage.face_to_mm)]
            return self._bars(name, kind, ends, thick_mm / 2, moves)
        return []

    def _crank(self) -> Iterator[AnyBody]:
        linkage = self.linkage
        if isinstance(linkage, BellCrankLinkage) and "crank" in self.bodies.model_fields_set:
            thick = self.figures.most(self.bodies.crank, "bodies", "crank")
            parts: list[Body] = []
            for pin in (linkage.crank_pin_in_at_rest, linkage.crank_pin_out_at_rest):
                foot = foot_of(linkage.crank_pivot, linkage.crank_axis, pin)
                parts += self._bars("bell-crank", Kind.LINK, (linkage.crank_pivot, foot, pin), thick / 2, CRANK)
            yield joined("bell-crank", Kind.LINK, parts)

    def _links(self) -> Iterator[AnyBody]:
        link, linkage = self.bodies.link, self.linkage
        if link is None or isinstance(linkage, ContactLinkage | DirectLinkage):
            return
        radius = self.figures.most(link.diameter, "bodies", "link", "diameter") / 2
        names: dict[int, str] = {0: "rod"}
        if isinstance(linkage, CableLinkage):
            names = {0: "cable at the pedal", 1: "cable at the quadrant"}
        elif isinstance(linkage, BellCrankLinkage):
            names = {0: "first rod", 2: "second rod"}
        for line, name in names.items():
            yield Link(name, radius, line)
        ends = self.ends()
        first = 3 if isinstance(linkage, BellCrankLinkage) else len(names)
        if ends:
            thick = self.figures.most(link.end_diameter, "bodies", "link", "end_diameter") / 2
            for index, end in enumerate(ends):
                yield Link(_end_name(names[end.line], end.at_start), thick, first + index)

    def _outer(self) -> Iterator[AnyBody]:
        outer, linkage = self.bodies.outer, self.linkage
        if outer is None or not isinstance(linkage, CableLinkage):
            return
        path = ("bodies", "outer")
        self.figures.start()
        radius = self.figures.most(outer.diameter, *path, "diameter") / 2
        places = [self.figures.point(point, *path, "through", n) for n, point in enumerate(outer.through)]
        self.uncertain_mm[OUTER] = self.figures.uncertain_mm
        points = [linkage.pedal_outer_end, *places, linkage.module_outer_end]
        parts = self._bars(OUTER, Kind.LINK, points, radius, FIXED)
        if parts:
            yield joined(OUTER, Kind.LINK, parts)

    def _module(self) -> Iterator[AnyBody]:
        if self.bodies.module is not None:
            self.figures.start()
            body = self.figures.block(MODULE, Kind.MODULE, self.bodies.module, "bodies", "module")
            self.uncertain_mm[MODULE] = self.figures.uncertain_mm
            yield body

    @staticmethod
    def _bars(name: str, kind: Kind, points: tuple[Array, ...] | list[Array], radius: float, moves: str) -> list[Body]:
        """Bars from point to point, those without length left out."""
        return [
            capsule(name, kind, points[i], points[i + 1], radius, moves)
            for i in range(len(points) - 1)
            if float(length(points[i + 1] - points[i])) > 1e-6
        ]


def _end_name(link: str, at_start: bool) -> str:
    if link.startswith("cable"):
        return "cable's end on the pedal"
    places = {"rod": ("pedal", "lever"), "first rod": ("pedal", "crank"), "second rod": ("crank", "lever")}[link]
    return f"{link}'s end at the {places[0] if at_start else places[1]}"


def _disc(name: str, kind: Kind, centre: Array, axis: Array, radius: float, thick: float, moves: str = LEVER) -> Body:
    """A disc about an axis as a prism that lies outside its circle."""
    side = across(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    side = side / length(side)
    other = np.cross(axis, side)
    angle = np.arange(RIM)[:, None] * 2 * np.pi / RIM
    rim = centre + (side * np.cos(angle) + other * np.sin(angle)) * radius / np.cos(np.pi / RIM)
    return Body(name, kind, (extruded(rim - axis * thick / 2, axis * thick),), moves)
