"""Friction factor and pipe friction against the Colebrook equation, its own computed values and the field's formulas."""

from __future__ import annotations

import subprocess
import sys
from itertools import pairwise
from math import log, log10, sqrt

import fluids.friction
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.air.losses.friction import colebrook

FOOT, INCH, FPM, CFM = 0.3048, 0.0254, 0.00508, 4.719474e-4
INCH_OF_WATER = 249.089
STANDARD_DENSITY = 1.2014  # US standard air, 0.075 lb/ft3
VISCOSITY = 1.8134e-5  # at 20 degC, US Standard Atmosphere 1976

# Colebrook solved to 1e-8 (computed).
SPOT_VALUES = [
    (1e4, 0.0, 0.03088295), (1e5, 0.0, 0.01798977), (1e6, 0.0, 0.01164504), (1e5, 1e-4, 0.01851387),
    (1e5, 1e-3, 0.02217454), (1e5, 1e-2, 0.03850354), (2e5, 5e-4, 0.01881979), (1e6, 1e-4, 0.01344144),
    (4e3, 5e-2, 0.07698683), (6e4, 2.3e-3, 0.02675480),
]  # fmt: skip

# Bore in, speed ft/min: inH2O per 100 ft in standard air by Colebrook at roughness 0.0005, 0.0003 and 0.00015 ft
# (computed), by Loeffler's galvanised formula and by Wright's.
PER_100_FT = [
    (3, 4000, 10.002, 9.088, 8.245, 10.060, 9.990),
    (4, 4000, 6.957, 6.349, 5.786, 7.074, 7.033),
    (4, 4500, 8.747, 7.960, 7.224, 8.871, 8.797),
    (5, 4000, 5.260, 4.815, 4.403, 5.384, 5.357),
    (6, 4000, 4.190, 3.845, 3.525, 4.307, 4.289),
    (8, 4000, 2.933, 2.701, 2.485, 3.029, 3.019),
    (12, 4000, 1.780, 1.648, 1.524, 1.844, 1.841),
]  # fmt: skip

reynolds_numbers = st.floats(0.0, 7.0).map(lambda decade: 10.0**decade)
roughnesses = st.floats(0.0, 0.05)


def per_100_ft(bore_in: float, fpm: float, roughness_ft: float) -> float:
    """inH2O per 100 ft by the engine."""
    bore, speed = bore_in * INCH, fpm * FPM
    factor, _ = colebrook(STANDARD_DENSITY * speed * bore / VISCOSITY, roughness_ft * FOOT / bore)
    return factor * 100 * FOOT / bore * STANDARD_DENSITY * speed**2 / 2 / INCH_OF_WATER


def loeffler(bore_in: float, fpm: float, a: float, b: float, c: float) -> float:
    """Loss in velocity pressures per ft, ACGIH Industrial Ventilation: a V^b / Q^c (read in the source)."""
    cfm = 3.14159265 / 4 * (bore_in / 12) ** 2 * fpm
    return a * fpm**b / cfm**c


@pytest.mark.parametrize("reynolds, roughness, expected", SPOT_VALUES)
def test_spot_values(reynolds, roughness, expected):
    assert colebrook(reynolds, roughness)[0] == pytest.approx(expected, abs=1e-8)


@given(st.floats(3.7, 8.0).map(lambda decade: 10.0**decade), roughnesses)
def test_solves_the_equation_of_colebrook_1939(reynolds, roughness):
    factor, _ = colebrook(reynolds, roughness)
    right = -2 * log10(roughness / 3.7 + 2.51 / (reynolds * sqrt(factor)))
    assert 1 / sqrt(factor) == pytest.approx(right, rel=1e-9)


@given(st.floats(3.7, 8.0).map(lambda decade: 10.0**decade), st.floats(0.0, 0.5))
def test_agrees_with_a_reference_library(reynolds, roughness):
    """fluids.friction.Colebrook, solved with the Lambert function or by secants, beyond the formula's range of roughness too."""
    assert colebrook(reynolds, roughness)[0] == pytest.approx(fluids.friction.Colebrook(reynolds, roughness), rel=1e-9)


