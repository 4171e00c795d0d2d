"""Which end may be the supply: every way of joining the tracks, what they give then, and how to find out.

Resistance says where a wiper stands between two ends, never which of them the maker meant for the supply: a track
whose output falls is one whose output rises with its supply and ground changed over.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.bench.unknown.core import Candidate, Track

SUPPLY_V, SERIES_OHM, LIMIT_A = 5.0, 1000.0, 0.02
"""Of the powered check. With the series resistor no more than 5 mA flow, whatever is joined to what."""


@dataclass(frozen=True)
class Turn:
    """One way of joining a group of tracks.

    Attributes:
        supply, ground: Terminals joined to the supply, and to ground.
        outputs: Of each track of the group: rest and full, as a share of its supply.
    """

    supply: tuple[int, ...]
    ground: tuple[int, ...]
    outputs: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Check:
    """What the powered check of one track shows.

    Attributes:
        track: The track.
        ohm: Between its ends, whatever shares them. [Ω]
        amps: Through the series resistor, both ways round. [A]
        volts: Between its ends. [V]
    """

    track: Track
    ohm: float
    amps: float
    volts: float


def turns(candidate: Candidate) -> tuple[Turn, ...]:
    """Both ways of joining a group, a shared end being one or the other; none where ends are shared in an odd ring."""
    supply, ground = {candidate.tracks[0].ends[0]}, {candidate.tracks[0].ends[1]}
    for _ in candidate.tracks:
        for track in candidate.tracks:
            for one, other in (track.ends, track.ends[::-1]):
                if one in supply:
                    ground.add(other)
                if one in ground:
                    supply.add(other)
    if supply & ground:
        return ()
    return tuple(_turn(candidate, *joined) for joined in ((supply, ground), (ground, supply)))


def _turn(candidate: Candidate, supply: set[int], ground: set[int]) -> Turn:
    outputs = tuple(output(track, supply) for track in candidate.tracks)
    return Turn(tuple(sorted(supply)), tuple(sorted(ground)), outputs)


def output(track: Track, supply: set[int]) -> tuple[float, float]:
    """Rest and full as a share of the supply, which is at one of its ends."""
    rest, full = float(track.share[0]), float(track.share[-1])
    return (1.0 - rest, 1.0 - full) if track.ends[0] in supply else (rest, full)


def checks(candidate: Candidate) -> tuple[Check, ...]:
    """What each track shows when it alone is joined to the supply by way of the series resistor."""
    found = []
    for track in candidate.tracks:
        first, second = (candidate.terminals.index(end) for end in track.ends)
        ohm = float(np.mean(candidate.expected_ohm[:, first, second]))
        amps = SUPPLY_V / (ohm + SERIES_OHM)
        found.append(Check(track, ohm, amps, amps * ohm))
    return tuple(found)
