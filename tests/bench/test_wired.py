"""What was really wired against the plan: the laws of the comparison, and cases that can be done in the head."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion import resources
from conversion.bench.wired.compare import Difference, compare_wired
from conversion.bench.wired.nets import Joined, Pair
from conversion.description import Place, Terminal, read_description
from conversion.plan import Plan
from conversion.wiring import End, SplicePoint, Wire

DEMOS = ("market-van", "trials-buggy", "first-attempt")


@cache
def plan_of(demo: str) -> Plan:
    return Plan(read_description(resources.harnesses_dir() / demo))


def wires_of(demo: str) -> tuple[Wire, ...]:
    return plan_of(demo).wiring.wires


def as_planned(demo: str) -> list[Pair]:
    return [(wire.start, wire.end) for wire in wires_of(demo)]


def end(demo: str, name: str) -> End:
    found = {each.name: each for pair in as_planned(demo) for each in pair}.get(name)
    place = found or plan_of(demo).description.find_place(name)
    assert place is not None, name
    return place


def told(demo: str, changed: dict[tuple[str, str], tuple[str, str] | None], *more: tuple[str, str]) -> list[Difference]:
    """What is said of the plan's own pairs with some of them changed or left out, and others added."""
    pairs: list[Pair] = []
    for one, other in as_planned(demo):
        names = changed.pop((one.name, other.name), (one.name, other.name))
        if names is not None:
            pairs.append((end(demo, names[0]), end(demo, names[1])))
    assert not changed, "no such wire"
    pairs += [(end(demo, one), end(demo, other)) for one, other in more]
    return list(compare_wired(wires_of(demo), pairs))


def words(difference: Difference) -> tuple[str, str, list[list[str]], list[str]]:
    """Kind, danger, terminals of each piece, strange places."""
    pieces = [[terminal.name for terminal in piece.terminals] for piece in difference.pieces]
    return difference.kind, difference.danger, pieces, [place.name for place in difference.strangers]


def partition(pairs: list[Pair]) -> set[frozenset[Terminal]]:
    """What pairs join, splices left out; worked out without the code under test."""
    groups: list[set[End]] = []
    for pair in pairs:
        met = [group for group in groups if group & set(pair)]
        groups = [group for group in groups if group not in met] + [set(pair).union(*met)]
    return {frozenset(each for each in group if isinstance(each, Terminal)) for group in groups}


# Cases


def test_two_signals_exchanged_are_one_exchange() -> None:
    [only] = told("market-van", {("K1.20", "B1.3"): ("K1.20", "B1.6"), ("K1.23", "B1.6"): ("K1.23", "B1.3")})
    assert words(only) == ("crossed", "vital", [["B1.3"], ["B1.6"]], [])
    assert [wire.roles for wire in only.wires] == [("pedal.a.signal",), ("pedal.b.signal",)]


def test_three_wires_moved_round_are_one_ring() -> None:
    [only] = told(
        "market-van",
        {
            ("K1.18", "B1.1"): ("K1.18", "B1.2"),
            ("K1.19", "B1.2"): ("K1.19", "B1.3"),
            ("K1.20", "B1.3"): ("K1.20", "B1.1"),
        },
    )
    assert words(only) == ("crossed", "vital", [["B1.1"], ["B1.3"], ["B1.2"]], [])


def test_two_exchanges_are_two() -> None:
    found = told(
        "market-van",
        {
            ("K1.20", "B1.3"): ("K1.20", "B1.6"),
            ("K1.23", "B1.6"): ("K1.23", "B1.3"),
            ("K1.16", "M1.1"): ("K1.16", "M1.6"),
            ("K1.17", "M1.6"): ("K1.17", "M1.1"),
        },
    )
    assert [each.kind for each in found] == ["crossed", "crossed"]


def test_a_lamp_and_a_clutch_switch_exchanged_are_less_grave() -> None:
    lamp, clutch = (
        next(wire for wire in wires_of("market-van") if role in wire.roles) for role in ("lamp.drive", "clutch.signal")
    )
    [only] = told(
        "market-van",
        {
            (lamp.start.name, lamp.end.name): (lamp.start.name, clutch.end.name),
            (clutch.start.name, clutch.end.name): (clutch.start.name, lamp.end.name),
        },
    )
    assert (only.kind, only.danger) == ("crossed", "")


