"""Roles to wires: what is joined to what, and which terminals found no partner."""

from conversion.wiring.derive import derive_wires
from conversion.wiring.feeds import feed_chain
from conversion.wiring.wires import End, Loose, SplicePoint, Wire, Wiring

__all__ = ["End", "Loose", "SplicePoint", "Wire", "Wiring", "derive_wires", "feed_chain"]
