"""Faults of feeds and grounds: fed by nothing that feeds, by itself, or in a circle."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import Complaint, listed
from conversion.description.cross.wording import at, unknown
from conversion.description.described import Description
from conversion.description.roles import group_of


def feeds(description: Description) -> Iterator[Complaint]:
    sources = [ref for ref, part in description.parts.items() if part.places_of("feed.out")]
    grounds = [ref for ref, part in description.parts.items() if part.places_of("ground.point")]
    for reference, device in description.conversion.devices.items():
        path = ("devices", reference, "fed_from")
        own_feeds = {
            role
            for _, _, form in description.parts[reference].cavities()
            for role in form.roles
            if group_of(role) == "feed"
        }
        named = {None: device.fed_from} if isinstance(device.fed_from, str) else dict(device.fed_from or {})
        for role, source in named.items():
            here = path if role is None else (*path, role)
            if source == reference:
                yield at(description, here, f"{reference} cannot feed itself")
            elif source not in description.parts:
                yield unknown(description, here, source, sources, "device")
            elif source not in sources:
                yield at(
                    description,
                    here,
                    f"{source} feeds nothing (no terminal 'feed.out'); "
                    f"devices that do are {listed(sources) if sources else 'not described'}",
                )
            if role is not None and role not in own_feeds:
                yield unknown(description, here, role, sorted(own_feeds), f"feed terminal on {reference} with the role")
        if named and not own_feeds:
            yield at(description, path, f"{reference} has no feed terminal, so nothing feeds it; remove the line")
        if device.grounded_at is not None and device.grounded_at not in grounds:
            yield unknown(
                description,
                ("devices", reference, "grounded_at"),
                device.grounded_at,
                grounds,
                "ground point",
            )
    yield from _feed_circles(description)


def _feed_circles(description: Description) -> Iterator[Complaint]:
    def sources_of(reference: str) -> list[str]:
        device = description.conversion.devices.get(reference)
        fed = device.fed_from if device else None
        wanted = [fed] if isinstance(fed, str) else list((fed or {}).values())
        return [source for source in wanted if source in description.parts]

    state: dict[str, int] = {}
    for start in description.parts:
        # Walked without recursion: a long chain of feeds must not exhaust the stack.
        stack = [(start, iter(sources_of(start)))] if start not in state else []
        state.setdefault(start, 1)
        while stack:
            reference, rest = stack[-1]
            following = next(rest, None)
            if following is None:
                state[reference] = 2
                stack.pop()
            elif state.get(following) == 1:
                if following != reference:
                    yield at(
                        description,
                        ("devices", reference, "fed_from"),
                        f"{reference} and {following} feed each other in a circle; a feed begins at a supply",
                    )
            elif following not in state:
                state[following] = 1
                stack.append((following, iter(sources_of(following))))
