"""Splices that the description names without a station: each is put where it costs least copper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from conversion.description import Description
from conversion.loom import SplicePlace, place_splices
from conversion.wiring import derive_wires


def find_splice_places(description: Description) -> dict[str, SplicePlace]:
    """Where every splice lies and what it would cost elsewhere, with the sizes that the roles ask for.

    Note:
        The place comes before the sizes: a longer way may ask for more copper, and the place must not move with that.
    """
    loom = description.conversion.loom
    if loom is None or not loom.splices:
        return {}
    return place_splices(description, derive_wires(description).wires)


def all_have_stations(description: Description) -> bool:
    """Whether every splice has a station of its own."""
    loom = description.conversion.loom
    return loom is None or all(splice.station is not None for splice in loom.splices.values())


def with_stations(description: Description, places: Mapping[str, SplicePlace]) -> Description:
    """The description with the found station of every splice; one that will do nowhere keeps none."""
    conversion = description.conversion
    loom = conversion.loom
    assert loom is not None, "there are splices"
    splices = {
        name: splice.model_copy(update={"station": places[name].station}) for name, splice in loom.splices.items()
    }
    placed = loom.model_copy(update={"splices": splices})
    return replace(description, conversion=conversion.model_copy(update={"loom": placed}))
