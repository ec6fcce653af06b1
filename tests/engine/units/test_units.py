"""Quantities as text: what is read, what is refused and why, and that what is shown reads back."""

from __future__ import annotations

from contextlib import suppress
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.units import DIMENSIONS, UnitError, make, number_text, parse, parse_number, show, show_about, show_beside, unit_list, unit_name
from tests.waiting import no_hang

SYSTEMS = ("metric", "imperial")

# NIST Special Publication 811 (2008), appendix B.8: foot, inch, cubic foot per minute, inch of water (conventional),
# millimetre of water (conventional), pound per cubic foot, square foot, psi, with the digits printed there.
PUBLISHED = [
    ("1 ft", "length", 3.048e-1, 1e-15),
    ("1 in", "bore", 2.54e-2, 1e-15),
    ("1 cfm", "flow", 4.719474e-4, 1e-6),
    ("1 ft/min", "speed", 5.08e-3, 1e-12),
    ("1 inH2O", "pressure", 2.490889e2, 1e-6),
    ("1 mmH2O", "pressure", 9.80665, 1e-12),
    ("1 psi", "pressure", 6.894757e3, 1e-9),
    ("1 mbar", "pressure", 1.0e2, 1e-12),
    ("1 lb/ft^3", "density", 1.601846e1, 1e-6),
    ("1 ft2", "area", 9.290304e-2, 1e-12),
    ("1 km/h", "speed", 2.777778e-1, 1e-6),
    ("1 deg", "angle", 1.745329e-2, 1e-6),
    ("68 degF", "temperature", 293.15, 1e-12),
    ("-40 degF", "temperature", 233.15, 1e-12),
    ("20 degC", "temperature", 293.15, 1e-15),
]


@pytest.mark.parametrize(("text", "dimension", "si", "tolerance"), PUBLISHED)
def test_conversion_is_the_published_one(text, dimension, si, tolerance):
    assert parse(text, dimension).si == pytest.approx(si, rel=tolerance)


INCH = 0.0254
SPELLINGS = [
    ("length", 150 * INCH, ["12ft 6in", "12' 6\"", "12'-6\"", "12'6''", "12ft 6", "12.5 ft", "12 1/2 ft", "150in", "12′ 6″", "12 feet 6 inches"]),
    ("length", 18 * INCH, ["1'6", "1' 6", "1ft-6", "1 1/2ft", '18"', "1’6”"]),
    ("length", 150.5 * INCH, ["12ft 6 1/2in", "12' 6-1/2\"", "12ft 6½in", "12'6.5"]),
    ("length", -18 * INCH, ["-1ft 6in", "−1'6", "- 18 in"]),
    ("bore", 6 * INCH, ['6"', "6in", "6 in.", "6 inches", "6IN", "152.4mm", "15.24 cm"]),
    ("bore", 1.5 * INCH, ["1 1/2 in", '1-1/2"', "1 - 1/2 in", "1½ in", "3/2 in", '1.5"', "1,5 in"]),
    ("length", 1.5, ["1,5 m", "1.5m", "1500 mm", "+1.5 metres", "1.5e0 m", "  1.5   m  "]),
    ("length", 0.125, ["0,125 m", ".125 m", ",125 m"]),
    ("length", 3.0, ["3. m", "3 M"]),
    ("roughness", 9e-5, ["0.09 mm", "90 um", "90 µm", "90 μm", "9e-5 m"]),
    ("flow", 820 / 3600, ["820 m3/h", "820 m^3/h", "820m³/h", "820 m3 / hr", "820 m3 per hour", "227.7777777778 L/s", "227.7777777778 l/s"]),
    ("flow", 350 * 0.3048**3 / 60, ["350 cfm", "350 CFM", "350 ft3/min", "350 ft³/min", "350 cu ft/min"]),
    ("pressure", 2.4 * 249.089, ["2.4inH2O", "2.4 in H2O", "2.4 in wg", "2.4 in. w.g.", '2.4" WC', "2,4 inwc"]),
    ("pressure", 1234.5, ["1,234.5 Pa", "1.234,5 Pa"]),
    ("flow", 1234567.5 / 3600, ["1,234,567.5 m3/h"]),
    ("pressure", 1890.0, ["1890 Pa", "1.89 kPa", "18.9 mbar", "18.9 hPa"]),
    ("speed", 4000 * 0.3048 / 60, ["4000 fpm", "4000 ft/min", "20.32 m/s"]),
    ("temperature", 293.15, ["20 degC", "20°C", "20 C", "293.15 K", "68°F"]),
    ("angle", pi / 4, ["45 deg", "45°", "45º", "45 degrees"]),
    ("area", 10.0, ["10 m2", "10 m^2", "10 m²", "10 sq m"]),
    ("area", 5 * 0.3048**2, ["5 ft2", "5 sq ft", "5ft^2", "720 in2"]),
    ("density", 1.2, ["1.2 kg/m3", "1.2 kg/m^3", "1,2 kg/m³", "1200 g/m3"]),
]


