"""The collectors of many networks at once: pressures and slopes over arrays, and where each curve meets square losses."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from engine.air.fan import Fan
from engine.air.interpolation import MonotoneCubic
from engine.air.many.losses import Array, colebrook, mitred_reynolds_factor
from engine.air.many.shape import Positions
from engine.air.one.ducts import Duct
from engine.air.one.live import SCAN, SMALLEST_START
from engine.air.one.network import Discharging, Supply


class _Alike(NamedTuple):
    """Cases whose collectors go by one curve: one of the collectors, and of each case the scale, linear and square of its fan, (3, cases)."""

    cases: Positions
    supply: Supply
    factors: Array


class Supplies:
    """The collector of each case. `shut_off` and `high` are as in `engine.air.one.network.Supply`, (cases,)."""

    def __init__(self, supplies: Sequence[Supply], of: Positions) -> None:
        known = {id(supply): supply for supply in supplies}
        alike: dict[object, list[Supply]] = {}
        for supply in known.values():
            alike.setdefault(_curve_of(supply), []).append(supply)
        which = np.array([id(supply) for supply in supplies])[of]
        self._count, self._groups = len(of), []
        self.shut_off, self.high = np.empty(len(of)), np.empty(len(of))
        for some in alike.values():
            factors = np.empty((3, len(of)))
            here = np.zeros(len(of), bool)
            for supply in some:
                cases = which == id(supply)
                here |= cases
                self.shut_off[cases], self.high[cases] = supply.shut_off, supply.high
                factors[:, cases] = np.array(_factors_of(supply))[:, None]
            self._groups.append(_Alike(np.flatnonzero(here), some[0], factors[:, here]))

    def of(self, cases: Positions) -> Supplies:
        """Those of some cases, in rising order."""
        some = object.__new__(Supplies)
        some._count, some._groups, some.shut_off, some.high = len(cases), [], self.shut_off[cases], self.high[cases]
        for group in self._groups:
            _, into, out = np.intersect1d(cases, group.cases, assume_unique=True, return_indices=True)
            if len(into):
                some._groups.append(_Alike(into, group.supply, group.factors[:, out]))
        return some

    def pressure(self, flow: Array) -> tuple[Array, Array]:
        """Total pressure [Pa] at flows [m3/s] and its slope [Pa s/m3], each (cases,)."""
        if len(self._groups) == 1:
            return _pressure(self._groups[0], flow)
        value, slope = np.empty_like(flow), np.empty_like(flow)
        for group in self._groups:
            value[group.cases], slope[group.cases] = _pressure(group, flow[group.cases])
        return value, slope

    def largest_working_flow(self, resistance: Array) -> Array:
        """As `engine.air.one.live.largest_working_flow`, (cases,)."""
        high = np.maximum(self.high, 1e-6)
        while (over := self.pressure(high)[0] > resistance * high * high).any():
            high = np.where(over, 2.0 * high, high)
        step = high / SCAN
        low = high - step
        while (under := (low > 0) & (self.pressure(low)[0] < resistance * low * low)).any():
            low = np.where(under, low - step, low)
        high = low + step
        for _ in range(6):
            middle = (low + high) / 2
            enough = self.pressure(middle)[0] >= resistance * middle * middle
            low, high = np.where(enough, middle, low), np.where(enough, high, middle)
        return np.maximum(low, SMALLEST_START)


def _curve_of(supply: Supply) -> object:
    """What collectors have in common that go by one curve."""
    if isinstance(supply, Discharging):
        return supply.fan.curve, supply.fan.beyond, supply.outlet
    return (supply.curve, supply.beyond) if isinstance(supply, Fan) else id(supply)


def _factors_of(supply: Supply) -> tuple[float, float, float]:
    fan = supply.fan if isinstance(supply, Discharging) else supply
    return (fan.scale, fan.linear, fan.square) if isinstance(fan, Fan) else (1.0, 0.0, 0.0)


def _pressure(group: _Alike, flow: Array) -> tuple[Array, Array]:
    supply = group.supply
    if isinstance(supply, Fan):
        return _of_curve(supply, group.factors, flow)
    if isinstance(supply, Discharging):
        (supplied, slope), (lost, lost_slope) = _of_curve(supply.fan, group.factors, flow), _loss(supply.outlet, flow)
        return supplied - lost, slope - lost_slope
    # Called for each flow, so that any collector serves.
    each = np.array([supply.pressure(one) for one in flow.tolist()]).reshape(-1, 2)
    return each[:, 0], each[:, 1]


def _of_curve(fan: Fan, factors: Array, flow: Array) -> tuple[Array, Array]:
    """`Fan.pressure` of fans that have the curve of one."""
    xs, pieces = _table(fan.curve)
    inside = np.minimum(np.maximum(flow, xs[0]), xs[-1])
    i = np.searchsorted(xs[1:-1], inside, side="right")
    y, slope, square, cube = pieces[:, i]
    t = inside - xs[i]
    value, gradient = y + t * (slope + t * (square + t * cube)), slope + t * (2.0 * square + 3.0 * t * cube)
    if (flow != inside).any():
        over = flow > xs[-1]
        value = np.where(over, value + fan.beyond * (flow - xs[-1]), value)
        gradient = np.where(over, fan.beyond, np.where(flow < xs[0], 0.0, gradient))
    scale, linear, square = factors
    return scale * value - flow * (linear + square * flow), scale * gradient - linear - 2.0 * square * flow


@lru_cache(maxsize=16)
def _table(curve: MonotoneCubic) -> tuple[Array, Array]:
    return np.array(curve.xs), np.array(curve.pieces).T


def _loss(outlet: Duct, flow: Array) -> tuple[Array, Array]:
    """`Duct.loss` of the duct to the outside."""
    square, slope = np.full_like(flow, outlet.square), np.zeros_like(flow)
    for factor, reynolds, relative_roughness in outlet.frictions:
        f, log_slope = colebrook(flow * reynolds, relative_roughness)
        square, slope = square + f * factor, slope + f * log_slope * factor
    for factor, reynolds in outlet.mitres:
        more, more_slope = mitred_reynolds_factor(flow * reynolds)
        square, slope = square + more * factor, slope + more_slope * flow * (reynolds * factor)
    return square * flow * flow, (2.0 * square + slope) * flow
