"""Where air enters a duct: coefficients of total-pressure loss on the velocity pressure of the duct.

The static suction behind such an entry is (1 + C) velocity pressures. A real
machine's port can need far more than these shapes: measure it.
"""

from __future__ import annotations

from math import degrees, pi

from engine.air.interpolation import linear
from engine.catalog.tables import read


def plain_end() -> float:
    """Plain duct end, 0.93: hood entry losses of ventilation practice, read in the source."""
    return read("ports")["plain_end"]["coefficient"]


def flanged() -> float:
    """Flanged duct end, 0.49: hood entry losses of ventilation practice, read in the source."""
    return read("ports")["flanged"]["coefficient"]


def bell_mouth() -> float:
    """Bell mouth, 0.04: hood entry losses of ventilation practice, from memory."""
    return read("ports")["bell_mouth"]["coefficient"]


def tapered_hood(included_angle: float) -> float:
    """Round tapered hood of an included angle in rad, 0 to pi.

    SMACNA, HVAC Systems Duct Design, 4th ed., Table A-12G, read in the source,
    20 to 180 deg; straight lines between. Below 20 deg a straight line to the
    plain end at 0: judgement. Raises ValueError outside 0 to pi.
    """
    if not 0.0 <= included_angle <= pi:
        raise ValueError(f"a hood of {degrees(included_angle):g} deg; wanted 0 to 180 deg")
    table = read("ports")["tapered_hood"]
    angles, coefficients = [0.0, *table["angle_deg"]], [plain_end(), *table["coefficient"]]
    return linear(angles, coefficients, degrees(included_angle))[0]


def coefficient_of_entry(loss: float) -> float:
    """Coefficient of entry Ce = (1 + C)^-1/2 of a hood: its flow over that of a hood without loss."""
    return (1.0 + loss) ** -0.5


def loss_of_entry(coefficient: float) -> float:
    """Loss coefficient C = 1/Ce^2 - 1 of a hood from its coefficient of entry, 0 < Ce <= 1 (ValueError)."""
    if not 0.0 < coefficient <= 1.0:
        raise ValueError(f"a coefficient of entry of {coefficient:g}; wanted more than 0, at most 1")
    return coefficient**-2 - 1.0


def hood_suction(velocity_pressure: float, loss: float) -> float:
    """Static suction behind a hood, Pa: (1 + C) velocity pressures."""
    return (1.0 + loss) * velocity_pressure


def loss_from_suction(suction: float, needs: float, bore: float, density: float) -> float:
    """Loss coefficient of a port whose static suction was measured.

    `suction` [Pa] in the port's `bore` [m] while it draws `needs` [m3/s] of
    air of `density` [kg/m3]. A suction of less than one velocity pressure
    cannot be: 0 then. Raises ValueError unless flow, bore and density are positive.
    """
    if not (needs > 0.0 and bore > 0.0 and density > 0.0):
        raise ValueError("a measured suction wants the flow, bore and air density it was measured at, all more than 0")
    velocity_pressure = density / 2.0 * (needs / (pi * bore * bore / 4.0)) ** 2
    return max(0.0, suction / velocity_pressure - 1.0)
