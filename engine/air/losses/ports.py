"""Where air enters a duct from a machine: the loss of total pressure on the velocity pressure of the port's bore.

A machine's port can need far more than a plain opening: measure it.
"""

from __future__ import annotations

from math import pi


def loss_from_suction(suction: float, needs: float, bore: float, density: float) -> float:
    """Loss coefficient C of a port whose static suction was measured: the suction behind an entry is (1 + C) velocity pressures.

    `suction` [Pa], 0 or more, in the port's `bore` [m] while it draws `needs`
    [m3/s] of air of `density` [kg/m3]. A suction of less than one velocity
    pressure cannot be: 0 then. Raises ValueError unless flow, bore and density are positive.

    Source: hood suction SPh = (1 + C) VP, ventilation practice (course sheet, read in the source).
    """
    if not (needs > 0.0 and bore > 0.0 and density > 0.0):
        raise ValueError("a measured suction wants the flow, bore and air density it was measured at, all more than 0")
    velocity_pressure = density / 2.0 * (needs / (pi * bore * bore / 4.0)) ** 2
    return max(0.0, suction / velocity_pressure - 1.0)
