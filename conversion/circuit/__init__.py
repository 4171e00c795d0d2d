"""The sensing circuit as a network of conductances: its operating point, and what any change makes of it."""

from conversion.circuit.corners import Corners
from conversion.circuit.hyperbola import Hyperbola
from conversion.circuit.network import (
    LEAST_OHM,
    REFERENCE,
    Clamp,
    Drain,
    Element,
    Follower,
    Network,
    Resistor,
    Source,
)
from conversion.circuit.operating import Operating, solve

__all__ = [
    "LEAST_OHM", "REFERENCE", "Clamp", "Corners", "Drain", "Element", "Follower", "Hyperbola", "Network", "Operating",
    "Resistor", "Source", "solve",
]  # fmt: skip
