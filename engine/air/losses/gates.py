"""Blast gates: coefficients on the velocity pressure of the duct."""

from __future__ import annotations

from functools import cache
from math import exp, log

from engine.air.interpolation import MonotoneCubic, monotone_cubic
from engine.catalog.tables import read


def open_gate() -> float:
    """Coefficient of a fully open gate with its slot, 0.1: common practice, no source (0.05 to 0.2)."""
    coefficient: float = read("fittings")["gates"]["open"]["coefficient"]
    return coefficient


def throttled(fraction_open: float) -> float:
    """Coefficient of a slide gate drawn to a share of the bore's height, the slot of an open gate included.

    `fraction_open` is more than 0, at most 1; ValueError outside that: a shut gate has no coefficient.

    Handbook table from 0.125 to 1 (Idelchik, section 9), from memory; between its points a monotone
    curve through the logarithms. Below 0.125 the coefficient grows as
    1/fraction^3, since a low segment's area is as its height^1.5: judgement.
    """
    if not 0.0 < fraction_open <= 1.0:
        raise ValueError(f"a gate open by {fraction_open:g}; wanted more than 0, at most 1")
    curve = _log_curve()
    lowest = curve.xs[0]
    if fraction_open < lowest:
        return exp(curve(lowest)[0]) * (lowest / fraction_open) ** 3
    return exp(curve(fraction_open)[0])


@cache
def _log_curve() -> MonotoneCubic:
    table = read("fittings")["gates"]["slide"]
    return monotone_cubic(table["fraction_open"], [log(c + open_gate()) for c in table["coefficient"]])
