"""The DXF of a template, read without the library that wrote it: pairs of a group code and a value, as published."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.fit import Circle, Line, Purpose, TemplateSheet, Text
from conversion.pack.dxf import dxf_bytes

SHEET = TemplateSheet(
    "plate",
    "A plate",
    (
        Line(np.array([[0.0, 0.0], [123.456, 0.0], [123.456, 78.9], [0.0, 78.9]]), Purpose.CUT, closed=True),
        Circle(np.array([20.25, 30.5]), 3.1),
        Line(np.array([[0.0, 40.0], [123.456, 40.0]]), Purpose.BEND),
        Text(np.array([60.0, 10.0]), "bend up 90°"),
    ),
    123.456,
    78.9,
)

Entity = list[tuple[int, str]]


def entities(content: bytes) -> list[Entity]:
    """Each entity of the drawing as its pairs, the kind first."""
    lines = content.decode("ascii").splitlines()
    assert len(lines) % 2 == 0
    pairs = [(int(code), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]
    first = pairs.index((2, "ENTITIES")) + 1
    last = pairs.index((0, "ENDSEC"), first)
    found: list[Entity] = []
    for pair in pairs[first:last]:
        if pair[0] == 0:
            found.append([])
        found[-1].append(pair)
    return found


def values(entity: Entity, code: int) -> list[float]:
    return [float(value) for key, value in entity if key == code]


def word(entity: Entity, code: int) -> str:
    return next(value for key, value in entity if key == code)


def test_shapes_stand_in_the_file_to_the_thousandth_of_a_millimetre() -> None:
    outline, hole, bend, text = entities(dxf_bytes(SHEET))
    assert [word(each, 0) for each in (outline, hole, bend, text)] == ["LWPOLYLINE", "CIRCLE", "LWPOLYLINE", "TEXT"]
    assert [word(each, 8) for each in (outline, hole, bend)] == ["CUT", "CUT", "BEND"]
    assert np.ptp(values(outline, 10)) == pytest.approx(123.456, abs=1e-3)
    assert np.ptp(values(outline, 20)) == pytest.approx(78.9, abs=1e-3)
    assert int(word(outline, 70)) & 1, "the outline must close"
    assert not int(word(bend, 70)) & 1
    assert (values(hole, 10), values(hole, 20)) == ([pytest.approx(20.25)], [pytest.approx(30.5)])
    assert values(hole, 40) == [pytest.approx(3.1)]
    assert word(text, 1) == "bend up 90%%d"


def test_the_file_says_that_it_is_in_millimetres() -> None:
    lines = [line.strip() for line in dxf_bytes(SHEET).decode("ascii").splitlines()]
    assert lines[lines.index("$INSUNITS") + 2] == "4"
    assert lines[lines.index("$MEASUREMENT") + 2] == "1"
    assert lines[lines.index("$ACADVER") + 2] == "AC1015"


def test_equal_sheets_give_equal_bytes() -> None:
    assert dxf_bytes(SHEET) == dxf_bytes(SHEET)


def test_making_a_file_leaves_the_librarys_options_alone() -> None:
    from ezdxf import options

    dxf_bytes(SHEET)
    assert not options.write_fixed_meta_data_for_testing
