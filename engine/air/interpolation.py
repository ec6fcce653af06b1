"""Interpolation in short tables, in plain floats."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise

from engine.values import dataclass


def linear(xs: Sequence[float], ys: Sequence[float], x: float) -> tuple[float, float]:
    """Value and slope at `x` of the broken line through (xs, ys), xs rising, one of each at least.

    Outside the table the end value holds, with slope 0.
    """
    if x <= xs[0]:
        return ys[0], 0.0
    if x >= xs[-1]:
        return ys[-1], 0.0
    i = bisect_right(xs, x)
    slope = (ys[i] - ys[i - 1]) / (xs[i] - xs[i - 1])
    return ys[i - 1] + slope * (x - xs[i - 1]), slope


def onward(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """The value of `linear`, but beyond the last point, which is above 0, in proportion to `x`."""
    return linear(xs, ys, x)[0] * max(1.0, x / xs[-1])


@dataclass(frozen=True, slots=True)
class MonotoneCubic:
    """A C1 cubic through points that never overshoots them (made by `monotone_cubic`).

    `pieces` holds for each interval the coefficients of 1, t, t^2 and t^3, with t = x - xs[i].
    """

    xs: tuple[float, ...]
    pieces: tuple[tuple[float, float, float, float], ...]

    def __call__(self, x: float) -> tuple[float, float]:
        """Value and slope at `x`; outside the points the end piece's straight tangent is followed."""
        xs = self.xs
        i = bisect_right(xs, x, 1, len(xs) - 1) - 1
        y, slope, square, cube = self.pieces[i]
        t = x - xs[i]
        if t < 0.0:
            return y + slope * t, slope
        over = x - xs[-1]
        if over > 0.0:
            t = xs[-1] - xs[i]
        value = y + t * (slope + t * (square + t * cube))
        gradient = slope + t * (2.0 * square + 3.0 * t * cube)
        return (value + gradient * over, gradient) if over > 0.0 else (value, gradient)


def monotone_cubic(xs: Sequence[float], ys: Sequence[float]) -> MonotoneCubic:
    """The piecewise cubic Hermite interpolant of F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300.

    Slopes are weighted harmonic means of the neighbouring secants, zero at a turn; end slopes are
    three-point ones held to the shape of the data. Two points give their straight line.
    `xs` must rise strictly and hold at least two values (ValueError).
    """
    if len(xs) < 2 or len(xs) != len(ys) or any(b <= a for a, b in pairwise(xs)):
        raise ValueError("a curve wants at least two points with x rising")
    steps = [b - a for a, b in pairwise(xs)]
    secants = [(b - a) / h for (a, b), h in zip(pairwise(ys), steps, strict=True)]
    slopes = _slopes(steps, secants)
    pieces = tuple(
        (y, d0, (3.0 * m - 2.0 * d0 - d1) / h, (d0 + d1 - 2.0 * m) / (h * h))
        for y, (d0, d1), m, h in zip(ys[:-1], pairwise(slopes), secants, steps, strict=True)
    )
    return MonotoneCubic(tuple(xs), pieces)


def _slopes(steps: list[float], secants: list[float]) -> list[float]:
    if len(steps) == 1:
        return [secants[0], secants[0]]
    inner = [
        0.0 if m0 * m1 <= 0.0 else 3.0 * (h0 + h1) / ((2.0 * h1 + h0) / m0 + (h1 + 2.0 * h0) / m1)
        for (h0, h1), (m0, m1) in zip(pairwise(steps), pairwise(secants), strict=True)
    ]
    first = _end_slope(steps[0], steps[1], secants[0], secants[1])
    last = _end_slope(steps[-1], steps[-2], secants[-1], secants[-2])
    return [first, *inner, last]


def _end_slope(h0: float, h1: float, m0: float, m1: float) -> float:
    slope = ((2.0 * h0 + h1) * m0 - h0 * m1) / (h0 + h1)
    if slope * m0 <= 0.0:
        return 0.0
    if m0 * m1 <= 0.0 and abs(slope) > 3.0 * abs(m0):
        return 3.0 * m0
    return slope
