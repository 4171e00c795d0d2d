"""The size of each wire: cases that can be done in the head, and laws that hold for every loom."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion.loom.conductors import conductor_ohm
from conversion.loom.drop import Copper, Loop, dropped, raised_for_drop
from conversion.loom.heat import bunched_factor, conductor_degc, free_air_a, overload_a
from conversion.loom.limits import (
    Passage,
    fuse_limit,
    greatest_rating_a,
    least_limit,
    load_limit,
    loaded_wires,
)
from conversion.loom.sizes import SizingCase, choose_sizes
from conversion.loom.standard_sizes import STANDARD_MM2

CABIN = Passage("run 'dash'", "cabin", 60.0, 0.35)
ENGINE = Passage("run 'bay'", "engine bay", 85.0, 0.5)
INSULATION = 105.0


def case(tag: str = "W1", **given_: object) -> SizingCase:
    usual = SizingCase(tag, None, 1.0, 0.1, (CABIN,), 2.0)
    return replace(usual, **given_)  # type: ignore[arg-type]


def chosen(cases: list[SizingCase], loops: list[Loop] | None = None) -> dict[str, tuple[float, str]]:
    found = choose_sizes(cases, loops or [], INSULATION)
    return {tag: (choice.size_mm2, choice.decided_by) for tag, choice in found.items()}


class TestWhatDecides:
    def test_next_to_nothing_is_the_least_of_the_zone(self) -> None:
        assert chosen([case()]) == {"W1": (0.35, "least")}
        assert chosen([case(passages=(CABIN, ENGINE))]) == {"W1": (0.5, "least")}

    def test_a_contact_that_takes_nothing_thinner(self) -> None:
        assert chosen([case(contacts={"K1.3": 1.0})]) == {"W1": (1.0, "least")}
        assert "K1.3" in choose_sizes([case(contacts={"K1.3": 1.0})], [], INSULATION)["W1"].words

    def test_a_load(self) -> None:
        size, by = chosen([case(current_a=20.0)])["W1"]
        below = STANDARD_MM2[STANDARD_MM2.index(size) - 1]
        assert by == "load"
        assert free_air_a(below, INSULATION, 60.0) < 20.0 <= free_air_a(size, INSULATION, 60.0)

    def test_a_fuse(self) -> None:
        size, by = chosen([case(fuse="F1 of 20.00 A", fuse_a=20.0)])["W1"]
        assert by == "fuse"
        assert overload_a(size, INSULATION, 60.0, 1.0) >= 1.35 * 20.0

    def test_a_short_circuit_where_heat_alone_would_allow_less(self) -> None:
        """10 A: 20² · 5 s = 2000 A²s; 0.5 mm² takes 226² · 0.25 · ln(389.5 / 339.5) = 1754 A²s, 0.75 mm² 3947."""
        limit = fuse_limit("F1", 10.0, [CABIN], INSULATION)
        assert overload_a(0.5, INSULATION, 60.0, 1.0) > 13.5
        assert limit.size_mm2 == 0.75
        assert "short circuit" in limit.words

    def test_a_load_that_is_not_known_is_habit(self) -> None:
        assert chosen([case(current_a=None)]) == {"W1": (1.0, "habit")}

    def test_habit_gives_way_to_a_fuse(self) -> None:
        assert chosen([case(current_a=None, fuse="F1", fuse_a=30.0)])["W1"][1] == "fuse"

    def test_a_way_that_is_not_known_is_habit(self) -> None:
        assert chosen([case(passages=())]) == {"W1": (1.0, "habit")}

    def test_what_is_said_stays_and_what_it_should_be_stands_beside_it(self) -> None:
        choice = choose_sizes([case(said_mm2=0.35, current_a=20.0)], [], INSULATION)["W1"]
        assert (choice.size_mm2, choice.decided_by, choice.enough) == (0.35, "said", False)
        assert choice.needed_mm2 > 0.35 and "is needed" in choice.words
        assert choose_sizes([case(said_mm2=0.35)], [], INSULATION)["W1"].enough

    def test_what_would_be_chosen_stands_beside_a_size_that_is_enough(self) -> None:
        """The drop counts in that, though the size as described leaves none too great."""
        loop = [Loop("load", 0.5, {"W1": 8.0})]
        described = choose_sizes([case(said_mm2=4.0, current_a=8.0, length_m=3.0)], loop, INSULATION)["W1"]
        free = choose_sizes([case(current_a=8.0, length_m=3.0)], loop, INSULATION)["W1"]
        assert free.decided_by == "drop" and described.enough
        assert described.words == f"4.00 mm² as described; {free.size_mm2:.2f} mm² would be chosen."

    def test_air_as_hot_as_the_insulation_stands_leaves_nothing(self) -> None:
        choice = choose_sizes([case(passages=(replace(CABIN, ambient_degc=110.0),))], [], INSULATION)["W1"]
        assert not choice.enough

    def test_the_worst_passage_counts(self) -> None:
        crowded = replace(CABIN, name="run 'trunk'", loaded=9)
        limit = load_limit(12.0, [CABIN, crowded], INSULATION)
        assert limit.size_mm2 == load_limit(12.0, [crowded], INSULATION).size_mm2
        assert limit.size_mm2 > load_limit(12.0, [CABIN], INSULATION).size_mm2
        assert "'trunk'" in limit.words and "9 loaded wires" in limit.words


class TestDrop:
    def test_the_pair_of_a_motor_stays_a_pair(self) -> None:
        copper = Copper(lambda tag, size: 0.02 / size, {"W1": 3.0, "W2": 3.0})
        raised = raised_for_drop([Loop("motor", 0.5, {"W1": 8.0, "W2": 8.0})], {"W1": 0.5, "W2": 0.5}, copper)
        assert {tag: (each.size_mm2, each.load) for tag, each in raised.items()} == {
            "W1": (2.5, "motor"), "W2": (2.5, "motor"),
        }  # fmt: skip

    def test_it_costs_little_more_copper_than_the_best_of_all(self) -> None:
        """Three wires, every choice of sizes tried: what is raised costs at most a fifth more than the cheapest."""
        lengths, currents = {"W1": 1.0, "W2": 2.5, "W3": 0.6}, {"W1": 10.0, "W2": 10.0, "W3": 25.0}
        copper, start = Copper(lambda tag, size: 0.0195 / size, lengths), {"W1": 1.0, "W2": 1.0, "W3": 2.5}
        loop = Loop("load", 0.4, currents)

        def mm3(sizes: dict[str, float]) -> float:
            return sum(1000.0 * lengths[tag] * size for tag, size in sizes.items())

        all_sizes = (dict(zip(lengths, sizes, strict=True)) for sizes in product(STANDARD_MM2, repeat=3))
        enough = [
            sizes
            for sizes in all_sizes
            if all(sizes[tag] >= start[tag] for tag in sizes) and dropped(loop, sizes, copper).enough
        ]
        ours = start | {tag: each.size_mm2 for tag, each in raised_for_drop([loop], start, copper).items()}
        assert dropped(loop, ours, copper).enough
        assert mm3(ours) <= 1.2 * min(mm3(sizes) for sizes in enough)

    def test_a_wire_of_unknown_length_counts_as_nothing_and_says_so(self) -> None:
        drop = dropped(Loop("load", 0.5, {"W1": 5.0}), {"W1": 1.0}, Copper(lambda tag, size: 0.02, {}))
        assert drop.drop_v == 0.0
        assert drop.by_wire_v["W1"] != drop.by_wire_v["W1"], "not a number"

    def test_what_is_said_too_thin_is_not_made_up_for_by_its_neighbours(self) -> None:
        cases = [case("W1", said_mm2=0.5, current_a=8.0, length_m=4.0), case("W2", current_a=8.0, length_m=4.0)]
        free = [replace(cases[0], said_mm2=None), cases[1]]
        loop = [Loop("load", 0.5, {"W1": 8.0, "W2": 8.0})]
        assert chosen(cases, loop)["W2"] == chosen(free, loop)["W2"]


class TestHeat:
    def test_part_load(self) -> None:
        """The square law is within 1 K of the balance."""
        full = free_air_a(1.0, 105.0, 60.0)
        for degc in (65.0, 75.0, 90.0, 100.0):
            assert conductor_degc(free_air_a(1.0, degc, 60.0), full, 105.0, 60.0) == pytest.approx(degc, abs=1.0)

    def test_an_overload_bears_more_than_the_steady_load_by_what_the_class_may_be_passed(self) -> None:
        assert overload_a(1.0, 105.0, 60.0, 1.0) == free_air_a(1.0, 130.0, 60.0)
        assert overload_a(1.0, 105.0, 60.0, 0.5) < overload_a(1.0, 105.0, 60.0, 1.0)

    def test_light_wires_are_not_counted(self) -> None:
        counted = loaded_wires({"dash": [0.01, 0.1, 9.0, None, 0.0]}, {"dash": 60.0}, {"dash": 0.35}, INSULATION)
        assert counted == {"dash": 2}


SIZES = st.sampled_from(STANDARD_MM2)
AMPERES = st.floats(0.0, 40.0)
PASSAGES = st.builds(
    Passage, st.just("run"), st.just("zone"), st.floats(20.0, 100.0), st.sampled_from([0.35, 0.5, 0.75]),
    st.integers(1, 60),
)  # fmt: skip


class TestLaws:
    @settings(max_examples=60)
    @given(AMPERES, AMPERES, PASSAGES)
    def test_more_current_never_needs_a_thinner_wire(self, one: float, other: float, passage: Passage) -> None:
        less, more = sorted((one, other))
        assert load_limit(less, [passage], INSULATION).size_mm2 <= load_limit(more, [passage], INSULATION).size_mm2

    @settings(max_examples=60)
    @given(AMPERES, PASSAGES, st.floats(0.0, 20.0), st.integers(0, 20))
    def test_hotter_air_or_a_fuller_bundle_never_needs_a_thinner_wire(
        self, current: float, passage: Passage, hotter: float, more: int
    ) -> None:
        worse = replace(passage, ambient_degc=passage.ambient_degc + hotter, loaded=passage.loaded + more)
        for limit in (lambda p: load_limit(current, [p], 125.0), lambda p: fuse_limit("F", current + 1.0, [p], 125.0)):
            assert limit(passage).size_mm2 <= limit(worse).size_mm2

    @settings(max_examples=60)
    @given(SIZES, PASSAGES)
    def test_the_greatest_fuse_of_a_wire_asks_for_that_wire(self, size: float, passage: Passage) -> None:
        rating = greatest_rating_a(size, [passage], INSULATION)
        limit = fuse_limit("F1", rating * 0.999, [passage], INSULATION)
        assert limit.size_mm2 <= size or not limit.enough
        above = fuse_limit("F1", rating * 1.001, [passage], INSULATION)
        assert above.size_mm2 > size or not above.enough

    @settings(max_examples=60, deadline=None)
    @given(
        st.lists(st.tuples(st.floats(0.1, 6.0), st.floats(1.0, 3.0), AMPERES), min_size=2, max_size=6),
        st.floats(0.1, 1.0),
        st.randoms(use_true_random=False),
    )
    def test_a_longer_run_never_needs_a_thinner_wire(self, wires: list, allowed: float, random: object) -> None:
        """Some wires become longer, others stay: no size of any wire falls."""
        tags = [f"W{number}" for number in range(len(wires))]
        short = [case(tag, current_a=amps, length_m=length) for tag, (length, _, amps) in zip(tags, wires, strict=True)]
        long = [
            replace(each, length_m=each.length_m * longer)
            for each, (_, longer, _) in zip(short, wires, strict=True)
            if each.length_m is not None
        ]
        ways = [random.sample(tags, random.randint(1, len(tags))) for _ in range(3)]  # type: ignore[attr-defined]
        amps = {each.tag: each.current_a or 0.0 for each in short}
        loops = [Loop(f"load {i}", allowed, {tag: amps[tag] for tag in way}) for i, way in enumerate(ways)]
        before, after = chosen(short, loops), chosen(long, loops)
        assert all(before[tag][0] <= after[tag][0] for tag in tags)

    @settings(max_examples=30, deadline=None)
    @given(st.lists(st.tuples(st.floats(0.1, 6.0), AMPERES), min_size=2, max_size=6), st.floats(0.1, 1.0))
    def test_other_tags_change_nothing(self, wires: list, allowed: float) -> None:
        def sizes(tags: list[str]) -> list[float]:
            cases = [case(tag, current_a=amps, length_m=m) for tag, (m, amps) in zip(tags, wires, strict=True)]
            loop = Loop("load", allowed, {each.tag: each.current_a or 0.0 for each in cases})
            return [size for size, _ in chosen(cases, [loop]).values()]

        numbers = range(len(wires))
        assert sizes([f"W{number}" for number in numbers]) == sizes([f"W{90 - number}" for number in numbers])

    def test_a_conductor_of_the_next_size_has_less_resistance(self) -> None:
        ohms = [conductor_ohm(size, 1000.0) for size in STANDARD_MM2]
        assert ohms == sorted(ohms, reverse=True)

    def test_the_least_of_several_zones_is_the_greatest(self) -> None:
        assert least_limit([CABIN, ENGINE], {}).size_mm2 == 0.5
        assert bunched_factor(1) == 1.0