@given(reynolds_numbers, roughnesses)
def test_slope_is_the_derivative(reynolds, roughness):
    step = 1e-5
    below, here, above = (colebrook(reynolds * (1 + k * step), roughness) for k in (-1, 0, 1))
    if (below[1] == -1.0) != (above[1] == -1.0):
        return  # the corner between laminar and turbulent
    numeric = (log(above[0]) - log(below[0])) / (log(1 + step) - log(1 - step))
    assert here[1] == pytest.approx(numeric, abs=1e-5)


@given(roughnesses)
def test_continuous_and_falling_in_reynolds(roughness):
    factors = [colebrook(50.0 * 1.01**k, roughness)[0] for k in range(900)]
    assert all(0.985 * a <= b <= a for a, b in pairwise(factors))


@given(st.floats(3.7, 7.0).map(lambda decade: 10.0**decade), roughnesses, st.floats(1e-5, 0.01))
def test_rougher_pipe_costs_more(reynolds, roughness, more):
    assert colebrook(reynolds, roughness + more)[0] > colebrook(reynolds, roughness)[0]


@pytest.mark.parametrize("reynolds", [1.0, 200.0, 900.0])
def test_laminar_is_hagen_poiseuille(reynolds):
    assert colebrook(reynolds, 1e-3) == (64 / reynolds, -1.0)


@pytest.mark.parametrize("reynolds", [0.0, -1.0, -1e5])
def test_no_flow_is_guarded(reynolds):
    factor, slope = colebrook(reynolds, 1e-3)
    assert 0 < factor < float("inf") and slope == -1.0


def test_roughness_is_held_at_half_the_bore_and_never_negative():
    assert colebrook(1e5, 2.0) == colebrook(1e5, 0.5)
    for nonsense in (-1e-6, float("nan")):
        with pytest.raises(ValueError, match="roughness"):
            colebrook(1e5, nonsense)


@pytest.mark.parametrize("row", PER_100_FT)
def test_inches_of_water_per_100_ft(row):
    bore, fpm, *expected = row
    for roughness, value in zip((0.0005, 0.0003, 0.00015), expected[:3], strict=True):
        assert per_100_ft(bore, fpm, roughness) == pytest.approx(value, rel=0.003)


@pytest.mark.parametrize("row", PER_100_FT)
def test_field_formulas_agree_with_rough_galvanised_pipe(row):
    """Loeffler (ACGIH) and Wright, both read in the source: within 4 % of Colebrook at 0.0005 ft."""
    bore, fpm, *_, loeffler_printed, wright_printed = row
    velocity_pressure = (fpm / 4005) ** 2
    loeffler_here = 100 * loeffler(bore, fpm, 0.0307, 0.533, 0.612) * velocity_pressure
    wright_here = 2.74 * (fpm / 1000) ** 1.9 / bore**1.22
    assert loeffler_here == pytest.approx(loeffler_printed, rel=0.002)
    assert wright_here == pytest.approx(wright_printed, rel=0.002)
    ours = per_100_ft(bore, fpm, 0.0005)
    assert ours == pytest.approx(loeffler_here, rel=0.04) and ours == pytest.approx(wright_here, rel=0.04)


@pytest.mark.parametrize("bore", [4, 5, 6, 8])
def test_smooth_metal_pipe_agrees_with_loeffler(bore):
    """Black iron, aluminium, stainless: 0.0425, 0.465, 0.602 (read in the source); commercial steel 0.046 mm within 6 %."""
    field = 100 * loeffler(bore, 4000, 0.0425, 0.465, 0.602) * (4000 / 4005) ** 2
    assert per_100_ft(bore, 4000, 0.000151) == pytest.approx(field, rel=0.06)


def test_a_network_is_solved_without_libraries_of_arrays():
    """They take longer to import than the session takes to start."""
    code = (
        "import engine.air.one.balance, engine.air.losses.friction as law, sys\n"
        "law.colebrook(1e5, 1e-3)\n"
        "raise SystemExit(bool({'numpy', 'scipy'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
