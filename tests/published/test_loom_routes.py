"""Published shortest paths, taken as looms.

Source     E. W. Dijkstra's algorithm as worked through in the online encyclopedia's article on it: six nodes, nine
           edges. And T. H. Cormen, C. E. Leiserson, R. L. Rivest and C. Stein, Introduction to Algorithms, the figures
           of the chapter on single-source shortest paths and of that on minimum spanning trees (nine nodes, fourteen
           edges; its shortest paths from one node are widely printed in courses).
Read from  memory, both; each is small enough to be followed by hand, and networkx is asked as well.
Tolerance  none: whole numbers.
"""

from __future__ import annotations

import networkx
import pytest

from conversion.loom import find_routes, place_splices
from tests.loom.made_looms import described, made_loom, multigraph, wire

SIX_NODES = [
    (1, 2, 7), (1, 3, 9), (1, 6, 14), (2, 3, 10), (2, 4, 15), (3, 4, 11), (3, 6, 2), (4, 5, 6), (5, 6, 9),
]  # fmt: skip
SIX_FROM_1 = {2: 7, 3: 9, 4: 20, 5: 20, 6: 11}

NINE_NODES = [
    (0, 1, 4), (0, 7, 8), (1, 2, 8), (1, 7, 11), (2, 3, 7), (2, 8, 2), (2, 5, 4), (3, 4, 9), (3, 5, 14), (4, 5, 10),
    (5, 6, 2), (6, 7, 1), (6, 8, 6), (7, 8, 7),
]  # fmt: skip
NINE_FROM_0 = {1: 4, 2: 12, 3: 19, 4: 21, 5: 11, 6: 9, 7: 8, 8: 14}

PUBLISHED = pytest.mark.parametrize(
    ("edges", "start", "lengths"), [(SIX_NODES, 1, SIX_FROM_1), (NINE_NODES, 0, NINE_FROM_0)], ids=["six", "nine"]
)


def loom_of(edges: list[tuple[int, int, int]], **others: object):
    names = sorted({f"n{node}" for one, other, _ in edges for node in (one, other)})
    runs = {
        f"r{one}-{other}": {"between": [f"n{one}", f"n{other}"], "length": f"{length} mm"}
        for one, other, length in edges
    }
    return made_loom(names, runs, **others)


@PUBLISHED
def test_the_printed_lengths_are_found(edges: list[tuple[int, int, int]], start: int, lengths: dict[int, int]) -> None:
    loom = loom_of(edges)
    wires = [wire(f"W{node}", f"n{start}", f"n{node}") for node in lengths]
    routes = find_routes(described(loom), wires)
    assert {node: routes[f"W{node}"].length_mm for node in lengths} == lengths


@PUBLISHED
def test_networkx_prints_the_same(edges: list[tuple[int, int, int]], start: int, lengths: dict[int, int]) -> None:
    found = networkx.single_source_dijkstra_path_length(multigraph(loom_of(edges)), f"n{start}", weight="weight")
    assert {node: found[f"n{node}"] for node in lengths} == lengths


def test_the_printed_path_is_taken() -> None:
    routes = find_routes(described(loom_of(SIX_NODES)), [wire("W1", "n1", "n5")])
    assert routes["W1"].stations == ("n1", "n3", "n6", "n5")


@PUBLISHED
def test_the_median_of_every_three_nodes_is_where_trying_all_puts_it(
    edges: list[tuple[int, int, int]], start: int, lengths: dict[int, int]
) -> None:
    loom = loom_of(edges, splices={"Z1": {"joins": ["feed.15"]}})
    far = dict(networkx.all_pairs_dijkstra_path_length(multigraph(loom), weight="weight"))
    for first in lengths:
        for second in lengths:
            ends = [f"n{node}" for node in (start, first, second)]
            wires = [wire(f"W{number}", "*Z1", end, "feeds") for number, end in enumerate(ends)]
            place = place_splices(described(loom), wires)["Z1"]
            least = min(sum(far[at][end] for end in ends) for at in loom.stations)
            assert place.station is not None
            assert sum(far[place.station][end] for end in ends) == least == place.copper_mm3
