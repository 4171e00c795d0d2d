"""A made-up description with many devices and wires, to see that size does no harm."""

from __future__ import annotations

from pathlib import Path

from conversion import resources


def write_large_description(folder: Path, devices: int = 60, wires: int = 2000) -> Path:
    """The demo conversion with further devices that are joined to its control unit by wires of their own.

    Args:
        folder: Where the files are written; must exist.
        devices: Devices in all.
        wires: Wires in all, at least.

    Returns:
        The conversion file.
    """
    demo = resources.harnesses_dir() / "market-van"
    (folder / "parts").mkdir()
    for part in (demo / "parts").glob("*.yaml"):
        (folder / "parts" / part.name).write_bytes(part.read_bytes())
    # What was measured holds for the smaller loom, and says nothing of this one.
    conversion, _, _ = (demo / "conversion.yaml").read_text(encoding="utf-8").partition("\n# What was measured")
    present = conversion.count("{part: ")
    added = devices - present
    each = -(-wires // added)
    unit = (folder / "parts" / "control-unit.yaml").read_text(encoding="utf-8")
    roles = [[f"other.d{device}.w{wire}" for wire in range(each)] for device in range(added)]
    flat = [role for group in roles for role in group]
    cavities = "".join(f"      {number}: {role}\n" for number, role in enumerate(flat, start=1))
    housing = f"  B:\n    positions: {len(flat)}\n    cavities:\n{cavities}"
    (folder / "parts" / "control-unit.yaml").write_text(
        unit.replace("housings:\n", f"housings:\n{housing}", 1), encoding="utf-8"
    )
    lines = []
    for device, group in enumerate(roles):
        own = "".join(f"      {number}: {role}\n" for number, role in enumerate(group, start=1))
        text = f"kind: other\ntitle: Device {device}\nhousings:\n  A:\n    positions: {each}\n    cavities:\n{own}"
        (folder / "parts" / f"device-{device}.yaml").write_text(text, encoding="utf-8")
        lines.append(f"  A{device + 1}: {{part: parts/device-{device}.yaml, place: somewhere, station: engine}}\n")
    file = folder / "conversion.yaml"
    file.write_text(conversion.replace("devices:\n", "devices:\n" + "".join(lines), 1), encoding="utf-8")
    return file
