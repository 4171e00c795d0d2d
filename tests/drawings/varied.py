"""Plans of the worked conversion with some of its description changed."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import yaml

from conversion.description import read_description
from conversion.plan import Plan
from conversion.resources import harnesses_dir

Change = Callable[[dict[str, Any]], object]

FLOOR_HINGED: dict[str, Any] = {
    "kind": "rod",
    "pedal": {
        "mount": "floor-hinged",
        "pivot": ["0 mm", "0 mm", "0 mm"],
        "axis": "left",
        "pad": ["120 mm", "0 mm", "210 mm"],
        "rod_pin": ["60 mm ± 1 mm", "20 mm", "90 mm"],
        "rest_stop": {"origin": "made"},
        "full_stop": {"origin": "made", "at": "50 mm ± 1 mm"},
        "friction": "0.1 N·m",
    },
    "rod": {"length": "120 mm"},
    "module": {
        "device": "B1",
        "pivot": ["178 mm", "22 mm", "130 mm"],
        "axis": "left",
        "lever_pin": ["178 mm", "25 mm", "85 mm"],
        "opens": "anticlockwise",
    },
}
"""A floor-hinged pedal with the module before it, the rod almost straight ahead."""

PENDANT: dict[str, Any] = {
    "kind": "rod",
    "pedal": {
        "mount": "pendant",
        "pivot": ["0 mm", "0 mm", "0 mm"],
        "axis": "left",
        "pad": ["-30 mm", "0 mm", "-285 mm"],
        "rod_pin": ["8 mm", "0 mm", "-78 mm"],
        "rest_stop": {"origin": "made"},
        "full_stop": {"origin": "made", "at": "62 mm"},
        "friction": "0.1 N·m",
    },
    "rod": {"length": "140 mm"},
    "module": {
        "device": "B1",
        "pivot": ["146 mm", "0 mm", "-20 mm"],
        "axis": "left",
        "lever_pin": ["144 mm", "0 mm", "-65 mm"],
        "opens": "anticlockwise",
    },
}
"""A pendant pedal with the rod straight ahead."""

BEHIND: dict[str, Any] = PENDANT | {
    "module": {
        "device": "B1",
        "pivot": ["-130 mm", "30 mm", "-20 mm"],
        "axis": "left",
        "lever_pin": ["-131 mm", "30 mm", "-65 mm"],
        "opens": "anticlockwise",
    },
    "rod": {"length": "143 mm"},
}
"""The module behind the pedal, pulled by the rod, to its left."""

LEANING: dict[str, Any] = PENDANT | {
    "pedal": PENDANT["pedal"] | {"rod_pin": ["8 mm", "-12 mm", "-78 mm"]},
    "rod": {"length": "140.2 mm"},
    "module": {
        "device": "B1",
        "pivot": ["146 mm", "-48 mm", "-20 mm"],
        "axis": ["0.05", "1", "0"],
        "lever_pin": ["144 mm", "-40 mm", "-65 mm"],
        "opens": "anticlockwise",
    },
}
"""The rod leans sideways and comes square to the lever within the travel."""

TOO_SHORT: dict[str, Any] = PENDANT | {"rod": {"length": "90 mm"}}
"""A rod that does not reach while the pedal is at rest."""

FAR: dict[str, Any] = PENDANT | {
    "rod": {"length": "1500 mm"},
    "module": {
        "device": "B1",
        "pivot": ["1506 mm", "300 mm", "-20 mm"],
        "axis": "left",
        "lever_pin": ["1480 mm", "300 mm", "-65 mm"],
        "opens": "anticlockwise",
    },
}
"""A module far ahead and to the side."""


def varied(folder: Path, conversion: Change | None = None, **parts: Change) -> Plan:
    """The plan of the worked conversion after changes to its file, and to part files by name (``_`` for ``-``)."""
    target = folder / "varied"
    shutil.copytree(harnesses_dir() / "market-van", target)
    changes = {"conversion.yaml": conversion} if conversion else {}
    changes |= {f"parts/{name.replace('_', '-')}.yaml": change for name, change in parts.items()}
    for name, change in changes.items():
        path = target / name
        data = yaml.safe_load(path.read_text("utf-8"))
        change(data)
        path.write_text(yaml.safe_dump(data, allow_unicode=True, sort_keys=False), "utf-8")
    return Plan(read_description(target))


def with_linkage(folder: Path, linkage: dict[str, Any], springs: dict[str, Any] | None = None) -> Plan:
    """The plan with another linkage, and springs of its own or none."""
    return varied(folder, lambda data: data.update(linkage=linkage, springs=springs or {}))
