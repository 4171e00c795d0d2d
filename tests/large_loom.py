"""A made-up loom of many runs, stations and wires, to see that size does no harm."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml

from conversion import resources
from conversion.description import read_description
from tests.large_description import write_large_description

_TRUNK = 40


def write_large_loom(folder: Path, *, wires: int = 2000, runs: int = 300, loops: int = 0) -> Path:
    """The demo conversion with a device at the end of nearly every branch of a wide tree of runs.

    Args:
        folder: Where the files are written; must exist.
        wires: Wires in all, at least; each added device is joined to the control unit by an equal part of them.
        runs: Runs in all.
        loops: How many of the runs join two branches, so that there is more than one way.

    Returns:
        The conversion file.
    """
    demo = read_description(resources.harnesses_dir() / "market-van").conversion
    assert demo.loom is not None
    # Beside the demo's own runs every further one brings a station.
    added = runs - loops - len(demo.loom.runs)
    file = write_large_description(folder, devices=len(demo.devices) + added, wires=wires)
    tree = yaml.load(file.read_text("utf-8"), Loader=yaml.BaseLoader)
    loom = tree["loom"]
    names = [_name(number) for number in range(added)]
    for number, name in enumerate(names):
        loom["stations"][name] = f"place {number}"
        loom["runs"][f"to-{name}"] = _run(_parent(number), name, 60 + 37 * number % 190)
    for number in range(loops):
        # Longer than the way through the tree, for most of them.
        one, other = names[_TRUNK + number], names[_TRUNK + number + 1]
        loom["runs"][f"loop-{number}"] = _run(one, other, 150 + 53 * number % 400)
    for number, name in enumerate(names):
        tree["devices"][f"A{number + 1}"]["station"] = name
    file.write_text(yaml.safe_dump(tree, sort_keys=False, allow_unicode=True), encoding="utf-8", newline="\n")
    return file


def _name(number: int) -> str:
    return f"trunk-{number}" if number < _TRUNK else f"branch-{number - _TRUNK}"


def _parent(number: int) -> str:
    """Along the trunk from the demo's fuse board; every branch goes on from the one before it at its trunk station."""
    if number < _TRUNK:
        return "board" if number == 0 else _name(number - 1)
    return _name(number - _TRUNK)


def _run(one: str, other: str, length_mm: int) -> dict[str, Any]:
    return {"between": [one, other], "length": f"{length_mm} mm"}
