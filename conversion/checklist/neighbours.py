"""Which places of a housing lie beside one another, and which of them the loom joins on purpose."""

from __future__ import annotations

import networkx

from conversion.description import Description, Terminal
from conversion.wiring import End, Wiring


def neighbours(description: Description, terminal: Terminal) -> list[Terminal]:
    """Terminals in the places around a terminal's own: beside it, above and below it, and at its corners."""
    housing = description.parts[terminal.device].housings[terminal.housing]
    here = next(
        (r, c) for r, names in enumerate(housing.face) for c, name in enumerate(names) if name == terminal.cavity
    )
    found = []
    for row in range(max(here[0] - 1, 0), min(here[0] + 2, len(housing.face))):
        names = housing.face[row]
        for column in range(max(here[1] - 1, 0), min(here[1] + 2, len(names))):
            form = housing.cavities.get(names[column])
            if (row, column) != here and form is not None and not form.empty:
                found.append(description.terminal(terminal.device, terminal.housing, names[column]))
    return found


def joined_by_loom(wiring: Wiring) -> dict[End, int]:
    """For every end of a wire, the number of the piece of metal that it belongs to once the loom is made.

    Nothing is plugged in: two ends have the same number only if wires, splices or shared terminals join them.
    """
    graph = networkx.Graph((wire.start, wire.end) for wire in wiring.wires)
    return {end: number for number, piece in enumerate(networkx.connected_components(graph)) for end in piece}


def must_not_touch(description: Description, pieces: dict[End, int], terminal: Terminal) -> list[Terminal]:
    """The neighbours of a terminal that nothing in the loom joins to it.

    Args:
        description: For the housings.
        pieces: From joined_by_loom.
        terminal: One that a wire ends at.
    """
    return [
        other for other in neighbours(description, terminal) if other in pieces and pieces[other] != pieces[terminal]
    ]
