"""Conical changes of bore: coefficients on the velocity pressure of the smaller bore.

Tables: SMACNA, HVAC Systems Duct Design, 4th ed., Tables A-8A and A-9A. They
are read along the loss of an abrupt change of the same bores, so that the
loss falls to nothing as the bores approach each other.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import degrees, pi

from engine.air.interpolation import linear, onward
from engine.catalog.tables import read


def taper(bore_from: float, bore_to: float, included_angle: float) -> float:
    """Coefficient of a cone from one bore to another [m], in the way of the air, of an included angle [rad, more than 0, at most pi].

    Raises ValueError unless the bores and the angle are positive and the angle at most pi. Equal bores cost nothing.

    Widening: Table A-8A at area ratios 2 and 4 and 16 to 90 deg, read in the
    source, Re 2e5; from 90 to 180 deg a straight line to the abrupt
    (1 - A1/A2)^2. Narrowing: Table A-9A at area ratios 2 to 10 and 10 to
    180 deg; the printed spans were read in the source, the rows between are
    from memory. Between the points straight lines in the angle and in the loss
    of the abrupt change, (1 - A1/A2)^2 or (1 - A2/A1)/2, from nothing at equal
    bores; beyond the area ratios in proportion to it. Below the smallest angle
    its value holds: what the slimmer cone saves, its greater length spends (judgement).
    """
    if not (bore_from > 0.0 and bore_to > 0.0):
        raise ValueError(f"a change of bore from {bore_from:g} m to {bore_to:g} m; wanted both more than 0")
    if not 0.0 < included_angle <= pi:
        raise ValueError(f"a taper of {degrees(included_angle):g} deg; wanted more than 0, at most 180 deg")
    ratio = (max(bore_from, bore_to) / min(bore_from, bore_to)) ** 2
    kind = "widening" if bore_to > bore_from else "narrowing"
    abrupt = _ABRUPT[kind]
    ratios, angles, rows = _table(kind)
    column = [linear(angles, row, degrees(included_angle))[0] for row in rows]
    return onward([0.0, *map(abrupt, ratios)], [0.0, *column], abrupt(ratio))


# Losses of an abrupt change by the area ratio, larger over smaller: Borda-Carnot, and half of the area
# that a contraction closes (Idelchik, Handbook of Hydraulic Resistance, from memory).
_ABRUPT: dict[str, Callable[[float], float]] = {
    "widening": lambda ratio: (1.0 - 1.0 / ratio) ** 2,
    "narrowing": lambda ratio: (1.0 - 1.0 / ratio) / 2.0,
}


@cache
def _table(kind: str) -> tuple[list[float], list[float], list[list[float]]]:
    """Area ratios, angles in deg up to 180, and a row of coefficients for each ratio."""
    table = read("fittings")["tapers"][kind]
    ratios, angles, rows = table["area_ratio"], table["angle_deg"], table["coefficient"]
    if angles[-1] < 180.0:
        rows = [[*row, _ABRUPT[kind](ratio)] for ratio, row in zip(ratios, rows, strict=True)]
        angles = [*angles, 180.0]
    return ratios, angles, rows
