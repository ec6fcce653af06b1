"""Round elbows: loss coefficients on the velocity pressure of the duct, friction of the bend not included.

Tables: SMACNA, HVAC Systems Duct Design, 4th ed., Table A-7, read in the
source; straight lines between their points. Published elbow data scatter by
about 30 %.
"""

from __future__ import annotations

from functools import cache, lru_cache
from math import degrees, pi

from engine.air.interpolation import linear, onward
from engine.catalog.tables import read

_ALIKE = 256  # elbows of a shop are of few kinds


@lru_cache(_ALIKE)
def smooth(angle: float, radius_ratio: float) -> float:
    """Coefficient of a smooth elbow.

    `angle` it turns by [rad, 0 to pi]; `radius_ratio` of centre-line radius
    over bore, more than 0. Raises ValueError outside these.

    SMACNA Table A-7, beyond 110 deg from memory. Outside radius ratios 0.5 to 2.5 the end value holds.
    """
    _check(angle, radius_ratio)
    table = read("fittings")["elbows"]["smooth"]
    return _angle_factor(angle) * linear(table["radius_ratio"], table["coefficient"], radius_ratio)[0]


@lru_cache(_ALIKE)
def segmented(angle: float, radius_ratio: float, gores: int) -> float:
    """Coefficient of an elbow of straight pieces.

    `angle` [rad, 0 to pi] and `radius_ratio`, more than 0, as of `smooth`;
    `gores` the number of pieces, 3 or more: two make a mitred elbow. Raises
    ValueError outside these.

    SMACNA Table A-7. Six and more pieces count as five, the most that the
    table holds. Above radius ratio 2 the end value holds; below 0.75, where
    the table has only three pieces, four and five grow with the ratio as
    three do; the angle enters as for a smooth elbow: judgement, no source.
    """
    _check(angle, radius_ratio)
    if gores < 3:
        raise ValueError(f"a segmented elbow of {gores} pieces; wanted 3 or more")
    makes = _segmented()
    ratios, coefficients = makes[min(gores, max(makes))]
    coefficient = linear(ratios, coefficients, radius_ratio)[0]
    if radius_ratio < ratios[0]:
        coefficient *= linear(*makes[3], radius_ratio)[0] / linear(*makes[3], ratios[0])[0]
    return _angle_factor(angle) * coefficient


def mitred(angle: float) -> float:
    """Coefficient of an elbow of one cut without vanes, at Reynolds numbers of 1.4e5 and more.

    `angle` it turns by [rad, 0 to pi]; ValueError outside that.

    SMACNA Table A-7. Beyond 90 deg the coefficient grows in proportion to the angle: judgement, no source.
    """
    _check(angle, 1.0)
    table = read("fittings")["elbows"]["mitred"]
    return onward(table["angle_deg"], table["coefficient"], degrees(angle))


def mitred_reynolds_factor(reynolds: float) -> tuple[float, float]:
    """Factor on `mitred` at a Reynolds number, 0 or more, and its slope d factor / d Re.

    SMACNA Table A-7. Outside Re 1e4 to 1.4e5 the end value holds.
    """
    return linear(*_reynolds_table(), reynolds)


def _angle_factor(angle: float) -> float:
    table = read("fittings")["elbows"]["angle_factor"]
    return linear(table["angle_deg"], table["factor"], degrees(angle))[0]


@cache
def _segmented() -> dict[int, tuple[list[float], list[float]]]:
    makes = read("fittings")["elbows"]["segmented"]["make"]
    return {make["gores"]: (make["radius_ratio"], make["coefficient"]) for make in makes}


@cache
def _reynolds_table() -> tuple[tuple[float, ...], tuple[float, ...]]:
    table = read("fittings")["elbows"]["mitred_reynolds"]
    return tuple(table["reynolds"]), tuple(table["factor"])


def _check(angle: float, radius_ratio: float) -> None:
    if not 0.0 <= angle <= pi:
        raise ValueError(f"an elbow of {degrees(angle):g} deg; wanted 0 to 180 deg")
    if not radius_ratio > 0.0:
        raise ValueError(f"a radius of {radius_ratio:g} bores; wanted more than 0")
