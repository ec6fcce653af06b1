"""The laws of friction, elbows, leaks and joints for many networks at once.

The same laws as in `engine.air.one.ducts`, `engine.air.losses.friction`, `.elbows` and
`.junctions`, where their sources stand; here every flow is an array. Shut ducts
have flow 0, and what comes of it is finite and without meaning.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine.air.losses.junctions import LEAST, MEETS, Joint
from engine.air.losses.leaks import LEAK_EXPONENT
from engine.catalog.tables import read

Array = NDArray[np.float64]

_SLOWEST, _SURELY_LAMINAR, _ROUGHEST = 1e-9, 100.0, 0.5  # as for one flow, see engine.air.losses.friction
_LN10_HALF = 1.1512925464970228  # ln(10) / 2
_ROUGH = 0.12396818633541755  # ln(10) / 18.574
_SMOOTH, _GUESS = 0.7793974884556819, 1.6  # ln(ln(10) / 5.02), and about ln(X + F)
_LEAST_FLOW = 1e-30  # m3/s; keeps joints without air finite


def colebrook(reynolds: Array, relative_roughness: Array | float) -> tuple[Array, Array]:
    """Darcy friction factor f and d ln f / d ln Re, as `engine.air.losses.friction.colebrook`; the arguments are of one shape, or are spread.

    With F = ln(10) / (2 sqrt(f)), F + ln(X + F) = ln Re - 0.779 is solved as there.
    """
    turbulent = np.maximum(reynolds, _SURELY_LAMINAR)
    rough = _ROUGH * np.minimum(relative_roughness, _ROUGHEST) * turbulent
    smooth = np.log(turbulent) - _SMOOTH
    whole = rough + smooth
    root = smooth - np.log(whole - np.log(whole - _GUESS))
    both = rough + root
    slope = 1.0 + both
    miss = (np.log(both) + root - smooth) / slope
    root = root - (slope + 0.5 * miss) * miss * both / (slope + miss * (1.0 + miss / 3.0))
    factor = (_LN10_HALF / root) ** 2
    log_slope = -2.0 / (1.0 + rough + root)
    laminar = 64.0 / np.maximum(reynolds, _SLOWEST)
    slow = (reynolds < _SURELY_LAMINAR) | (laminar > factor)
    return (np.where(slow, laminar, factor), np.where(slow, -1.0, log_slope)) if slow.any() else (factor, log_slope)


def mitred_reynolds_factor(reynolds: Array) -> tuple[Array, Array]:
    """Factor on the loss of mitred elbows and its slope d factor / d Re, each of the shape of `reynolds`."""
    table = _mitre_table()
    piece = np.searchsorted(table[0], reynolds, side="right")
    return np.interp(reynolds, table[0], table[1]), table[2][piece]


@cache
def _mitre_table() -> tuple[Array, Array, Array]:
    """Reynolds numbers, factors, and the slopes of the pieces before, between and after them."""
    table = read("fittings")["elbows"]["mitred_reynolds"]
    reynolds, factor = np.array(table["reynolds"], float), np.array(table["factor"], float)
    return reynolds, factor, np.concatenate(([0.0], np.diff(factor) / np.diff(reynolds), [0.0]))


def leak_loss(conductance: Array, q: Array) -> tuple[Array, Array]:
    """Static suction [Pa] that draws a flow [m3/s] through a leak, and its slope [Pa s/m3]; as `engine.air.one.ducts.Leak.loss`."""
    loss: Array = (q / conductance) ** (1 / LEAK_EXPONENT)
    return loss, loss / (LEAK_EXPONENT * np.maximum(q, _LEAST_FLOW))


class JointTerms(NamedTuple):
    """`engine.air.losses.junctions.Joint.terms` of many joints of as many legs: each (legs, ...), but `scale` and `mixing` without the first.

    `known` is not a number where no coefficient was given. `straight` and
    `given` tell of each leg whether it is the straight, and whether its
    coefficient was given: in all joints, in none, or None in some.
    """

    scale: Array
    mixing: Array
    own: Array
    drag: Array
    relief: Array
    main: Array
    known: Array
    lone: Array
    square: Array
    depth: Array
    straight: tuple[bool | None, ...]
    given: tuple[bool | None, ...]

    def of(self, cases: NDArray[np.intp]) -> JointTerms:
        """Those of some cases, the last axis; what all share stays."""
        arrays: dict[str, Any] = {name: rows[..., cases] for name, rows in zip(self._fields[:-2], self[:-2], strict=True) if rows.shape[-1] > 1}
        return self._replace(**arrays)


def joint_terms(joints: Sequence[Joint | None], legs: Sequence[Sequence[int]], which: NDArray[np.intp]) -> JointTerms:
    """Terms of the `joints`, laid out as `which` (places, cases) says.

    `legs` are the legs of each joint in the order wanted. None is a place
    where nothing is lost.
    """
    rows = [_row(joint, order) for joint, order in zip(joints, legs, strict=True)]
    table = np.array(rows)[which[:, :1] if (which == which[:, :1]).all() else which]
    of_legs = np.moveaxis(table[..., 2:].reshape(*table.shape[:2], -1, 8), (2, 3), (1, 0))
    main, known = of_legs[3] > 0.5, ~np.isnan(of_legs[4])
    return JointTerms(table[..., 0], table[..., 0] * table[..., 1], *of_legs, *(tuple(_of_all(leg) for leg in legs) for legs in (main, known)))


def _of_all(holds: NDArray[np.bool_]) -> bool | None:
    return True if holds.all() else None if holds.any() else False


def _row(joint: Joint | None, legs: Sequence[int]) -> list[float]:
    """Scale, mixing, and eight terms of each leg."""
    if joint is None:
        return [0.0, 0.0, *[1.0, 0.0, 0.0, 0.0, np.nan, 1.0, 0.0, 0.0] * len(legs)]
    row = [joint.scale, joint.mixing]
    for leg in legs:
        t = joint.terms[leg]
        row += (t.own, t.drag, t.relief, float(t.main), np.nan if t.known is None else t.known, t.lone, t.square, t.depth)
    return row


def momentum(terms: JointTerms, flows: Sequence[Array]) -> tuple[list[Array], list[list[Array]]]:
    """`engine.air.losses.junctions.momentum` for `flows` [m3/s], an array of each leg.

    Losses of the legs, Pa, and their Jacobian by row and column, Pa s/m3, each of the shape of a flow.
    """
    legs, scale, more = range(len(flows)), terms.scale, terms.mixing
    combined = np.maximum(sum(flows), _LEAST_FLOW)
    squares = [q * q for q in flows]
    square = combined * combined
    shared = square - sum(terms.drag[k] * squares[k] for k in legs)
    slopes = [2.0 * (combined - terms.drag[k] * flows[k]) for k in legs]
    relief = sum(terms.relief[k] * flows[k] for k in legs)
    main = sum((terms.main[k] * flows[k] for k in legs if terms.straight[k] is not False), start=np.zeros_like(combined))
    mixed = bool(np.any(more))
    losses, jacobian = [], []
    for i in legs:
        if terms.given[i]:
            losses.append(scale * terms.known[i] * square)
            jacobian.append([2.0 * scale * terms.known[i] * combined] * len(flows))
            continue
        loss, row = _leg(terms, i, flows, combined, main, shared + terms.own[i] * squares[i], slopes, relief)
        loss, row = scale * loss, [scale * slope for slope in row]
        if mixed:
            loss = loss + more * (square - sum(squares)) / 2.0
            row = [slope + more * (combined - q) for slope, q in zip(row, flows, strict=True)]
        if terms.given[i] is None:
            known = ~np.isnan(terms.known[i])
            loss = np.where(known, scale * terms.known[i] * square, loss)
            row = [np.where(known, 2.0 * scale * terms.known[i] * combined, slope) for slope in row]
        losses.append(loss)
        jacobian.append(row)
    return losses, jacobian


def _leg(
    terms: JointTerms, i: int, flows: Sequence[Array], combined: Array, main: Array, core: Array, slopes: Sequence[Array], relief: Array
) -> tuple[Array, list[Array]]:
    """Loss of a leg, and its slopes, over the scale of its joint, without what mixes."""
    row = list(slopes)
    row[i] = row[i] + 2.0 * terms.own[i] * flows[i]
    through, through_row = core, row
    if terms.straight[i] is not False:
        through = core - combined * relief
        through_row = [slope - relief - combined * terms.relief[k] for k, slope in enumerate(row)]
    if terms.straight[i]:
        return through, through_row
    factor, by_own, by_main, by_side = _factor(terms, i, flows[i], main, combined)
    side_row = [factor * slope + _by_kind(terms, k, by_main, by_side) * core for k, slope in enumerate(row)]
    side_row[i] = side_row[i] + by_own * core
    through_row = [_by_kind(terms, i, one, other) for one, other in zip(through_row, side_row, strict=True)]
    return _by_kind(terms, i, through, factor * core), through_row


def _by_kind(terms: JointTerms, leg: int, of_straight: Array, of_side: Array) -> Array:
    """One or the other, by whether a leg is the straight."""
    straight = terms.straight[leg]
    return np.where(terms.main[leg] > 0.5, of_straight, of_side) if straight is None else of_straight if straight else of_side


def _factor(terms: JointTerms, i: int, flow: Array, main: Array, combined: Array) -> tuple[Array, Array, Array, Array]:
    """C of a leg and its slopes: in its own flow, beyond those in every flow of the straight and of the sides."""
    depth, lone_at_rest, square = terms.depth[i], terms.lone[i], terms.square[i]
    share = main / (MEETS * combined)
    rising = share >= 1.0
    side = np.where(rising, combined, np.maximum(combined - main, _LEAST_FLOW))
    part = flow / side
    lone, met = lone_at_rest * (1.0 - square * part * part), 1.0 - (1.0 - LEAST) * depth
    by_share = np.where(rising, depth * LEAST, met - lone)
    factor = np.where(rising, 1.0 - depth, lone) + by_share * share
    by_part = np.where(rising, 0.0, -2.0 * (1.0 - share) * lone_at_rest * square * part / side)
    return factor, by_part, by_share * (1.0 / MEETS - share) / combined, -by_share * share / combined - by_part * part