@pytest.mark.parametrize(("dimension", "si", "text"), [(d, si, text) for d, si, texts in SPELLINGS for text in texts])
def test_spelling_is_read(dimension, si, text):
    quantity = parse(text, dimension)
    assert quantity.si == pytest.approx(si, rel=1e-9)
    assert quantity.text == " ".join(text.split()), "the text typed is kept"


REFUSED = [
    ("", "length", "is empty"),
    ("5", "length", "has no unit"),
    ("m", "length", "is not one number with a unit"),
    (".", "length", "is not one number with a unit"),
    ("nan m", "length", "is not one number with a unit"),
    ("inf m", "length", "is not one number with a unit"),
    ("-inf m3/h", "flow", "is not one number with a unit"),
    ("--5 m", "length", "is not one number with a unit"),
    ("1 500 m3/h", "flow", "is not one number with a unit"),
    ("٣ m", "length", "is not one number with a unit"),
    ("1,500 m3/h", "flow", "may mean 1500 or 1.500"),
    ("12,345 Pa", "pressure", "may mean 12345 or 12.345"),
    ("1.2.3 m", "length", "more than one point or comma"),
    ("1e13 m", "length", "too large"),
    ("1e999999999 m", "length", "too large"),
    ("1e-999 m", "length", "too small"),
    ("1/0 in", "bore", "impossible fraction"),
    ("1 3/2 in", "bore", "impossible fraction"),
    ("5ft 12in", "length", "whole feet with less than 12 inches"),
    ("5.5ft 2in", "length", "whole feet with less than 12 inches"),
    ("1 m 20 cm", "length", "unit that is not known"),
    ("2*3 m", "length", "unit that is not known"),
    ("5 parsec", "length", "unit that is not known, 'parsec'"),
    ("5 m/m/m", "length", "unit that is not known"),
    ("5 degC/m", "temperature", "unit that is not known"),
    ("5 C2", "temperature", "unit that is not known"),
    ("350 cfm", "length", "is a flow"),
    ("6 in", "flow", "is a length"),
    ("12ft 6in", "area", "is a length"),
    ("90 degF", "angle", "is a temperature"),
    ("5 kg", "density", "measures something else"),
    ("5 ft3", "length", "measures something else"),
    ("9" * 61 + " m", "length", "is too long"),
]


@pytest.mark.parametrize(("text", "dimension", "problem"), REFUSED)
def test_refusal_says_what_and_what_is_wanted(text, dimension, problem):
    with pytest.raises(UnitError) as caught:
        parse(text, dimension)
    message = str(caught.value)
    assert problem in message
    assert unit_list(dimension) in message
    assert message.isprintable()


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_every_listed_unit_is_read(dimension):
    for unit in unit_list(dimension).split(", "):
        parse(f"1 {unit}", dimension)
    for system in SYSTEMS:
        assert unit_name(dimension, system) in unit_list(dimension)


def test_a_bare_number_takes_the_displayed_unit_only_where_asked():
    assert parse("160", "bore", bare="metric").text == "160 mm"
    assert parse("1 1/2", "bore", bare="imperial") == parse("1 1/2 in", "bore")
    assert parse("350", "flow", bare="imperial") == parse("350 cfm", "flow")
    assert parse("1,5", "length", bare="metric").si == 1.5
    assert parse("1'6", "length", bare="metric").text == "1'6"
    assert parse("6in", "length", bare="metric").si == pytest.approx(0.1524)


