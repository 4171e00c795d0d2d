"""What tolerances do: sampled studies with their worst case, chances, and which figure matters most."""

from __future__ import annotations

from conversion.study.corners import Corners, worst_case
from conversion.study.interval import Chance, chance
from conversion.study.linkage_study import LinkageCase, linkage_figures, study_linkage
from conversion.study.ranking import Ranking, rank
from conversion.study.sampling import Shape, Toleranced, draw
from conversion.study.tolerance import Band, Study, run_study
from conversion.study.track_study import StudiedTrack, UnitReading, sampled_volts, track_figures

__all__ = [
    "Band",
    "Chance",
    "Corners",
    "LinkageCase",
    "Ranking",
    "Shape",
    "StudiedTrack",
    "Study",
    "Toleranced",
    "UnitReading",
    "chance",
    "draw",
    "linkage_figures",
    "rank",
    "run_study",
    "sampled_volts",
    "study_linkage",
    "track_figures",
    "worst_case",
]
