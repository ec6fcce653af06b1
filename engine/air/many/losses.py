"""The laws of friction, elbows, leaks and joints for many gate sets at once.

The same laws as in `engine.air.ducts`, `engine.air.losses.friction`, `.elbows` and
`.junctions`, where their sources stand; here every flow is an array with one
value for each gate set, shape (sets,). Shut ducts have flow 0, and what comes
of it is finite and without meaning.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from engine.air.ducts import Duct, Leak
from engine.air.losses.junctions import LEAST, MEETS, Joint, Terms
from engine.air.losses.leaks import LEAK_EXPONENT
from engine.catalog.tables import read

Array = NDArray[np.float64]

_SLOWEST, _SURELY_LAMINAR, _ROUGHEST = 1e-9, 100.0, 0.5  # as for one flow, see engine.air.losses.friction
_LN10_HALF = 1.1512925464970228  # ln(10) / 2
_ROUGH = 0.12396818633541755  # ln(10) / 18.574
_SMOOTH = 0.7793974884556819  # ln(ln(10) / 5.02)
_LEAST_FLOW = 1e-30  # m3/s; keeps joints without air finite


def colebrook(reynolds: Array, relative_roughness: float) -> tuple[Array, Array]:
    """Darcy friction factor f and d ln f / d ln Re, each (sets,), as `engine.air.losses.friction.colebrook`.

    With F = ln(10) / (2 sqrt(f)), F + ln(X + F) = ln Re - 0.779 is solved by two
    steps of fourth order (D. Clamond, Ind. Eng. Chem. Res. 48 (2009) 3665).
    """
    turbulent = np.maximum(reynolds, _SURELY_LAMINAR)
    rough = _ROUGH * min(relative_roughness, _ROUGHEST) * turbulent
    smooth = np.log(turbulent) - _SMOOTH
    root = smooth - 0.2
    for _ in range(2):
        both = rough + root
        slope = 1.0 + both
        miss = (np.log(both) + root - smooth) / slope
        root = root - (slope + 0.5 * miss) * miss * both / (slope + miss * (1.0 + miss / 3.0))
    factor = (_LN10_HALF / root) ** 2
    laminar = 64.0 / np.maximum(reynolds, _SLOWEST)
    slow = (reynolds < _SURELY_LAMINAR) | (laminar > factor)
    return np.where(slow, laminar, factor), np.where(slow, -1.0, -2.0 / (1.0 + rough + root))


def mitred_reynolds_factor(reynolds: Array) -> tuple[Array, Array]:
    """Factor on the loss of mitred elbows and its slope d factor / d Re, each (sets,)."""
    table = _mitre_table()
    piece = np.searchsorted(table[0], reynolds, side="right")
    return np.interp(reynolds, table[0], table[1]), table[2][piece]


@cache
def _mitre_table() -> tuple[Array, Array, Array]:
    """Reynolds numbers, factors, and the slopes of the pieces before, between and after them."""
    table = read("fittings")["elbows"]["mitred_reynolds"]
    reynolds, factor = np.array(table["reynolds"], float), np.array(table["factor"], float)
    return reynolds, factor, np.concatenate(([0.0], np.diff(factor) / np.diff(reynolds), [0.0]))


def duct_loss(duct: Duct | Leak, q: Array, hindrance: Array | float) -> tuple[Array, Array]:
    """Total-pressure loss of a duct, Pa, and its slope with flow, Pa s/m3, each (sets,); joint not included.

    `hindrance` adds to the `square` of a duct; a leak has none.
    """
    if isinstance(duct, Leak):
        loss = (q / duct.conductance) ** (1 / LEAK_EXPONENT)
        return loss, loss / (LEAK_EXPONENT * np.maximum(q, _LEAST_FLOW))
    square: Array | float = duct.square + hindrance
    slope: Array | float = 0.0
    for factor, reynolds, relative_roughness in duct.frictions:
        f, log_slope = colebrook(q * reynolds, relative_roughness)
        square, slope = square + f * factor, slope + f * log_slope * factor
    for factor, reynolds in duct.mitres:
        more, more_slope = mitred_reynolds_factor(q * reynolds)
        square, slope = square + more * factor, slope + more_slope * q * (reynolds * factor)
    return square * q * q, (2.0 * square + slope) * q


def momentum(joint: Joint, flows: Array) -> tuple[list[Array], list[list[Array]]]:
    """`engine.air.losses.junctions.momentum` for `flows` of shape (legs, sets), m3/s.

    Losses of the legs, Pa, and their Jacobian by row and column, Pa s/m3, each (sets,).
    """
    scale, terms = joint.scale, joint.terms
    combined = np.maximum(sum(flows), _LEAST_FLOW)
    shared = combined * combined - sum(t.drag * q * q for t, q in zip(terms, flows, strict=True))
    slopes = [2.0 * (combined - t.drag * q) for t, q in zip(terms, flows, strict=True)]
    relief = sum(t.relief * q for t, q in zip(terms, flows, strict=True))
    main = sum((q for t, q in zip(terms, flows, strict=True) if t.main), start=np.zeros_like(combined))
    more = scale * joint.mixing
    products = (combined * combined - sum(q * q for q in flows)) / 2.0
    losses, jacobian = [], []
    for i, (leg, flow) in enumerate(zip(terms, flows, strict=True)):
        if leg.known is not None:
            losses.append(scale * leg.known * combined * combined)
            jacobian.append([2.0 * scale * leg.known * combined] * len(flows))
            continue
        core, row = shared + leg.own * flow * flow, slopes[:]
        row[i] = row[i] + 2.0 * leg.own * flow
        if leg.main:
            core = core - combined * relief
            row = [slope - relief - combined * t.relief for slope, t in zip(row, terms, strict=True)]
        elif not leg.plain:
            factor, by_own, by_main, by_side = _factor(leg, flow, main, combined)
            row = [factor * slope + (by_main if t.main else by_side) * core for slope, t in zip(row, terms, strict=True)]
            row[i] = row[i] + by_own * core
            core = factor * core
        losses.append(scale * core + more * products)
        jacobian.append([scale * slope + more * (combined - q) for slope, q in zip(row, flows, strict=True)])
    return losses, jacobian


def _factor(leg: Terms, flow: Array, main: Array, combined: Array) -> tuple[Array, Array, Array, Array]:
    """C of a leg and its slopes: in its own flow, beyond those in every flow of the straight and of the sides; each (sets,)."""
    share = main / (MEETS * combined)
    rising = share >= 1.0
    side = np.where(rising, combined, np.maximum(combined - main, _LEAST_FLOW))
    part = flow / side
    lone, met = leg.lone * (1.0 - leg.square * part * part), 1.0 - (1.0 - LEAST) * leg.depth
    by_share = np.where(rising, leg.depth * LEAST, met - lone)
    factor = np.where(rising, 1.0 - leg.depth, lone) + by_share * share
    by_part = np.where(rising, 0.0, -2.0 * (1.0 - share) * leg.lone * leg.square * part / side)
    return factor, by_part, by_share * (1.0 / MEETS - share) / combined, -by_share * share / combined - by_part * part