@pytest.mark.parametrize(
    ("pair", "danger"),
    [
        (("K1.18", "F1.2"), "battery on sensor"),
        (("K1.16", "G1.plus"), "motor"),
        (("G1.plus", "G1.minus"), "short circuit"),
        (("K1.20", "K1.23"), "signals"),
        (("K1.19", "K1.22"), "sensor"),
        (("K1.19", "K1.3"), "sensor on body"),
        (("F1.2", "F2.2"), "other"),
    ],
)
def test_what_is_joined_and_must_not_be_has_its_danger(pair: tuple[str, str], danger: str) -> None:
    [only] = told("market-van", {}, pair)
    assert (only.kind, only.danger) == ("joined", danger)
    assert only.entries == (len(wires_of("market-van")),)


def test_the_worst_of_what_is_joined_comes_first() -> None:
    found = told("market-van", {}, ("K1.19", "K1.22"), ("K1.26", "K1.29"), ("K1.18", "F1.2"))
    assert [each.danger for each in found] == ["battery on sensor", "signals", "sensor"]


def test_of_three_nets_that_are_one_the_worst_pairs_are_told() -> None:
    found = told("market-van", {}, ("K1.20", "K1.23"), ("K1.23", "F1.2"))
    assert [each.danger for each in found] == ["battery on sensor", "battery on sensor"]


def test_an_end_in_a_strange_place_is_one_finding() -> None:
    [only] = told("market-van", {("K1.20", "B1.3"): ("K1.14", "B1.3")})
    assert words(only) == ("missing", "vital", [["B1.3"], ["K1.20"]], ["K1.14"])
    [other] = told("first-attempt", {("K1.15", "S1.2"): ("K1.20", "S1.2")})
    assert words(other) == ("missing", "vital", [["S1.2"], ["K1.15"]], ["K1.20"])


def test_the_far_end_in_a_strange_place_is_one_finding_too() -> None:
    [only] = told("market-van", {("K1.20", "B1.3"): ("K1.20", "M1.2")})
    assert words(only) == ("missing", "vital", [["B1.3"], ["K1.20"]], ["M1.2"])


def test_an_end_in_another_conductor_tells_of_both() -> None:
    [only] = told("market-van", {("K1.20", "B1.3"): ("K1.23", "B1.3")})
    assert (only.kind, only.danger) == ("joined", "signals")
    [(piece, rest)] = only.parted
    assert [t.name for t in piece.terminals] == ["B1.3"] and [t.name for t in rest.terminals] == ["K1.20"]


def test_a_place_without_a_planned_wire() -> None:
    [only] = told("market-van", {}, ("K1.14", "B1.3"))
    assert words(only) == ("extra", "vital", [["K1.20", "B1.3"]], ["K1.14"])
    [apart] = told("market-van", {}, ("K1.14", "K1.15"))
    assert words(apart) == ("extra", "", [], ["K1.14", "K1.15"])


def test_a_pair_that_is_joined_without_it() -> None:
    found = told("market-van", {}, ("F1.2", "K1.6"))
    assert [each.kind for each in found] == ["again"]
    assert [entry for each in found for entry in each.entries] == [len(wires_of("market-van"))]


def test_a_hub_cut_off_names_the_wire_that_is_missing() -> None:
    [only] = told("market-van", {("Z1", "F2.2"): None})
    assert only.kind == "missing"
    assert [(wire.start.name, wire.end.name) for wire in only.wires] == [("Z1", "F2.2")]


def test_nothing_wired_is_every_wire_missing() -> None:
    found = compare_wired(wires_of("trials-buggy"), [])
    assert {each.kind for each in found} == {"missing"}
    told_of = {wire for each in found for wire in each.wires}
    # Where wires meet in a splice, the others are missing from the one at its hub.
    rest = {(wire.start.name, wire.end.name) for wire in wires_of("trials-buggy") if wire not in told_of}
    assert rest == {("Z1", "S4.2"), ("Z2", "F3.2")}


# Laws

NOWHERE = Place("conversion.yaml", 1, 1)
LAW = settings(deadline=None, max_examples=100)
demos = st.sampled_from(DEMOS)