TEXTS = st.one_of(
    st.text(max_size=80),
    st.text(alphabet="0123456789.,-+/' \"eftinmhcPasH2O^°½³", max_size=40),
    st.from_regex(r"[-+]?[0-9.,]{1,12}(e[-+]?[0-9]{1,6})? ?[a-zA-Z/^0-9'\"]{0,8}", fullmatch=True),
)


@given(text=TEXTS, dimension=st.sampled_from(DIMENSIONS), bare=st.sampled_from([None, *SYSTEMS]))
def test_any_text_is_a_quantity_or_a_unit_error(text, dimension, bare):
    try:
        quantity = parse(text, dimension, bare=bare)
    except UnitError as refused:
        reason = str(refused)
        assert reason.isprintable()
        return
    assert abs(quantity.si) < 1e19
    assert parse(quantity.text, dimension).si == quantity.si


def test_no_text_takes_long():
    for letter in "1.,' -/e":
        for text in (letter * 60, ("1" + letter) * 30, "1'" + letter * 58, letter * 59 + "\0"):
            with no_hang(), suppress(UnitError):
                parse(text, "length")


# Half of the last digit shown, in SI: metric, imperial.
PRECISION = {
    "length": (0.0005, INCH / 16), "bore": (5e-5, 5e-4 * INCH), "roughness": (5e-7, 5e-5 * INCH), "flow": (0.5 / 3600, 0.5 * 0.3048**3 / 60),
    "speed": (0.05, 0.5 * 0.3048 / 60), "pressure": (0.5, 0.05 * 249.089), "temperature": (0.05, 0.05 / 1.8), "angle": (0.05 * pi / 180,) * 2,
    "area": (0.005, 0.05 * 0.3048**2), "density": (0.0005, 0.00005 * 16.02),
}  # fmt: skip
LARGEST = {"length": 1000.0, "bore": 2.0, "roughness": 0.02, "temperature": 400.0, "angle": 13.0, "area": 1e4, "density": 2.0}


@given(share=st.floats(-1.0, 1.0), dimension=st.sampled_from(DIMENSIONS), system=st.sampled_from(SYSTEMS))
def test_what_is_shown_reads_back(share, dimension, system):
    si = share * LARGEST.get(dimension, 3e4)
    half = PRECISION[dimension][SYSTEMS.index(system)] * 1.001 + 1e-9
    made = make(si, dimension, system)
    assert made == parse(made.text, dimension)
    for text in (show(si, dimension, system), made.text):
        assert text.isascii()
        assert parse(text, dimension).si == pytest.approx(si, abs=half)
    bare = parse(number_text(si, dimension, system), dimension, bare=system)
    assert bare.si == pytest.approx(si, abs=max(half, 0.005 * 0.3048 * 1.001) if dimension == "length" else half)
    exact = parse(show(si, dimension, system, digits=9), dimension)
    assert exact.si == pytest.approx(si, rel=1e-8, abs=1e-6)


@pytest.mark.parametrize(
    ("si", "dimension", "metric", "imperial"),
    [
        (3.81, "length", "3.81 m", "12ft 6in"),
        (150.5 * INCH, "length", "3.823 m", "12ft 6 1/2in"),
        (-0.75 * INCH, "length", "-0.019 m", "-3/4in"),
        (11.99 * INCH, "length", "0.305 m", "1ft"),
        (0.0, "length", "0 m", "0in"),
        (0.001, "length", "0.001 m", "0.04in"),
        (0.16, "bore", "160 mm", "6.299 in"),
        (6 * INCH, "bore", "152.4 mm", "6 in"),
        (9e-5, "roughness", "0.09 mm", "0.003543 in"),
        (1.5e-6, "roughness", "0.0015 mm", "0.000059 in"),
        (874.2 / 3600, "flow", "874 m3/h", "515 cfm"),
        (-0.0, "flow", "0 m3/h", "0 cfm"),
        (12.13, "speed", "12.1 m/s", "2388 ft/min"),
        (18.0, "speed", "18.0 m/s", "3543 ft/min"),
        (1890.4, "pressure", "1890 Pa", "7.6 inH2O"),
        (12.6, "pressure", "13 Pa", "0.05 inH2O"),
        (-1e-9, "pressure", "0 Pa", "0.00 inH2O"),
        (293.15, "temperature", "20 degC", "68 degF"),
        (pi / 2, "angle", "90 deg", "90 deg"),
        (10.0, "area", "10 m2", "107.6 ft2"),
        (1.204, "density", "1.204 kg/m3", "0.0752 lb/ft3"),
    ],
)
def test_shown_digits_are_plausible(si, dimension, metric, imperial):
    assert show(si, dimension, "metric") == metric
    assert show(si, dimension, "imperial") == imperial


