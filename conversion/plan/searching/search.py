"""The search of a description: the best settings, what each is worth, and the description with each of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from conversion.description import Missing, read_description
from conversion.description.complaints import Complaint, DescriptionError
from conversion.description.patch_text import CannotReplace, replaced
from conversion.plan.fitting.judged import FitClearance
from conversion.plan.link.travel import Travel
from conversion.plan.plan import Plan
from conversion.plan.searching.case import GatheredSearch, gather_search
from conversion.plan.searching.patch import Change, Placed, changes_of, module_by_mm
from conversion.plan.study.travel import TravelStudy, study_travel
from conversion.study.search import Found, run_search, seen_in_full
from conversion.study.search_case import ALL, as_described, look, made, settings_of
from conversion.study.search_moves import picked
from conversion.study.search_obstacle import Miss, obstacles
from conversion.study.search_wants import MEASURES, Looked

SHOWN = 6
"""Settings that are worked out: the best in all, the best in each measure, and the next ones."""
TRIED_FOR_ROOM = 24
"""Further members of the trade-off that are worked out where none of those has room."""
STUDY_SAMPLES = 2000
# How far the lever of the patched description may be from what the search promised. [rad]
PROMISE_RAD = np.radians(0.02)

Step = Callable[[str], None]


@dataclass(frozen=True)
class Setting:
    """One of the best settings.

    Attributes:
        number: In the search's grid.
        best_in: Measures in which no other candidate of the trade-off is better; ``all`` for the best score.
        score: For the order; less is better.
        settings: What each axis is set to, base units.
        looked: Its figures, arrays of one.
        turns: Of the rod's thread from the length described, longer positive; None without a described thread.
        changes: What it changes in the description.
        text: The whole conversion file with these changes.
        travel: Of the description read back from that text.
        study: What the tolerances do to it.
        room: The tightest of its clearances; None where nothing is said of what takes room, or nothing comes near.
        no_recess: Why the described recess cannot be made for it, or its clearances cannot be told; empty otherwise.
    """

    number: int
    best_in: tuple[str, ...]
    score: float
    settings: dict[str, float]
    looked: Looked
    turns: float | None
    changes: tuple[Change, ...]
    text: str
    travel: Travel
    study: TravelStudy
    room: FitClearance | None
    no_recess: str

    @property
    def has_room(self) -> bool:
        """Whether nothing that is described is in its way."""
        return not self.no_recess and (self.room is None or self.room.enough)


@dataclass(frozen=True)
class SearchOutcome:
    """What a search came to.

    Attributes:
        title: Of the conversion.
        found: The trade-off and the counts.
        front: Figures of every member of the trade-off, arrays (members,).
        now: The same figures of the linkage as it is described, arrays of one.
        settings: The best of it; empty where nothing keeps to every want.
        obstacles: What is then in the way, the greatest first.
        lacking: Why the force at the pad is not judged; None where it is.
        room_described: Whether the description says what takes room and what is in its way.
    """

    title: str
    found: Found
    front: Looked
    now: Looked
    settings: tuple[Setting, ...]
    obstacles: tuple[Miss, ...]
    lacking: Missing | None
    room_described: bool

    @property
    def taken(self) -> int:
        """Index of the setting that is written into the description: the first with room, else the first."""
        return next((index for index, setting in enumerate(self.settings) if setting.has_room), 0)


def search_plan(plan: Plan, file: Path, candidates: int, seed: int, step: Step) -> SearchOutcome:
    """Search the settings of a plan.

    Args:
        plan: Of the description.
        file: The conversion file, which the plan was read from; its text is what gets changed.
        candidates: How many linkages to look at.
        seed: Same seed, same answer.
        step: Called with what is being done.

    Raises:
        DescriptionError: The description does not say what may move, or cannot be changed in its text.
        Missing: A figure that the search needs is not known.
    """
    gathered = gather_search(plan.description)
    text = file.read_bytes().decode("utf-8-sig")

    def progress(done: int, total: int) -> None:
        step(f"searching: {_spaced(done)} of {_spaced(total)} linkages looked at")

    found = run_search(gathered.case, candidates, seed, progress)
    front = seen_in_full(gathered.case, found.front.numbers)
    settings: list[Setting] = []
    chosen = _chosen(found)
    for index, best_in in chosen.items():
        step(f"working out setting {len(settings) + 1}")
        settings.append(_worked_out(plan, file, text, gathered, found, index, best_in))
    room_described = plan.description.conversion.fit is not None
    if room_described and not any(setting.has_room for setting in settings):
        for index in [index for index in range(len(found.front.numbers)) if index not in chosen][:TRIED_FOR_ROOM]:
            step("looking for a setting with room")
            setting = _worked_out(plan, file, text, gathered, found, index, ())
            if setting.has_room:
                settings.append(setting)
                break
    return SearchOutcome(
        plan.description.conversion.title,
        found,
        front,
        look(gathered.case, as_described(gathered.case), ALL)[0],
        tuple(settings),
        () if settings else obstacles(gathered.case, seed),
        gathered.lacking,
        room_described,
    )


def _spaced(count: int) -> str:
    return f"{count:,}".replace(",", " ")


def _chosen(found: Found) -> dict[int, tuple[str, ...]]:
    """Members of the front that are worked out, in order of score, with what they are best in."""
    front = found.front
    if not len(front.numbers):
        return {}
    best: dict[int, list[str]] = {0: ["all"]}
    for column, measure in enumerate(MEASURES):
        values = front.cells[:, column]
        if np.ptp(values) > 0.0:
            best.setdefault(int(np.argmin(values)), []).append(measure)
    for index in range(len(front.numbers)):
        if len(best) < SHOWN:
            best.setdefault(index, [])
    return {index: tuple(best[index]) for index in sorted(best)}


def _worked_out(
    plan: Plan, file: Path, text: str, gathered: GatheredSearch, found: Found, index: int, best_in: tuple[str, ...]
) -> Setting:
    case, number = gathered.case, int(found.front.numbers[index])
    settings = dict(settings_of(case, number))
    looked = seen_in_full(case, np.array([number]))
    at_rest = float(looked.lever_at_rest_rad[0])
    placed = Placed(
        picked(made(case, np.array([number])).linkage, 0),
        module_by_mm(settings, case.linkage),
        at_rest,
        settings.get("full_rad"),
        case.rest_rad is not None,
    )
    changes = changes_of(plan.written, plan.description, placed)
    try:
        patched = replaced(text, {path: value for change in changes for path, value in change.values})
    except CannotReplace as problem:
        place = plan.description.place("search")
        raise DescriptionError([Complaint(place, "search", f"the result cannot be written: {problem}")]) from None
    again = Plan(read_description(file, content=patched.encode("utf-8")))
    travel = again.travel
    _hold_to_promise(travel, looked)
    turns = None
    if case.thread is not None and gathered.pitch_mm is not None:
        turns = float(looked.rod_mm[0] - case.thread.reference_mm) / gathered.pitch_mm
    try:
        tracks = again.pedal_tracks
    except Missing:
        tracks = {}
    study = study_travel(again.description, travel, tracks, STUDY_SAMPLES)
    score = float(found.front.scores[index])
    return Setting(
        number, best_in, score, settings, looked, turns, changes, patched, travel, study, *_tightest(again)
    )  # fmt: skip


def _tightest(plan: Plan) -> tuple[FitClearance | None, str]:
    """The clearance that is farthest below what is wanted, or least above it; and what keeps a recess from it."""
    try:
        fit = plan.fit
        if fit is None:
            return None, ""
        clearances = fit.clearances
    except Missing as missing:
        return None, f"{missing.path} {missing.state}"
    # What stands still may be fastened to each other: such a pair says nothing of the room that the setting leaves.
    judged = [each for each in clearances if not (each.still and each.enough)]
    tightest = min(judged, key=lambda each: each.to_spare_mm, default=None)
    try:
        _ = fit.recesses
    except Missing as missing:
        return tightest, f"{missing.path} {missing.state}"
    return tightest, ""


def _hold_to_promise(travel: Travel, looked: Looked) -> None:
    """The description that was written has to do what the search saw; anything else is a fault of ours."""
    full = travel.geometry.swing_rad[0] - looked.below_full_rad[0]
    promised = np.array([looked.lever_at_rest_rad[0], full])
    off = np.abs(travel.lever_rad[[0, -1]] - promised)
    if not np.all(off <= PROMISE_RAD) or travel.events:
        raise RuntimeError(f"the patched description is off by {np.degrees(off)}° at its ends, events {travel.events}")
