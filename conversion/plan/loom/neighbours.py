"""Which places of a housing lie beside one another, and which of them the loom joins on purpose."""

from __future__ import annotations

import networkx

from conversion.description import Description, Terminal
from conversion.wiring import End, Wiring


class Neighbours:
    """The places around each terminal of a description; each housing is laid out once."""

    def __init__(self, description: Description) -> None:
        self._description = description
        self._laid_out: dict[tuple[str, str], dict[str, list[str]]] = {}

    def of(self, terminal: Terminal) -> list[Terminal]:
        """Terminals beside a terminal, above and below it, and at its corners; empty places left out."""
        key = terminal.device, terminal.housing
        if key not in self._laid_out:
            self._laid_out[key] = self._lay_out(*key)
        return [self._description.terminal(*key, cavity) for cavity in self._laid_out[key][terminal.cavity]]

    def _lay_out(self, device: str, name: str) -> dict[str, list[str]]:
        housing = self._description.parts[device].housings[name]
        face = housing.face
        taken = {cavity for cavity, form in housing.cavities.items() if not form.empty}
        return {
            cavity: [
                other
                for names in face[max(row - 1, 0) : row + 2]
                for other in names[max(column - 1, 0) : column + 2]
                if other in taken and other != cavity
            ]
            for row, line in enumerate(face)
            for column, cavity in enumerate(line)
        }


def joined_by_loom(wiring: Wiring) -> dict[End, int]:
    """For every end of a wire, the number of the piece of metal that it belongs to once the loom is made.

    Nothing is plugged in: two ends have the same number only if wires, splices or shared terminals join them.
    """
    graph = networkx.Graph((wire.start, wire.end) for wire in wiring.wires)
    return {end: number for number, piece in enumerate(networkx.connected_components(graph)) for end in piece}
