"""Arithmetic in fields: what it comes to, what is left as typed, and what is refused. The outside check is Python's own arithmetic."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.units import DIMENSIONS, UnitError, parse
from engine.units.arithmetic import calculate, calculate_number

INCH = 0.0254
COMPUTED = [
    ("2.4 + 0.6", "length", "metric", "3 m"),
    ("3 x 1.2 m", "length", "metric", "3.6 m"),
    ("3x1.2m", "length", "metric", "3.6 m"),
    ("3 × 1.2 m", "length", "metric", "3.6 m"),
    ("(4ft 6in + 18in)/2", "length", "metric", "3ft"),
    ("(4ft 6in + 18in)/2", "length", "imperial", "3ft"),
    ("820*2", "flow", "metric", "1640 m3/h"),
    ("820/2", "flow", "metric", "410 m3/h"),
    ("2.4 m - 20 cm", "length", "metric", "2.2 m"),
    ("2.4 m + 20", "length", "metric", "22.4 m"),
    ('6" + 2"', "bore", "metric", "8 in"),
    ("1'6 x 2", "length", "metric", "3ft"),
    ("12'6+1'6", "length", "metric", "14ft"),
    ("10ft/3", "length", "metric", "3ft 4in"),
    ("10ft/7", "length", "metric", "1.428571 ft"),
    ("18in + 4ft", "length", "metric", "66 in"),
    ("2 1/2 x 2", "bore", "imperial", "5 in"),
    ("3 x 1/2 in", "bore", "metric", "1.5 in"),
    ("6.0/1/2", "length", "metric", "3 m"),
    ("2 inH2O + 1 inH2O", "pressure", "metric", "3 inH2O"),
    ("60 + 8", "temperature", "imperial", "68 degF"),
    ("(2 + 3) m", "length", "imperial", "5 m"),
    ("-(2 + 1)", "length", "metric", "-3 m"),
    ("2 - -1", "length", "metric", "3 m"),
    ("0.1 + 0.2 - 0.3", "length", "metric", "0 m"),
    ("1,200.5 + 1", "flow", "metric", "1201.5 m3/h"),
    ("1,5 + 1", "length", "metric", "2.5 m"),
]
AS_TYPED = [
    ("1 1/2 in", "bore"), ("1/2 in", "bore"), ("3/2 in", "bore"), ("5-1/2 in", "bore"), ("12ft 6in", "length"), ("12ft-6in", "length"),
    ("12'-6\"", "length"), ("1'6", "length"), ("1,5 m", "length"), ("-3 m", "length"), ("− 3 m", "length"), ("9e-5 m", "roughness"),
    ("820 m3/h", "flow"), ("3/4 m", "length"), ("2.4 in. w.g.", "pressure"), ("1.2 kg/m^3", "density"),
]  # fmt: skip
REFUSED = [
    ("2.4 +", "length", "breaks off; wanted a number after '\\+'"),
    ("3 x", "length", "breaks off; wanted a number after 'x'"),
    ("+", "length", "breaks off"),
    ("2 + m", "length", "has 'm' where a number should be"),
    ("(2 + 3", "length", "bracket that is not closed"),
    ("2 + 3)", "length", "has '\\)' after what is complete"),
    ("2(3)", "length", "wanted \\+ - x or / between two values"),
    ("2 ** 3", "length", "after what is complete"),
    ("3 m x 2 m", "length", "multiplies two quantities"),
    ("3 / 2.0 m", "length", "divides by a quantity"),
    ("3 m / 2 m", "length", "divides by a quantity"),
    ("3/(1-1)", "length", "divides by zero"),
    ("2 m + 350 cfm", "length", "is a flow; wanted a length"),
    ("2 m + 3 parsec", "length", "unit that is not known, 'parsec'"),
    ("20 degC + 5", "temperature", "computes with a temperature"),
    ("1,200 + 3", "flow", "may mean 1200 or 1.200"),
    ("12ft - 6in", "length", "may mean 12ft 6in or 11ft 6in"),
    ("1 - 1/2 in", "bore", "may mean 38.1 mm or"),
    ("5-1/2 m", "length", "may mean 5.5 m or 4.5 m"),
    ("1e12 x 1e12", "length", "too large"),
    ("1+" * 60 + "1", "length", "too long"),
    ("5 kg", "length", "measures something else"),
    ("1 500 m3/h", "flow", "is not one number with a unit"),
]


@pytest.mark.parametrize(("text", "dimension", "units", "kept"), COMPUTED)
def test_arithmetic_is_kept_as_a_plain_quantity(text, dimension, units, kept):
    quantity = calculate(text, dimension, units)
    assert quantity.text == kept
    assert quantity == parse(kept, dimension), "a file reads back what was kept"


@pytest.mark.parametrize(("text", "dimension"), AS_TYPED)
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_a_quantity_stays_as_it_was_typed(text, dimension, units):
    assert calculate(text, dimension, units) == parse(text, dimension)


@pytest.mark.parametrize(("text", "dimension", "problem"), REFUSED)
def test_wrong_input_has_one_reason(text, dimension, problem):
    with pytest.raises(UnitError, match=problem) as caught:
        calculate(text, dimension, "metric")
    assert str(caught.value).isprintable()


def test_an_inch_less_a_half_is_no_trap_in_inches():
    assert calculate("5-1/2", "bore", "imperial") == parse("5-1/2 in", "bore")
    with pytest.raises(UnitError, match=r"may mean 5\.5 mm or 4\.5 mm"):
        calculate("5-1/2", "bore", "metric")


@pytest.mark.parametrize(
    ("text", "number"), [("1+2", 3), ("3 x (2 - 0.5)", 4.5), ("1/2", 0.5), ("5-1/2", 4.5), ("0.1+0.2", 0.3), ("1,5", 1.5), ("-2", -2)]
)
def test_numbers_without_a_unit(text, number):
    assert calculate_number(text) == number


@pytest.mark.parametrize(
    ("text", "problem"), [("1,200", "1200 or 1.200"), ("2 m", "not a number"), ("2 m + 1", "has a unit"), ("1/0", "impossible"), ("", "empty")]
)
def test_what_is_no_arithmetic_on_numbers_is_refused(text, problem):
    with pytest.raises(UnitError, match=problem):
        calculate_number(text)


NUMBERS = st.decimals(min_value="0.001", max_value=1000, places=3).map(lambda number: f"{number.normalize():f}")
UNITS = st.sampled_from(
    [("m", Fraction(1)), ("cm", Fraction(1, 100)), ("mm", Fraction(1, 1000)), ("in", Fraction("0.0254")), ("ft", Fraction("0.3048"))]
)


def _plain(depth: int) -> st.SearchStrategy[str]:
    if not depth:
        return NUMBERS
    inner = _plain(depth - 1)
    pair = st.tuples(inner, st.sampled_from([" + ", " - ", "*", " / ", "+"]), inner).map("".join)
    return st.one_of(NUMBERS, pair, pair.map("({})".format), inner.map("-({})".format))


@given(_plain(3).filter(lambda text: len(text) <= 60))
def test_numbers_come_to_what_python_makes_of_them(text):
    try:
        wanted = eval(text)
    except ZeroDivisionError:
        wanted = None
    try:
        found = calculate_number(text)
    except UnitError as refused:
        reason = str(refused)
        assert wanted is None or abs(wanted) < 1e-9 or "zero" in reason, (text, reason)
        return
    assert found == pytest.approx(wanted, rel=1e-9, abs=1e-9)


@given(st.lists(st.tuples(NUMBERS, UNITS, st.integers(1, 9), st.booleans()), min_size=2, max_size=4))
def test_quantities_add_up_as_exact_fractions_do(terms):
    text = " ".join(f"{'+' if plus else '-'} {count} x {number} {unit}" for number, (unit, _), count, plus in terms)
    wanted = sum(Fraction(number) * scale * count * (1 if plus else -1) for number, (_, scale), count, plus in terms)
    quantity = calculate(text, "length", "metric")
    size = max(Fraction(number) * scale * count for number, (_, scale), count, _ in terms)
    assert quantity.si == pytest.approx(float(wanted), rel=2e-6, abs=1e-9 * float(size))
    assert parse(quantity.text, "length") == quantity


@given(
    text=st.text(alphabet="0123456789.,-+*/x() '\"eftinmhcPas½×", max_size=60),
    dimension=st.sampled_from(DIMENSIONS),
    units=st.sampled_from(["metric", "imperial"]),
)
def test_any_text_is_a_plain_quantity_or_a_reason(text, dimension, units):
    try:
        quantity = calculate(text, dimension, units)
    except UnitError as refused:
        reason = str(refused)
        assert reason.isprintable()
        return
    assert parse(quantity.text, dimension) == quantity
    assert not set("+*()") & set(quantity.text[1:].replace("e+", "")), quantity.text
