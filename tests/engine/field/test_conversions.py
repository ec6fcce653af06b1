"""Readings to air, against published figures."""

from __future__ import annotations

from math import radians

import pytest

from engine.air.one.ducts import area
from engine.air.properties import Air
from engine.field import conversions as of
from engine.units import parse

STANDARD = 1.2014  # kg/m3, US standard air of 0.075 lb/ft3
SHOP = Air(1.2, 1.81e-5)


def si(text: str, dimension: str) -> float:
    return parse(text, dimension).si


@pytest.mark.parametrize("pressure, speed", [("0.20 inH2O", "1791 fpm"), ("1 inH2O", "4005 fpm"), ("1.151 inH2O", "4297 fpm")])
def test_velocity_pressure_to_speed(pressure, speed):
    """Ventilation course problems and the sheet of one branch (V = 4005 sqrt(VP) in standard air), to 0.2 %."""
    assert of.speed_of(si(pressure, "pressure"), STANDARD) == pytest.approx(si(speed, "speed"), rel=0.002)
    assert of.velocity_pressure(si(speed, "speed"), STANDARD) == pytest.approx(si(pressure, "pressure"), rel=0.004)


def test_hood_suction():
    """Ventilation course problems: VP 3.2 and Ce 0.96 make SPh 3.47; VP 0.4 and SPh 0.8 make Ce 0.707; all to 0.2 %."""
    loss = 1 / 0.96**2 - 1
    assert of.velocity_pressure(of.hood_speed(3.47, loss, STANDARD), STANDARD) == pytest.approx(3.2, rel=0.002)
    assert of.entry_coefficient(3.47, 3.2) == pytest.approx(0.96, rel=0.002)
    assert of.entry_coefficient(0.8, 0.4) == pytest.approx(0.707, rel=0.002)


def test_the_places_of_six_points():
    """0.032 0.135 0.321 0.679 0.865 0.968 of the bore (guides to pitot tubes); ten points by ISO 3966, from memory."""
    assert of.TRAVERSES[6] == (0.032, 0.135, 0.321, 0.679, 0.865, 0.968)
    for places in of.TRAVERSES.values():
        assert list(places) == sorted(places) and [1 - place for place in reversed(places)] == pytest.approx(list(places))


@pytest.mark.parametrize("count", of.TRAVERSES)
def test_a_traverse_of_a_power_law_profile_tells_its_mean(count):
    """Turbulent flow as the 1/7 power of the depth has a mean of 49/60 of its greatest speed (closed form); the log-linear places find it to 1 %."""
    readings = [of.velocity_pressure(20.0 * (2 * min(place, 1 - place)) ** (1 / 7), STANDARD) for place in of.TRAVERSES[count]]
    assert of.traverse_speed(readings, STANDARD) == pytest.approx(20.0 * 49 / 60, rel=0.01)


def test_each_reading_becomes_a_speed_before_the_mean():
    """Speeds of 10 and 20 m/s have a mean of 15, not the 15.8 of their mean pressure."""
    readings = [of.velocity_pressure(speed, STANDARD) for speed in (10.0, 20.0)]
    assert of.traverse_speed(readings, STANDARD) == pytest.approx(15.0)
    with pytest.raises(ValueError, match="no reading"):
        of.traverse_speed([], STANDARD)


def test_a_reading_taken_again_is_within_ten_per_cent():
    """UFGS 15951N, 3.2.2."""
    assert of.repeats(100.0, 110.0) and of.repeats(100.0, 90.0)
    assert not of.repeats(100.0, 111.0) and not of.repeats(100.0, 89.0)


def test_a_fitting_is_as_much_pipe_as_it_costs():
    """ASHRAE-type chart, 4 in at 4000 fpm and 0.0005 ft: 6.957 inH2O in 100 ft, computed by Colebrook, to 0.5 %; and back again."""
    bore, rough = si("4 in", "bore"), si("0.0005 ft", "length")
    flow = si("4000 fpm", "speed") * area(bore)
    air = Air(STANDARD, 1.81e-5)
    assert of.friction_loss(flow, bore, rough, air) * si("100 ft", "length") == pytest.approx(si("6.957 inH2O", "pressure"), rel=0.005)
    length = of.as_pipe(0.3, flow, bore, rough, air)
    assert of.as_coefficient(length, flow, bore, rough, air) == pytest.approx(0.3)


def test_a_larger_bore_cuts_friction_to_a_third():
    """40 to 50 mm at the same flow: about a third (common practice, no source)."""
    before, after = (of.friction_loss(0.01, bore, 1e-4, SHOP) for bore in (0.04, 0.05))
    assert after / before == pytest.approx(1 / 3, abs=0.02)


def test_a_column_of_water():
    """1 mm of water of 1000 kg/m3 is 9.80665 Pa by definition; on a tube that rises 30 degrees it moves twice as far."""
    assert of.tube_pressure(0.001, 1000.0) == pytest.approx(9.80665)
    assert of.tube_length(9.80665, 1000.0, radians(30)) == pytest.approx(0.002)
