"""Where the supply of a device comes from, device by device, back to the battery."""

from __future__ import annotations

from conversion.description import Description
from conversion.description.roles import group_of


def feeding_device(description: Description, device: str, role: str) -> str | None:
    """The device that feeds one role of a device; None where none is named."""
    fed_from = description.conversion.devices[device].fed_from
    return fed_from if isinstance(fed_from, str) else (fed_from or {}).get(role)


def feed_chain(description: Description, device: str, role: str) -> tuple[str, ...]:
    """The devices that a feed passes through, nearest first.

    A relay is followed through its contact, not through its coil.

    Returns:
        References, the last one the supply if the chain is complete; empty where nothing feeds the role.
    """
    chain: list[str] = []
    reference = feeding_device(description, device, role)
    while reference is not None and reference not in chain:
        chain.append(reference)
        feeds = [
            r for _, _, form in description.parts[reference].cavities() for r in form.roles if group_of(r) == "feed"
        ]
        through = "feed.in" if "feed.in" in feeds else None
        reference = feeding_device(description, reference, through) if through else None
    return tuple(chain)
