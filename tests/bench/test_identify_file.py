"""The file of readings: what it says, every mistake in it at its place, and the part file that comes of it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from conversion.bench.unknown.form import FEWEST, MOST
from conversion.bench.unknown.identify import identify
from conversion.bench.unknown.part import NoPart, part_file
from conversion.bench.unknown.reader import read_sheet
from conversion.commands import identify as command
from conversion.description import DescriptionError
from conversion.description.parts import PartFile, PedalModule
from conversion.description.validation import validate
from conversion.description.yaml_text import read_tree
from tests.bench.simulated_modules import KINDS, Module, module

GOOD = """\
title: A module
meter: {tolerance: 2 %, least: 1 ohm, leads: 0.4 ohm}
terminals: [sig, gnd, 5V, NC]
rows: [[sig, gnd], [5V, NC]]
swing: 20°
at_rest:
  gnd: {sig: 700 ohm, 5V: 2000 ohm, NC: OL}
  sig: {5V: 2.30 kohm ± 1 %, NC: open}
  5V: {NC: 3.2 Mohm}
at_full:
  gnd: {sig: 1.9 kohm, 5V: 2.0 kohm, NC: unread}
  sig: {5V: 1.1 kohm}
"""


def written(tmp_path: Path, text: str) -> Path:
    file = tmp_path / "readings.yaml"
    file.write_text(text, "utf-8", newline="\n")
    return file


def complaints(tmp_path: Path, text: str) -> list[str]:
    with pytest.raises(DescriptionError) as caught:
        read_sheet(written(tmp_path, text))
    return [str(complaint) for complaint in caught.value.complaints]


def test_what_the_meter_showed_comes_without_its_leads(tmp_path: Path) -> None:
    sheet = read_sheet(written(tmp_path, GOOD))
    readings = sheet.readings
    assert readings.terminals == ("sig", "gnd", "5V", "NC") and readings.positions == ("at rest", "at full")
    assert readings.ohm[0, 0, 1] == readings.ohm[0, 1, 0] == pytest.approx(699.6)
    assert readings.tolerance_ohm[0, 0, 1] == pytest.approx(np.hypot(0.02 * 699.6, 1.0))
    assert readings.tolerance_ohm[0, 0, 2] == pytest.approx(23.0)
    assert np.isinf(readings.ohm[0, 1, 3]) and np.isinf(readings.ohm[0, 0, 3]) and np.isnan(readings.ohm[1, 1, 3])
    assert [leak[:3] for leak in sheet.leaks] == [(0, 2, 3)] and np.isinf(readings.ohm[0, 2, 3])
    assert str(sheet.place(0, 0, 1)) == "readings.yaml:7:14"


def test_every_mistake_is_said_at_once_and_at_its_place(tmp_path: Path) -> None:
    text = GOOD.replace("700 ohm", "700 kg").replace("at_full", "at_ful").replace("sig: {5V: 1.1", "sgi: {sig: 1.1")
    text = text.replace("NC: OL", "gnd: 3 ohm").replace("[sig, gnd, 5V, NC]", "[sig, gnd, 5V, NC, NC]")
    found = complaints(tmp_path, text + "supplied_at: [5v]\n")
    assert [line.split(": ")[0] for line in found] == [
        "readings.yaml:3:31",
        "readings.yaml:7:14",
        "readings.yaml:7:36",
        "readings.yaml:10:1",
        "readings.yaml:13:15",
    ]
    assert "stands twice" in found[0] and "is a mass" in found[1] and "against itself" in found[2]
    assert "did you mean 'at_full'" in found[3] and "did you mean '5V'" in found[4]


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (GOOD.replace("[sig, gnd, 5V, NC]", "[sig, gnd]"), "3"),
        (GOOD.replace("2 %", "90 %"), "no meter's"),
        (GOOD.replace("0.4 ohm", "400 ohm"), "leads"),
        (GOOD.replace("[5V, NC]]", "[5V]]"), "the rows lack terminal 'NC'"),
        (GOOD.replace("700 ohm", "-700 ohm"), "falls below"),
        (GOOD.replace("700 ohm", "nan"), "no figure"),
        ("[1, 2]", "mapping"),
        ("", "empty"),
    ],
)
def test_what_is_no_reading_is_refused(tmp_path: Path, wrong: str, said: str) -> None:
    found = complaints(tmp_path, wrong)
    assert any(said in line for line in found), found
    assert all(line.startswith("readings.yaml:") for line in found)


def test_a_reading_larger_than_by_way_of_a_third_is_found_at_its_place(tmp_path: Path) -> None:
    sheet = read_sheet(written(tmp_path, GOOD.replace("5V: 2000 ohm", "5V: 9000 ohm")))
    found = identify(sheet.readings)
    assert found.verdict != "found"
    (against,) = found.contradictions
    assert str(sheet.place(against.position, against.first, against.second)) == "readings.yaml:7:27"
    assert "by way of terminal sig" in against.reason


def test_open_between_terminals_that_hang_together_is_found(tmp_path: Path) -> None:
    sheet = read_sheet(written(tmp_path, GOOD.replace("5V: 2000 ohm", "5V: open")))
    assert "open was read" in identify(sheet.readings).contradictions[0].reason


def test_readings_that_differ_with_the_leads_changed_over_mean_electronics(tmp_path: Path) -> None:
    same = read_sheet(written(tmp_path, GOOD.replace("NC: open}", "NC: open, gnd: 705 ohm}")))
    assert same.readings.both_ways() and not identify(same.readings).polarised
    apart = read_sheet(written(tmp_path, GOOD.replace("NC: open}", "NC: open, gnd: 900 ohm}")))
    found = identify(apart.readings)
    assert found.verdict == "no-fit" and found.polarised == ((0, 0, 1),)


def test_limits_of_the_form_and_of_the_command_are_the_same() -> None:
    assert (command.FEWEST, command.MOST) == (FEWEST, MOST)


def test_a_part_before_and_after_the_powered_check(tmp_path: Path) -> None:
    part = read_part(part_of(tmp_path, GOOD))
    assert part.evidence == "measured" and part.tracks["a"].output.rest is None
    assert part.places_of("pedal.a.signal") == [("A", "sig")] and not part.places_of("pedal.a.supply")
    part = read_part(part_of(tmp_path, GOOD + "supplied_at: [5V]\n"))
    assert part.places_of("pedal.a.supply") == [("A", "5V")] and part.places_of("pedal.a.ground") == [("A", "gnd")]
    # From the ground's end: the track is 2000 ohm, in the wiper's way are (700 + 2300 - 2000) / 2 = 500 ohm.
    output = part.tracks["a"].output
    assert output.rest and output.full
    assert output.rest.contains(0.1) and output.full.contains(0.7)
    assert part.tracks["a"].source_resistance and part.tracks["a"].source_resistance.contains(500.0)


@pytest.mark.parametrize(
    ("said", "place"), [("[5V, gnd]", "readings.yaml:13:14"), ("[NC, 5V]", "readings.yaml:13:15"), ("[]", ":13:14")]
)
def test_a_supply_that_cannot_be_is_refused_at_its_place(tmp_path: Path, said: str, place: str) -> None:
    with pytest.raises(DescriptionError) as caught:
        part_of(tmp_path, f"{GOOD}supplied_at: {said}\n")
    assert place in str(caught.value)


def test_no_part_is_written_of_what_is_undecided(tmp_path: Path) -> None:
    with pytest.raises(NoPart):
        part_of(tmp_path, GOOD.replace("sig: {5V: 1.1 kohm}", "sig: {}").replace("gnd: {sig: 1.9 kohm, 5", "gnd: {5"))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("checked", [False, True])
def test_parts_of_all_kinds_are_read(tmp_path: Path, kind: str, checked: bool) -> None:
    rng = np.random.default_rng(20 + KINDS.index(kind))
    made = module(kind, rng)
    text = as_file(made, made.measured(rng).ohm)
    if checked:
        supply = {min(ends) for ends, _ in made.tracks} if "shared" not in kind else set(_common(made))
        text += f"supplied_at: {sorted(end + 1 for end in supply)}\n"
    part = read_part(part_of(tmp_path, text))
    assert len(part.tracks) == len(made.tracks)
    roles = [role for _, _, cavity in part.cavities() for role in cavity.roles]
    assert sum(role.endswith(".signal") and "pedal.idle" not in role for role in roles) >= len(made.tracks)
    assert sum(role.endswith(".supply") for role in roles) == (len(made.tracks) if checked else 0)
    for _, closed in made.contacts:
        assert (part.idle_contact if closed[0] else part.kickdown_contact) or checked


def _common(made: Module) -> list[int]:
    common = frozenset.intersection(*(ends for ends, _ in made.tracks))
    return [min(common)]


def as_file(made: Module, ohm: np.ndarray) -> str:
    lines = ["title: Simulated", "meter: {least: 0.3 ohm}", f"terminals: {list(range(1, made.terminals + 1))}"]
    for key, table in zip(("at_rest", "at_full"), ohm, strict=True):
        lines.append(f"{key}:")
        for i in range(made.terminals - 1):
            row = (
                f"{j + 1}: {'open' if np.isinf(table[i, j]) else f'{table[i, j]:.1f} ohm'}"
                for j in range(i + 1, made.terminals)
            )
            lines.append(f"  {i + 1}: {{{', '.join(row)}}}")
    return "\n".join(lines) + "\n"


def part_of(tmp_path: Path, text: str) -> str:
    sheet = read_sheet(written(tmp_path, text))
    return part_file(sheet, identify(sheet.readings))


def read_part(text: str) -> PedalModule:
    part, found = validate(PartFile, read_tree(text.encode("utf-8"), "part.yaml"))
    assert not found and part is not None and isinstance(part.root, PedalModule)
    return part.root


def test_a_third_position_is_taken_in(tmp_path: Path) -> None:
    half = "at_half:\n  gnd: {sig: 1.3 kohm, 5V: 2.0 kohm}\n  sig: {5V: 1.71 kohm}\n"
    found = identify(read_sheet(written(tmp_path, GOOD + half)).readings)
    assert found.verdict == "found" and found.readings.positions == ("at rest", "half-way", "at full")
    (track,) = found.tracks
    from_ground = track.share if track.ends[0] == 1 else 1.0 - track.share
    assert from_ground == pytest.approx([0.1, 0.4, 0.7], abs=0.02)


def test_a_winding_and_terminals_that_are_one_are_told(tmp_path: Path) -> None:
    """As of a throttle body: a motor of 2 ohm; and a ground that comes out twice."""
    text = """\