@LAW
@given(demos, st.randoms(use_true_random=False))
def test_any_tree_in_any_order_and_direction_is_as_planned(demo: str, random) -> None:
    pairs: list[Pair] = []
    groups: dict[object, list[End]] = {}
    joined = Joined(as_planned(demo))
    for each in dict.fromkeys(each for pair in as_planned(demo) for each in pair):
        groups.setdefault(joined.first(each), []).append(each)
    for ends in groups.values():
        # A splice may be told or left out.
        kept = [each for each in ends if isinstance(each, Terminal) or random.random() < 0.5]
        random.shuffle(kept)
        for number, each in enumerate(kept[1:], start=1):
            pair = (each, random.choice(kept[:number]))
            pairs.append(pair if random.random() < 0.5 else pair[::-1])
    random.shuffle(pairs)
    assert compare_wired(wires_of(demo), pairs) == ()


@LAW
@given(demos, st.data())
def test_any_omission_is_found_and_named(demo: str, data: st.DataObject) -> None:
    pairs = as_planned(demo)
    left_out = data.draw(st.integers(0, len(pairs) - 1))
    [only] = compare_wired(wires_of(demo), [pair for entry, pair in enumerate(pairs) if entry != left_out])
    assert only.kind == "missing"
    assert only.wires == (wires_of(demo)[left_out],)


@LAW
@given(demos, st.data())
def test_any_addition_is_found_and_named(demo: str, data: st.DataObject) -> None:
    pairs = as_planned(demo)
    description = plan_of(demo).description
    places: list[End] = [
        description.terminal(device, housing, cavity)
        for device, part in description.parts.items()
        for housing, form in part.housings.items()
        for cavity in form.names
    ]
    places += dict.fromkeys(each for pair in pairs for each in pair if isinstance(each, SplicePoint))
    added = tuple(data.draw(st.lists(st.sampled_from(places), min_size=2, max_size=2, unique=True)))
    if added in pairs or added[::-1] in pairs:
        return
    [only] = compare_wired(wires_of(demo), [*pairs, added])
    one, other = (next((pair for pair in partition(pairs) if each in pair), None) for each in added)
    splices = any(isinstance(each, SplicePoint) for each in added)
    if not splices:
        known = one is not None and other is not None
        expected = "extra" if not known else "again" if one == other else "joined"
        assert only.kind == expected
    assert only.entries == (len(pairs),)
    assert only.kind in ("extra", "again", "joined")


@LAW
@given(demos, st.data())
def test_any_exchange_is_found_and_told_as_one(demo: str, data: st.DataObject) -> None:
    pairs = as_planned(demo)
    first, second = data.draw(st.lists(st.integers(0, len(pairs) - 1), min_size=2, max_size=2, unique=True))
    (a, b), (c, d) = pairs[first], pairs[second]
    if data.draw(st.booleans()):
        c, d = d, c
    if len({a, b, c, d}) < 4:
        return
    pairs[first], pairs[second] = (a, d), (c, b)
    found = compare_wired(wires_of(demo), pairs)
    if partition(pairs) == partition(as_planned(demo)):
        assert found == ()
        return
    kinds = [each.kind for each in found]
    joined = Joined(as_planned(demo))
    if joined.first(a) == joined.first(c):
        assert kinds  # within one net an exchange parts it, or closes a ring
        return
    assert kinds == ["crossed"]
    moved = {wire for each in found for wire in each.wires}
    assert moved <= set(wires_of(demo)) and len(moved) >= 2


@LAW
@given(demos, st.randoms(use_true_random=False))
def test_order_and_direction_change_nothing(demo: str, random) -> None:
    pairs = as_planned(demo)
    ends = [each for pair in pairs for each in pair]
    for _ in range(random.randint(1, 6)):
        entry = random.randrange(len(pairs))
        pair = (pairs[entry][0], random.choice(ends))
        if pair[0] != pair[1]:
            pairs[entry] = pair

    def judged(told_pairs: list[Pair]) -> list[object]:
        return [
            (*words(each), {frozenset(told_pairs[entry]) for entry in each.entries})
            for each in compare_wired(wires_of(demo), told_pairs)
        ]

    before = judged(pairs)
    random.shuffle(pairs)
    assert judged([pair if random.random() < 0.5 else pair[::-1] for pair in pairs]) == before


