"""The words by which a log's columns are recognised, and the units in which loggers write them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

DIMENSION = {"time": "time", "pad": "length", "percent": "ratio"}
"""Of each column that is no track; a track and a supply are volts."""

UNITS: dict[str, dict[str, float]] = {
    "time": {"s": 1.0, "sec": 1.0, "seconds": 1.0, "ms": 1e-3, "us": 1e-6, "µs": 1e-6, "μs": 1e-6, "min": 60.0},
    "voltage": {"V": 1.0, "volt": 1.0, "volts": 1.0, "mV": 1e-3, "uV": 1e-6, "µV": 1e-6, "μV": 1e-6},
    "length": {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4},
    "ratio": {"%": 1.0, "percent": 1.0, "per cent": 1.0, "pct": 1.0},
}
"""Factor of each unit to seconds, volts, millimetres and per cent; the first is the one taken where none is written."""

_WORDS = {
    "time": {"time", "t", "timestamp", "elapsed", "elapsed time", "time stamp", "seconds"},
    "pad": {"pad", "pad travel", "pedal", "pedal travel", "pedal position", "travel"},
    "percent": {"percent", "per cent", "%", "demand", "accelerator", "taken", "pedal percent", "accelerator pedal"},
}
_ALL_UNITS = {unit: factor for units in UNITS.values() for unit, factor in units.items()}
_BRACKETED = re.compile(r"(.*?)\s*[\[(]\s*([^\])]*?)\s*[\])]\s*", re.DOTALL)
_LAST_WORD = re.compile(r"(.*?)(?:\s*/\s*|[\s_]+)([^\s_/]+)", re.DOTALL)
_SEPARATORS = re.compile(r"[\s_.:\-/]+")


@dataclass(frozen=True, slots=True)
class Heading:
    """The heading of one column.

    Attributes:
        text: As it stands in the file, without quotes and spaces around it.
        name: Without its unit.
        unit: As written; empty where there is none.
    """

    text: str
    name: str
    unit: str

    @property
    def word(self) -> str:
        """The name as it is compared: lower case, one space between words."""
        return _SEPARATORS.sub(" ", self.name.casefold()).strip()


def heading(text: str) -> Heading:
    """A heading taken apart.

    Example:
        >>> heading("Track a [mV]").unit, heading("t_ms").word, heading("time/s").name, heading("AI 0").name
        ('mV', 't', 'time', 'AI 0')
    """
    body = text.strip().strip('"').strip()
    bracketed = _BRACKETED.fullmatch(body)
    if bracketed:
        return Heading(body, bracketed[1], bracketed[2])
    last = _LAST_WORD.fullmatch(body)
    if last and last[1] and known_unit(last[2]):
        return Heading(body, last[1], last[2])
    return Heading(body, body, body if body == "%" else "")


def known_unit(text: str) -> bool:
    """Whether a text is a unit that some column may have."""
    return text in _ALL_UNITS


def dimension_of(name: str) -> str:
    """What a column of this name is measured in."""
    return DIMENSION.get(name, "voltage")


def column_names(tracks: Sequence[str]) -> tuple[str, ...]:
    """Every column that means something: time, the tracks, pad, per cent, and the tracks' supplies."""
    return ("time", *tracks, "pad", "percent", *(f"supply {track}" for track in tracks), "supply")


def recognised(word: str, tracks: Sequence[str]) -> str | None:
    """The column that a heading's word stands for; None where it is not known.

    Example:
        >>> [recognised(word, ("a", "b")) for word in ("track a", "pedal 2", "elapsed", "supply b", "oil")]
        ['a', 'b', 'time', 'supply b', None]
    """
    for name, words in _WORDS.items():
        if word in words:
            return name
    for number, track in enumerate(tracks, 1):
        for mark in (track, str(number)):
            starts = ("", "volts ") if mark == track else ()
            heads = ("track ", "pedal ", "pedal track ", "sensor ", "signal ", "voltage ")
            if word in {f"{head}{mark}" for head in (*starts, *heads)} or word in {
                f"{mark} signal" if mark == track else "", f"track {mark} signal", f"pedal {mark} signal",
            } - {""}:  # fmt: skip
                return track
            if word in (f"supply {mark}", f"track {mark} supply", f"pedal {mark} supply"):
                return f"supply {track}"
    return "supply" if word in ("supply", "sensor supply", "reference") else None
