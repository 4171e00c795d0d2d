"""What keeps a wire from the shortest way, and what a wire without a way says."""

from __future__ import annotations

from typing import Any

import pytest

from conversion.loom import Route, find_routes
from tests.loom.made_looms import described, made_loom, wire

SHORT = {"between": ["a", "b"], "length": "300 mm"}
LONG_1 = {"between": ["a", "c"], "length": "400 mm"}
LONG_2 = {"between": ["c", "b"], "length": "400 mm"}


def ring(short: dict[str, Any], **others: Any) -> dict[str, Any]:
    """A short run from a to b, and a longer way round by c."""
    return {"stations": {"a": "a", "b": "b", "c": "c"}, "runs": {"short": short, "l1": LONG_1, "l2": LONG_2}, **others}


def route(text: dict[str, Any], kind: str = "sensors", via: tuple[str, ...] = (), ends: str = "ab") -> Route:
    loom = made_loom(**text)
    return find_routes(described(loom), [wire("W1", ends[0], ends[1], kind, via=via)])["W1"]


@pytest.mark.parametrize(
    ("short", "others", "kind", "why"),
    [
        ({**SHORT, "closed_to": ["motor"]}, {}, "motor", "run 'short' is closed to the motor's wires"),
        ({**SHORT, "zone": "hot"}, {}, "sensors", "zone 'hot' is closed to sensors' wires"),
        ({**SHORT, "zone": "wet"}, {"zones": {"wet": {"closed_to": ["grounds"]}}}, "grounds", "zone 'wet' is closed"),
        ({**SHORT, "beside": [{"what": "ignition", "apart": "99 mm"}]}, {}, "sensors", "ignition cable 99.0 mm beside"),
        # What may be too near is too near.
        ({**SHORT, "beside": [{"what": "motor", "apart": "110 mm ± 20 mm"}]}, {}, "sensors", "motor cable 90.0 mm"),
        (
            {**SHORT, "beside": [{"what": "motor", "apart": "120 mm"}]},
            {"keep_apart": "150 mm"},
            "sensors",
            "sensors' wires keep 150.0 mm away",
        ),
    ],
)
def test_a_closed_run_is_gone_round(short: dict[str, Any], others: dict[str, Any], kind: str, why: str) -> None:
    found = route(ring(short, **others), kind)
    assert found.runs == ("l1", "l2") and found.length_mm == 800.0
    assert found.detour is not None and why in found.detour.why
    assert found.detour.runs == ("short",) and found.detour.length_mm == 300.0


@pytest.mark.parametrize(
    ("short", "others", "kind"),
    [
        ({**SHORT, "closed_to": ["motor"]}, {}, "sensors"),
        ({**SHORT, "zone": "hot"}, {}, "motor"),
        ({**SHORT, "zone": "hot"}, {"zones": {"hot": {"closed_to": []}}}, "sensors"),
        # Another change to the zone leaves what it is closed to as it was.
        ({**SHORT, "zone": "engine bay"}, {"zones": {"hot": {"ambient": "120 °C"}}}, "sensors"),
        ({**SHORT, "beside": [{"what": "ignition", "apart": "100 mm"}]}, {}, "sensors"),
        ({**SHORT, "beside": [{"what": "ignition", "apart": "unknown"}]}, {}, "sensors"),
        ({**SHORT, "beside": [{"what": "starter", "apart": "10 mm"}]}, {}, "feeds"),
        ({**SHORT, "beside": [{"what": "fuel or brake line", "apart": "20 mm"}]}, {}, "sensors"),
        ({**SHORT, "beside": [{"what": "charging", "apart": "30 mm"}]}, {"keep_apart": "30 mm"}, "sensors"),
    ],
)
def test_an_open_run_is_taken(short: dict[str, Any], others: dict[str, Any], kind: str) -> None:
    found = route(ring(short, **others), kind)
    assert found.runs == ("short",) and found.detour is None


def test_a_zone_that_is_changed_otherwise_stays_closed() -> None:
    found = route(ring({**SHORT, "zone": "hot"}, zones={"hot": {"ambient": "120 °C"}}))
    assert found.runs == ("l1", "l2")


