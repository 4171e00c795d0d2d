"""Words beside the loom: near what they speak of, and over nothing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, box

from conversion.loom.board.placing import Ground, Placed, Words, place_words

INSIDE = np.array([-200.0, -200.0, 200.0, 200.0])


def ground(lines: list[list[float]], boxes: list[list[float]] | None = None, far_mm: float = 150.0) -> Ground:
    where = np.array(lines, float).reshape(-1, 4)
    return Ground(where, np.full(len(where), 2.0), np.array(boxes or [], float).reshape(-1, 4), INSIDE, 1.0, far_mm)


def area(placed: Placed):  # type: ignore[no-untyped-def]
    return box(*placed.box)


@pytest.mark.parametrize("turn_deg", range(0, 360, 15))
def test_words_stand_right_beside_a_lone_line(turn_deg: int) -> None:
    way = 80.0 * np.array([np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))])
    along = np.array([-way, way])
    (placed,) = place_words([Words((30.0, 5.0), along)], ground([[*-way, *way]]))
    assert placed.clear and placed.leader is None
    apart = area(placed).distance(LineString(along))
    assert 2.0 <= apart < 6.0


def test_words_that_find_no_place_beside_are_led_to() -> None:
    around = [[-30.0, -30.0, -3.0, 30.0], [3.0, -30.0, 30.0, 30.0], [-3.0, -30.0, 3.0, -3.0]]
    (placed,) = place_words([Words((30.0, 5.0), np.zeros((2, 2)))], ground([[0, 0, 0, 0]], around))
    # The only way out is the slit upward, too narrow for the words themselves.
    assert placed.clear and placed.leader is not None and placed.box[1] > 30.0
    np.testing.assert_allclose(placed.leader[1], [0.0, 0.0])
    assert area(placed).distance(LineString(placed.leader)) < 1e-9
    assert all(not LineString(placed.leader).intersects(box(*each)) for each in around)
    assert all(not area(placed).intersects(box(*each)) for each in around)


def test_where_nothing_is_free_it_says_so() -> None:
    everywhere = [[-200.0, -200.0, 200.0, 200.0]]
    (placed,) = place_words([Words((30.0, 5.0), np.zeros((2, 2)))], ground([[0, 0, 0, 0]], everywhere))
    assert not placed.clear


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(*[st.floats(-150.0, 150.0)] * 4), min_size=1, max_size=8))
def test_clear_words_lie_over_nothing(lines: list[tuple[float, ...]]) -> None:
    wanted = [Words((25.0, 4.0), np.array(line).reshape(2, 2)) for line in lines]
    found = place_words(wanted, ground([list(line) for line in lines]))
    clear = [placed for placed in found if placed.clear]
    for number, placed in enumerate(clear):
        assert all(area(placed).distance(LineString(np.array(line).reshape(2, 2))) >= 2.0 for line in lines)
        assert all(not area(placed).intersects(area(other)) for other in clear[number + 1 :])
        assert box(*INSIDE).covers(area(placed))