def test_digits_asked_for_are_written():
    assert show(1.2, "length", "metric", digits=2) == "1.20 m"
    assert show(3.81, "length", "imperial", digits=1) == "12.5 ft"
    assert show(18.0, "speed", "metric", digits=0) == "18 m/s"
    assert make(18.0, "speed", "metric").text == "18 m/s"


@pytest.mark.parametrize(
    ("text", "number"),
    [("1.5", 1.5), ("1,5", 1.5), ("0,125", 0.125), ("1,200.5", 1200.5), ("1.200,5", 1200.5), ("-1/2", -0.5), ("1 1/2", 1.5), ("1e-3", 0.001)],
)
def test_a_number_without_a_unit_is_read(text, number):
    assert parse_number(text) == number


@pytest.mark.parametrize(
    ("text", "problem"),
    [("1,200", "may mean 1200 or 1.200"), ("2 m", "not a number"), ("", "is empty"), ("nan", "not a number"), ("9" * 61, "not a number")],
)
def test_what_is_no_number_says_so(text, problem):
    with pytest.raises(UnitError, match=problem):
        parse_number(text)


@pytest.mark.parametrize(
    ("si", "dimension", "least", "told"),
    [
        (28.0, "speed", False, "about 5510 ft/min"), (0.01, "bore", True, "about 0.4 in"), (2.0, "bore", False, "about 78 in"),
        (-430.0, "length", True, "about -1400 ft"), (3.048, "length", False, "10 ft"), (233.15, "temperature", True, "-40 degF"),
        (0.0, "speed", True, "0 ft/min"), (pi, "angle", False, "180 deg"),
    ],
)  # fmt: skip
def test_a_limit_is_told_in_round_imperial_figures(si, dimension, least, told):
    assert show_about(si, dimension, "imperial", least=least) == told
    assert show_about(si, dimension, "metric", least=least) == show(si, dimension, "metric")
    value = parse(told.removeprefix("about "), dimension).si
    assert value >= si * (1 - 1e-9) - 1e-9 if least else value <= si * (1 + 1e-9)


@pytest.mark.parametrize("text", ["350 centifermi", "5 furlong", "5 kft", "5 N/m^2", "5 acfm", "5 meter**1"])
def test_units_of_no_use_here_are_not_guessed_at(text):
    for dimension in DIMENSIONS:
        with pytest.raises(UnitError, match="not known"):
            parse(text, dimension)


@pytest.mark.parametrize(("value", "limit", "dimension", "system", "told"), [
    (14.8, 15.0, "speed", "imperial", ("2913 ft/min", "about 2960 ft/min")),
    (28.4, 28.0, "speed", "imperial", ("5591 ft/min", "about 5510 ft/min")),
    (15.16, 15.0, "speed", "imperial", ("2984 ft/min", "about 2950 ft/min")),
    (27.9, 28.0, "speed", "metric", ("27.9 m/s", "28.0 m/s")),
    (14.98, 15.0, "speed", "metric", ("14.98 m/s", "15.00 m/s")),
    (0.1519, 0.1524, "length", "imperial", ("0.498 ft", "0.500 ft")),
])  # fmt: skip
def test_a_value_past_its_limit_reads_so(value, limit, dimension, system, told):
    assert show_beside(value, limit, dimension, system) == told


@given(
    st.sampled_from(["length", "bore", "speed", "pressure", "flow", "angle"]), st.floats(0.01, 50.0), st.floats(0.5, 2.0), st.sampled_from(SYSTEMS)
)
def test_no_value_contradicts_or_looks_like_its_limit(dimension, limit, share, system):
    """One per cent apart, as findings keep them."""
    value = limit * (share if abs(share - 1.0) >= 0.01 else 1.01)
    one, other = (parse(text.removeprefix("about "), dimension).si for text in show_beside(value, limit, dimension, system))
    assert (one > other) == (value > limit) and one != other