title: Throttle body
terminals: [m1, m2, s, g, h, 5V]
at_rest:
  m1: {m2: 2 ohm, s: open, g: open, h: open, 5V: open}
  g: {h: 0.2 ohm, s: 700 ohm, 5V: 2000 ohm}
  h: {s: 700 ohm, 5V: 2000 ohm}
  s: {5V: 2300 ohm}
at_full:
  m1: {m2: 2 ohm, s: open, g: open, h: open, 5V: open}
  g: {h: 0.2 ohm, s: 1900 ohm, 5V: 2000 ohm}
  h: {s: 1900 ohm, 5V: 2000 ohm}
  s: {5V: 1100 ohm}
"""
    found = identify(read_sheet(written(tmp_path, text)).readings)
    assert found.verdict == "found" and [track.wiper for track in found.tracks] == [2]
    winding, track = found.groups
    assert winding.fixed_ohm == pytest.approx(2.0) and track.group.joined == {4: 3}
    part = read_part(part_of(tmp_path, text))
    unused = {name: cavity.unused for _, name, cavity in part.cavities() if cavity.unused}
    assert unused["h"] == "one with terminal g inside" and "fixed resistance" in (unused["m1"] or "")


def test_groups_between_which_nothing_was_read_are_undecided(tmp_path: Path) -> None:
    text = GOOD.replace(", NC: OL", "").replace(", NC: open", "").replace("  5V: {NC: 3.2 Mohm}\n", "")
    found = identify(read_sheet(written(tmp_path, text)).readings)
    assert found.verdict == "undecided" and [each.pair for each in found.further] == [(0, 3)]
