"""What a track loses in its supply and ground conductors once a contact in them has aged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from conversion.description import Description, Missing
from conversion.loom import Route
from conversion.sensing.gather import GatheredTrack, Sensor
from conversion.sensing.poor_contact import AGED_CONTACT_OHM, copper_ohm
from conversion.sensing.supply_load import track_current_a
from conversion.wiring import Wiring


@dataclass(frozen=True, slots=True)
class ContactLoss:
    """What the worse of a track's two feeding conductors costs.

    Attributes:
        current_a: Greatest current of the track. [A]
        ohm: Of the longer or thinner conductor with one aged contact; wires of unknown length count as none. [Ω]
    """

    current_a: float
    ohm: float

    @property
    def volts(self) -> float:
        """By so much the ground of the track is lifted, or its supply lowered. [V]"""
        return self.current_a * self.ohm


def contact_losses(
    description: Description,
    wiring: Wiring,
    routes: Mapping[str, Route],
    sensor: Sensor,
    tracks: Mapping[str, GatheredTrack],
) -> dict[str, ContactLoss | Missing]:
    """The loss of each track; where its current is not known, what is missing.

    Note:
        Each track's own current alone: a conductor that several tracks share carries more.
    """
    losses: dict[str, ContactLoss | Missing] = {}
    for name in tracks:
        wires_ohm = max(
            sum(
                copper_ohm(wire.size_mm2, routes[wire.tag].length_mm or 0.0)
                for wire in wiring.of_role(f"{sensor}.{name}.{which}")
            )
            for which in ("supply", "ground")
        )
        try:
            losses[name] = ContactLoss(track_current_a(description, sensor, name), wires_ohm + AGED_CONTACT_OHM)
        except Missing as missing:
            losses[name] = missing
    return losses
