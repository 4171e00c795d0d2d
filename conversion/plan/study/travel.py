"""The tolerance study of a plan: bands, chances, worst case, and which figure matters most."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from conversion.description import Description, Missing
from conversion.description.study_forms import Study as StudyForm
from conversion.linkage.turning import Array
from conversion.plan.link.travel import Travel
from conversion.plan.study.case import VariedFigure, gather_case
from conversion.sensing import GatheredTrack
from conversion.study import Chance, Ranking, Study, chance, study_linkage
from conversion.study.tolerance import Progress

RANKED = ("lever_at_full_rad", "margin_rad", "pad_at_full_mm", "volts_at_rest.a", "volts_at_full.a")
"""Figures for which it is asked what matters most, as far as they are known."""
_OF_TRACKS = ("rest-window-missed", "full-window-missed", "valid-range-left", "tracks-disagree")


@dataclass(frozen=True)
class TravelStudy:
    """What the tolerances do to travel, volts and per cent.

    Attributes:
        study: Samples, bands, chances and worst case; its positions are those of the travel, in mm at the pad.
        figures: What was varied, with the place where each is stated.
        tracks: Names of the tracks whose volts are in it.
        lacking: What is not judged for want of a figure.
        idle_shapes: Names under ``study.shapes`` that no figure of the study goes by.
    """

    study: Study
    figures: tuple[VariedFigure, ...]
    tracks: tuple[str, ...]
    lacking: tuple[Missing, ...]
    idle_shapes: tuple[str, ...]

    @cached_property
    def rankings(self) -> Mapping[str, Ranking]:
        """For each of :data:`RANKED`, then for each event that happened, how much each figure makes of it."""
        found = {name: self.study.ranking(name) for name in RANKED if name in self.study.bands}
        happened = (name for name, chance in self.study.chances.items() if chance.happened)
        return found | {name: self.study.event_ranking(name) for name in happened}

    @cached_property
    def window_missed(self) -> Chance | None:
        """The chance that any track misses a window, leaves its range or disagrees; None where none is judged."""
        judged = [rows for event, rows in self.study.happened.items() if event.partition(".")[0] in _OF_TRACKS]
        return chance(int(np.any(judged, axis=0).sum()), self.study.samples) if judged else None

    def worst(self, output: str) -> tuple[Array, Array] | tuple[None, None]:
        """Least and greatest of an output over the travel in the worst case, (positions,); None where it is not known.

        Of the per cent this is not what the least and the greatest lever angle give: where rest and full are learned,
        it is the shape between them that tells, and a lever that stands higher everywhere reads the same.
        """
        corners = self.study.corners
        return (corners.least[output], corners.most[output]) if output in corners.least else (None, None)

    def figure(self, drawn: str) -> VariedFigure:
        """The figure behind a name of the samples."""
        return next(figure for figure in self.figures if figure.drawn.name == drawn)


def study_travel(
    description: Description,
    travel: Travel,
    tracks: Mapping[str, GatheredTrack] | Missing,
    samples: int | None = None,
    seed: int | None = None,
    progress: Progress | None = None,
) -> TravelStudy:
    """Sample every tolerance of the travel.

    Args:
        description: With every point as coordinates.
        travel: Of the same description.
        tracks: The pedal's tracks, or why they are not known; then only the lever is studied.
        samples: Instead of what the description says.
        seed: Likewise.
        progress: Called with how many samples have been drawn, and of how many.

    Returns:
        The study; the same one for the same description, samples and seed.
    """
    form = description.conversion.study or StudyForm()
    lacking = (tracks,) if isinstance(tracks, Missing) else ()
    gathered = gather_case(description, travel, {} if isinstance(tracks, Missing) else tracks)
    study = study_linkage(
        gathered.case,
        [figure.drawn for figure in gathered.figures],
        form.samples if samples is None else samples,
        form.seed if seed is None else seed,
        progress=progress,
    )
    return TravelStudy(
        study, gathered.figures, tuple(gathered.case.tracks), (*lacking, *gathered.lacking), gathered.idle_shapes
    )