def test_of_two_runs_between_the_same_stations_each_kind_takes_the_one_that_is_open_to_it() -> None:
    text = {
        "stations": {"a": "a", "b": "b"},
        "runs": {"short": {**SHORT, "closed_to": ["motor"]}, "motor-own": {**SHORT, "length": "350 mm"}},
    }
    assert route(text, "sensors").runs == ("short",)
    assert route(text, "motor").runs == ("motor-own",)


def test_a_station_in_a_closed_zone_is_reached_and_not_passed() -> None:
    text = ring({**SHORT, "length": "900 mm"})
    text["stations"] = {"a": "a", "b": "b", "c": {"place": "beside the manifold", "zone": "hot"}}
    assert route(text).runs == ("short",)
    assert route(text, "motor").runs == ("l1", "l2")
    assert route(text, ends="ac").runs == ("l1",)
    assert route(text, ends="cb").runs == ("l2",)
    assert route(text, via=("c",)).lift == (
        "open zone 'hot' to them: 'closed_to: []' under 'loom.zones.hot', with insulation and protection that stand it",
    )


def test_a_wire_without_a_way_names_the_one_thing_that_would_open_the_shortest() -> None:
    text = ring({**SHORT, "closed_to": ["sensors"], "zone": "hot"})
    text["runs"]["l1"] = {**LONG_1, "closed_to": ["sensors"]}
    found = route(text)
    # By the short run two things stand in the way, by the long one only one.
    assert found.length_mm is None and found.runs == ()
    assert found.why_none == "no allowed way leads from a to b: run 'l1' is closed to sensors' wires"
    assert found.lift == ("take 'sensors' out of 'closed_to' of run 'l1'",)


def test_a_wire_without_a_way_names_all_that_must_be_lifted_together() -> None:
    text = ring({**SHORT, "closed_to": ["sensors"], "zone": "hot"})
    del text["runs"]["l1"]
    found = route(text)
    assert len(found.lift) == 2
    assert found.why_none is not None and found.why_none.endswith(
        "run 'short' is closed to sensors' wires and zone 'hot' is closed to sensors' wires"
    )


def test_an_island_is_no_matter_of_lifting() -> None:
    text = ring(SHORT)
    text["stations"] |= {"d": "d", "e": "e"}
    text["runs"]["apart"] = {"between": ["d", "e"], "length": "100 mm"}
    found = route(text, ends="ad")
    assert found.why_none == "no runs lead from a to d" and found.lift == ()


def test_a_station_that_is_to_be_passed_is_passed_from_either_end_in_the_same_order() -> None:
    text = ring(SHORT)
    text["stations"]["d"] = "d"
    text["runs"] |= {"cd": {"between": ["c", "d"], "length": "50 mm"}, "db": {"between": ["d", "b"], "length": "60 mm"}}
    for ends, via in (("ab", ("c", "d")), ("ba", ("c", "d")), ("ab", ("d", "c"))):
        found = route(text, "other", via, ends)
        assert set(found.runs) == {"l1", "cd", "db"} and found.length_mm == 510.0
        assert found.detour is not None and found.detour.why.startswith("the wire is described to pass")
    # What lies on the way anyhow turns nothing.
    assert route(text, "other", (), "ad").detour == route(text, "other", ("b",), "ad").detour is None


def test_a_station_at_a_dead_end_is_visited_and_left_again() -> None:
    text = ring(SHORT)
    text["stations"]["d"] = "d"
    text["runs"]["spur"] = {"between": ["b", "d"], "length": "70 mm"}
    found = route(text, "other", ("d",))
    assert found.runs == ("short", "spur", "spur") and found.length_mm == 440.0


def test_a_detour_round_something_closed_is_not_laid_to_the_station_that_is_passed() -> None:
    text = ring({**SHORT, "closed_to": ["sensors"]})
    found = route(text, "sensors", ("c",))
    assert found.detour is not None and found.detour.via == ()
    assert found.detour.why == "run 'short' is closed to sensors' wires"


def test_both_ends_at_one_station_need_no_run() -> None:
    loom = made_loom(**ring(SHORT))
    found = find_routes(described(loom), [wire("W1", "a", "a")])["W1"]
    assert found == Route(("a",), (), 0.0)
