"""Words that several sections of the loom share."""

from __future__ import annotations

GROUP_WORDS = {
    "sensor supply": "supplies of the position sensors",
    "sensor ground": "grounds of the position sensors, each back to the control unit",
    "sensor signal": "outputs of the position sensors",
    "screen": "screens",
    "contact": "contacts of the pedal module",
    "motor": "throttle motor",
    "switch": "brake and clutch switches",
    "lamp": "warning lamp",
    "relay": "drive of the main relay",
    "feed": "feeds, from the battery on",
    "ground": "returns to the battery's negative side",
    "other": "the builder's own connections",
}
"""What the wires of a group are, as a heading goes on."""

DECIDED = {
    "load": "its load",
    "drop": "voltage drop",
    "fuse": "its fuse",
    "least": "zone or contact",
    "habit": "habit, load not known",
    "said": "as described",
}
"""What decided a size, as a cell says it."""
