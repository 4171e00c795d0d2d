"""Single faults of a sensing circuit and what comes of them; plain numbers, without description or plan."""

from conversion.faults.fault import (
    INSULATING_OHM,
    KIND_WORDS,
    Alteration,
    Fault,
    Held,
    Joined,
    Kind,
    Moved,
    Resupplied,
    Weakened,
)  # fmt: skip

__all__ = [
    "INSULATING_OHM", "KIND_WORDS", "Alteration", "Fault", "Held", "Joined", "Kind", "Moved", "Resupplied", "Weakened",
]  # fmt: skip
