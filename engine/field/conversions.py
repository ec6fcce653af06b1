"""What a reading on the ladder means: pitot, hood, vane and U-tube, and what a bore or a fitting is worth. SI throughout."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, sin, sqrt

from engine.air.losses.friction import colebrook
from engine.air.one.ducts import area, reynolds_per_flow
from engine.air.properties import Air

# Places of a log-linear traverse, as shares of the bore from the wall. Six: guides to pitot tubes, read in the source; ten: ISO 3966, from memory.
TRAVERSES: dict[int, tuple[float, ...]] = {
    6: (0.032, 0.135, 0.321, 0.679, 0.865, 0.968),
    10: (0.019, 0.077, 0.153, 0.217, 0.361, 0.639, 0.783, 0.847, 0.923, 0.981),
}
# How far a reading taken again may be from the first: UFGS 15951N, 3.2.2.
REPEATS = 0.10
# How far vane and hot-wire readings at an opening are off, as a share: common practice, no source.
VANE_SPREAD = 0.20
GRAVITY = 9.80665  # m/s2, standard


def velocity_pressure(speed: float, density: float) -> float:
    """Velocity pressure [Pa] of air of a density [kg/m3] at a speed [m/s]."""
    return density / 2.0 * speed**2


def speed_of(pressure: float, density: float) -> float:
    """Speed [m/s] of air of a density [kg/m3] whose velocity pressure [Pa], 0 or more, was read."""
    return sqrt(2.0 * pressure / density)


def bore_for(flow: float, speed: float) -> float:
    """Round bore [m] in which a flow [m3/s] has a speed [m/s], more than 0."""
    return sqrt(4.0 * flow / (pi * speed))


def traverse_speed(pressures: Sequence[float], density: float) -> float:
    """Mean speed [m/s] of a traverse of velocity pressures [Pa].

    Each reading becomes a speed before the mean is taken: the mean of the
    pressures would be too fast (guides to pitot tubes). Raises ValueError for none.
    """
    if not pressures:
        raise ValueError("no reading")
    return sum(speed_of(pressure, density) for pressure in pressures) / len(pressures)


def repeats(first: float, again: float) -> bool:
    """Whether a reading taken again is as near to the first as it should be; else the traverse is done anew (UFGS 15951N, 3.2.2)."""
    return abs(again - first) <= REPEATS * abs(first) * (1.0 + 1e-9)


def hood_speed(suction: float, loss: float, density: float) -> float:
    """Speed [m/s] behind a hood whose static suction [Pa] was read: SPh = (1 + F) VP, F its entry loss in velocity pressures.

    Source: hood suction by the entry loss, ventilation practice (course sheet, read in the source).
    """
    return speed_of(suction / (1.0 + loss), density)


def entry_coefficient(suction: float, pressure: float) -> float:
    """Coefficient of entry Ce = sqrt(VP / SPh) of a hood by its static suction and its velocity pressure, both Pa (course sheet)."""
    return sqrt(pressure / suction)


def vane_flow(speeds: Sequence[float], opening: float, factor: float) -> float:
    """Flow [m3/s] through an opening [m2] by vane or hot-wire speeds [m/s] over it; `factor` is the share of it that draws.

    Raises ValueError for no reading.
    """
    if not speeds:
        raise ValueError("no reading")
    return sum(speeds) / len(speeds) * opening * factor


def friction_loss(flow: float, bore: float, roughness: float, air: Air) -> float:
    """Friction [Pa/m] of pipe of a bore and a roughness [m] at a flow [m3/s]: Darcy-Weisbach with Colebrook."""
    factor = colebrook(flow * reynolds_per_flow(bore, air), roughness / bore)[0]
    return factor / bore * velocity_pressure(flow / area(bore), air.density)


def as_pipe(coefficient: float, flow: float, bore: float, roughness: float, air: Air) -> float:
    """Length [m] of pipe that costs as much as a fitting of a loss in velocity pressures, in the same bore [m] at a flow [m3/s]."""
    return coefficient * velocity_pressure(flow / area(bore), air.density) / friction_loss(flow, bore, roughness, air)


def as_coefficient(length: float, flow: float, bore: float, roughness: float, air: Air) -> float:
    """Loss in velocity pressures of a length [m] of pipe: `as_pipe` the other way round."""
    return length * friction_loss(flow, bore, roughness, air) / velocity_pressure(flow / area(bore), air.density)


def tube_pressure(length: float, liquid: float, slope: float = pi / 2.0) -> float:
    """Pressure [Pa] of a column of liquid [kg/m3] of a length [m] along a tube that rises at an angle [rad]; upright if not said."""
    return liquid * GRAVITY * length * sin(slope)


def tube_length(pressure: float, liquid: float, slope: float = pi / 2.0) -> float:
    """Length [m] that a liquid [kg/m3] moves along a tube under a pressure [Pa]: `tube_pressure` the other way round."""
    return pressure / tube_pressure(1.0, liquid, slope)
