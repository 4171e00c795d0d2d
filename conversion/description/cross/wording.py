"""Complaints about one place of a description, worded alike wherever they come from."""

from __future__ import annotations

from collections.abc import Iterable

from conversion.description.complaints import Complaint, dotted, listed, nearest, quoted
from conversion.description.described import Description, Step


def at(description: Description, path: tuple[Step, ...], message: str) -> Complaint:
    return Complaint(description.place(*path), dotted(path), message)


def unknown(description: Description, path: tuple[Step, ...], word: str, known: Iterable[str], what: str) -> Complaint:
    words = list(known)
    near = nearest(word, words)
    if near:
        hint = f"did you mean '{near}'?"
    else:
        hint = f"known are {listed(words, 'and')}." if words else "none is described."
    return at(description, path, f"there is no {what} {quoted(word)}; {hint}")


def bearers_of_roles(description: Description) -> dict[str, list[str]]:
    """The devices that bear each role, one entry a terminal, in the order written."""
    bearers: dict[str, list[str]] = {}
    for reference, part in description.parts.items():
        for _, _, form in part.cavities():
            for role in form.roles:
                bearers.setdefault(role, []).append(reference)
    return bearers
