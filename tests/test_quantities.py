"""Figures as builders write them: units, tolerances, ranges, evidence, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion.quantities import UNITS, Quantity, QuantityError, number, parse, show, unit_of


@pytest.mark.parametrize(
    ("text", "dimension", "nominal", "low", "high"),
    [
        ("182 mm", "length", 182.0, 182.0, 182.0),
        ("18.2 cm ± 1 mm", "length", 182.0, 181.0, 183.0),
        ("182 mm +/- 1 mm", "length", 182.0, 181.0, 183.0),
        ("182 ± 1 mm", "length", 182.0, 181.0, 183.0),
        ("182 mm ± 1", "length", 182.0, 181.0, 183.0),
        ("7 in", "length", 177.8, 177.8, 177.8),
        ("0.30 V..0.95 V", "voltage", 0.625, 0.3, 0.95),
        ("0.30..0.95 V", "voltage", 0.625, 0.3, 0.95),
        ("300 mV .. 0.95 V", "voltage", 0.625, 0.3, 0.95),
        ("1.2 kohm ± 20 %", "resistance", 1200.0, 960.0, 1440.0),
        ("1.2 kΩ ± 20 %", "resistance", 1200.0, 960.0, 1440.0),
        ("1.2 k\u2126", "resistance", 1200.0, 1200.0, 1200.0),
        ("15 % ± 1 %", "ratio", 0.15, 0.14, 0.16),
        ("-40 mm ± 2 mm", "length", -40.0, -42.0, -38.0),
        ("-10 mm ± 10 %", "length", -10.0, -11.0, -9.0),
        ("-2 mm..3 mm", "length", 0.5, -2.0, 3.0),
        ("180°", "angle", math.pi, math.pi, math.pi),
        ("180 deg", "angle", math.pi, math.pi, math.pi),
        ("25 Nm", "moment", 25.0, 25.0, 25.0),
        ("1 N·m/°", "angular stiffness", 180 / math.pi, 180 / math.pi, 180 / math.pi),
        ("1e3 mm", "length", 1000.0, 1000.0, 1000.0),
        (".5 mm²", "area", 0.5, 0.5, 0.5),
        ("60 °C", "temperature", 60.0, 60.0, 60.0),
    ],
)
def test_a_figure_is_read(text: str, dimension: str, nominal: float, low: float, high: float) -> None:
    figure = parse(text, dimension)
    assert (figure.nominal, figure.low, figure.high) == pytest.approx((nominal, low, high))
    assert figure.text == text


@pytest.mark.parametrize("word", ["measured", "documented", "assumed"])
def test_the_evidence_stands_behind_a_comma(word: str) -> None:
    assert parse(f"182 mm ± 1 mm, {word}", "length").evidence == word
    assert parse(f"0.3 V..0.9 V , {word.upper()}", "voltage").evidence == word
    assert parse("182 mm", "length").evidence is None


@pytest.mark.parametrize(
    ("text", "dimension", "said"),
    [
        ("182 ohm", "length", "'182 ohm' is a resistance; a length is needed, such as '182 mm"),
        ("182", "length", "has no unit"),
        ("", "length", "nothing written"),
        (", measured", "length", "nothing written"),
        ("about 20 mm", "length", "is no figure"),
        ("1,5 mm", "length", "decimal comma"),
        ("182 mm, guessed", "length", "'guessed' is no evidence"),
        ("182 furlong", "length", "known here: mm, cm, m, in, ft"),
        ("182 mm ± 1 ohm", "length", "is a resistance"),
        ("182 mm ± 1 mm ± 2 mm", "length", "more than one tolerance"),
        ("182 mm ±", "length", "no tolerance"),
        ("182 mm ± -1 mm", "length", "negative"),
        ("0.9 V..0.3 V", "voltage", "runs downwards"),
        ("0.3 V..0.9 V ± 1 %", "voltage", "both a range and a tolerance"),
        ("1e400 mm", "length", "too large"),
        ("60 °C ± 5 %", "temperature", "means nothing"),
        ("AWG 99", "area", "outside 0 to 40"),
        ("182 MM", "length", "no unit of length"),
    ],
)
def test_what_is_no_figure_is_told_with_what_would_be_right(text: str, dimension: str, said: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(text, dimension)
    assert said in str(caught.value)


@given(st.text(max_size=40), st.sampled_from(sorted(UNITS)))
def test_any_text_is_a_figure_or_a_clear_refusal(text: str, dimension: str) -> None:
    try:
        figure = parse(text, dimension)
    except QuantityError as error:
        assert str(error)
    else:
        assert figure.low <= figure.nominal <= figure.high
        assert math.isfinite(figure.low) and math.isfinite(figure.high)


@given(st.floats(-1e6, 1e6), st.floats(0.0, 1e3), st.sampled_from(sorted(set(UNITS) - {"area", "temperature"})))
def test_every_unit_of_a_dimension_means_the_same_figure(value: float, spread: float, dimension: str) -> None:
    for unit, factor in UNITS[dimension].items():
        figure = parse(f"{value!r} {unit} ± {spread!r} {unit}", dimension)
        assert figure.nominal == pytest.approx(value * factor)
        assert figure.high - figure.nominal == pytest.approx(spread * factor, abs=1e-9 * max(1, abs(value * factor)))


@pytest.mark.parametrize(
    ("value", "dimension", "text"),
    [
        (182.04, "length", "182.0 mm"),
        (-0.01, "length", "0.0 mm"),
        (0.0872664626, "angle", "5.0°"),
        (1234.0, "resistance", "1.23 kohm"),
        (2.2e6, "resistance", "2.20 Mohm"),
        (0.02, "current", "20 mA"),
        (0.09, "time", "90 ms"),
        (7.0, "current", "7.00 A"),
        (0.05, "ratio", "5.0 %"),
        (float("nan"), "voltage", "none"),
    ],
)
def test_documents_round_in_one_place(value: float, dimension: str, text: str) -> None:
    assert show(value, dimension) == text


def test_a_table_cell_has_no_unit() -> None:
    assert (number(0.625, "voltage"), unit_of("voltage")) == ("0.62", "V")


def test_a_quantity_knows_its_limits() -> None:
    figure = Quantity(1.0, 0.9, 1.1, "voltage")
    assert figure.has_tolerance and figure.contains(1.1) and not figure.contains(1.2)