@LAW
@given(demos, st.randoms(use_true_random=False))
def test_nothing_is_found_only_where_the_same_is_joined(demo: str, random) -> None:
    pairs = as_planned(demo)
    ends = [each for pair in pairs for each in pair]
    for _ in range(random.randint(0, 3)):
        entry = random.randrange(len(pairs))
        pairs[entry] = (random.choice(ends), random.choice(ends))
    pairs = [pair for pair in pairs if pair[0] != pair[1]]
    same = {group for group in partition(pairs) if len(group) > 1} == {
        group for group in partition(as_planned(demo)) if len(group) > 1
    }
    found = [each for each in compare_wired(wires_of(demo), pairs) if each.kind != "again"]
    if not same:
        assert found


# The same laws for nets of any shape, which no demo has


@st.composite
def looms(draw: st.DrawFn) -> list[Wire]:
    """Wires of nets that are trees of any shape, with splices at some of their branches."""
    groups = ("sensor signal", "feed", "ground", "motor", "lamp")
    wires: list[Wire] = []
    for number in range(draw(st.integers(1, 5))):
        ends: list[End] = [Terminal("K1", "A", f"{number}-{place}", f"K1.{number}-{place}") for place in range(2)]
        pairs = [(ends[0], ends[1])]
        for place in range(draw(st.integers(0, 4))):
            onto = draw(st.sampled_from(ends))
            fresh: End = Terminal("B1", "A", f"{number}-{place}", f"B1.{number}-{place}")
            if draw(st.booleans()):
                splice = SplicePoint(f"Z{number}-{place}", "here")
                last: End = Terminal("S1", "A", f"{number}-{place}", f"S1.{number}-{place}")
                pairs += [(splice, onto), (splice, fresh), (splice, last)]
                ends += [splice, last]
            else:
                pairs.append((onto, fresh))
            ends.append(fresh)
        group = draw(st.sampled_from(groups))
        wires += [
            Wire(f"W{len(wires) + at}", one, other, (f"other.n{number}",), group, "", "RD", 1.0, True, None, NOWHERE)
            for at, (one, other) in enumerate(pairs)
        ]
    return wires


def pairs_of(wires: list[Wire]) -> list[Pair]:
    return [(wire.start, wire.end) for wire in wires]


@LAW
@given(looms(), st.data())
def test_any_omission_from_any_loom(wires: list[Wire], data: st.DataObject) -> None:
    left_out = data.draw(st.integers(0, len(wires) - 1))
    [only] = compare_wired(wires, [pair for entry, pair in enumerate(pairs_of(wires)) if entry != left_out])
    assert only.kind == "missing" and wires[left_out] in only.wires
    parted, rest = only.pieces
    assert len(parted.terminals) <= len(rest.terminals), "the smaller piece is the one that is parted"


@LAW
@given(looms(), st.data())
def test_any_addition_to_any_loom(wires: list[Wire], data: st.DataObject) -> None:
    pairs = pairs_of(wires)
    ends = list(dict.fromkeys(each for pair in pairs for each in pair))
    one, other = data.draw(st.lists(st.sampled_from(ends), min_size=2, max_size=2, unique=True))
    [only] = compare_wired(wires, [*pairs, (one, other)])
    joined = Joined(pairs)
    assert only.kind == ("again" if joined.first(one) == joined.first(other) else "joined")
    if only.kind == "joined":
        assert only.entries == (len(pairs),)


@LAW
@given(looms(), st.data())
def test_any_exchange_between_nets_of_any_loom(wires: list[Wire], data: st.DataObject) -> None:
    pairs = pairs_of(wires)
    first, second = data.draw(st.integers(0, len(pairs) - 1)), data.draw(st.integers(0, len(pairs) - 1))
    (a, b), (c, d) = pairs[first], pairs[second]
    joined = Joined(pairs)
    if joined.first(a) == joined.first(c):
        return
    pairs[first], pairs[second] = (a, d), (c, b)
    [only] = compare_wired(wires, pairs)
    assert only.kind == "crossed"
    assert {wires[first], wires[second]} <= set(only.wires)
    assert set(only.entries) >= {first, second}
