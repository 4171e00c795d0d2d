"""From roles to wires: every net becomes wires, splices and the description's changes applied."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace

from conversion.description import Description, Place, Terminal
from conversion.description.loom_forms import WireChange
from conversion.description.roles import group_of, meaning_of
from conversion.wiring.habits import ORDER, default_colour, default_size_mm2
from conversion.wiring.nets import Net, find_nets
from conversion.wiring.wires import End, SplicePoint, Wire, Wiring


@dataclass(frozen=True, slots=True)
class _Draft:
    """A wire before it has its tag."""

    start: End
    end: End
    roles: tuple[str, ...]
    place: Place
    colour: str | None = None
    size_mm2: float | None = None
    reason: str | None = None
    via: tuple[str, ...] = ()


def derive_wires(description: Description) -> Wiring:
    """Every wire that the roles of the terminals ask for, with the description's changes.

    Wires are tagged in building order (tracks, contacts, motor, switches, lamp, relay, feeds, grounds, others),
    so that the tags do not depend on the order in which devices are written within a group of one device.
    """
    nets, loose = find_nets(description)
    drafts = _merged([draft for net in _spliced(description, nets) for draft in net])
    drafts, left_out = _changed(description, drafts)
    order = {group: index for index, group in enumerate(ORDER)}
    drafts.sort(key=lambda draft: order[group_of(draft.roles[0])])
    wires = tuple(_finished(f"W{number}", draft) for number, draft in enumerate(drafts, start=1))
    dropped = {role for role, _ in left_out}
    return Wiring(
        wires=wires,
        loose=tuple(item for item in loose if item.role not in dropped),
        left_out=tuple(left_out),
        nets=_net_terminals(nets),
    )


def _spliced(description: Description, nets: list[Net]) -> list[list[_Draft]]:
    """Wires of each net; where a splice takes the role, hub and others each have one wire to it."""
    loom = description.conversion.loom
    splices = loom.splices if loom else {}
    wired: set[tuple[Terminal, str]] = set()
    result: list[list[_Draft]] = []
    for net in nets:
        drafts: list[_Draft] = []
        for other in net.others:
            name = next(
                (
                    n
                    for n, s in splices.items()
                    if net.role in s.joins and (s.devices is None or other.device in s.devices)
                ),
                None,
            )
            if name is None:
                drafts.append(_Draft(net.hub, other, (net.role,), net.place))
                continue
            point = SplicePoint(name, splices[name].station or "")
            for terminal in (net.hub, other):
                if (terminal, name) not in wired:
                    wired.add((terminal, name))
                    drafts.append(_Draft(point, terminal, (net.role,), net.place))
        result.append(drafts)
    return result


def _merged(drafts: list[_Draft]) -> list[_Draft]:
    """One wire where several roles join the same two ends."""
    by_ends: dict[tuple[End, End], _Draft] = {}
    for draft in drafts:
        ends = (draft.start, draft.end)
        known = by_ends.get(ends)
        by_ends[ends] = replace(known, roles=(*known.roles, *draft.roles)) if known else draft
    return list(by_ends.values())


def _changed(description: Description, drafts: list[_Draft]) -> tuple[list[_Draft], list[tuple[str, str]]]:
    loom = description.conversion.loom
    left_out: list[tuple[str, str]] = []
    by_role: dict[str, list[int]] = defaultdict(list)
    for position, draft in enumerate(drafts):
        for role in draft.roles:
            by_role[role].append(position)
    dropped: set[int] = set()
    extra: list[_Draft] = []
    for index, change in enumerate(loom.wires if loom else []):
        place = description.place("loom", "wires", index)
        if change.role is None:
            extra.append(_additional(description, change, place))
            continue
        touched = [
            position
            for position in by_role.get(change.role, [])
            if change.device is None or change.device in _devices(drafts[position])
        ]
        if change.left_out is not None:
            dropped.update(touched)
            left_out.append((change.role, change.left_out))
            continue
        for position in touched:
            drafts[position] = _apply(description, drafts[position], change, place)
    return [draft for i, draft in enumerate(drafts) if i not in dropped] + extra, left_out


def _devices(draft: _Draft) -> set[str]:
    return {end.device for end in (draft.start, draft.end) if isinstance(end, Terminal)}


def _apply(description: Description, draft: _Draft, change: WireChange, place: Place) -> _Draft:
    start = description.find_terminal(change.from_terminal) if change.from_terminal else None
    end = description.find_terminal(change.to_terminal) if change.to_terminal else None
    return replace(
        draft,
        start=start or draft.start,
        end=end or draft.end,
        colour=change.colour or draft.colour,
        size_mm2=change.size.nominal if change.size else draft.size_mm2,
        reason=change.reason or draft.reason,
        via=tuple(change.via) or draft.via,
        place=place,
    )


def _additional(description: Description, change: WireChange, place: Place) -> _Draft:
    assert change.from_terminal is not None and change.to_terminal is not None
    start = description.find_terminal(change.from_terminal)
    end = description.find_terminal(change.to_terminal)
    assert start is not None and end is not None, "references are checked when the description is read"
    size = change.size.nominal if change.size else None
    reason = change.reason or "additional wire"
    return _Draft(start, end, ("other.additional",), place, change.colour, size, reason, tuple(change.via))


def _finished(tag: str, draft: _Draft) -> Wire:
    role = draft.roles[0]
    return Wire(
        tag=tag,
        start=draft.start,
        end=draft.end,
        roles=draft.roles,
        group=group_of(role),
        purpose="; ".join(meaning_of(role) for role in draft.roles),
        colour=draft.colour or default_colour(role),
        size_mm2=default_size_mm2(role) if draft.size_mm2 is None else draft.size_mm2,
        size_said=draft.size_mm2 is not None,
        reason=draft.reason,
        place=draft.place,
        via=draft.via,
    )


def _net_terminals(nets: list[Net]) -> dict[str, tuple[Terminal, ...]]:
    terminals: dict[str, dict[Terminal, None]] = defaultdict(dict)
    for net in nets:
        terminals[net.role].update(dict.fromkeys((net.hub, *net.others)))
    return {role: tuple(found) for role, found in terminals.items()}
