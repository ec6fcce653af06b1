"""Middles of spots on a floor: closed forms, and a general-purpose optimiser."""

from __future__ import annotations

from math import cos, dist, pi, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog, minimize

from engine.search.floor import least_longest, least_total, longest_way, total_way

COORDINATES = st.floats(-20, 20).map(lambda value: round(value, 2))
SPOTS = st.lists(st.tuples(COORDINATES, COORDINATES), min_size=1, max_size=9)
TRIANGLE = [(0.0, 0.0), (2.0, 0.0), (1.0, sqrt(3))]
SQUARE = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]


def polygon(corners: int) -> list[tuple[float, float]]:
    return [(3 + 2 * cos(2 * pi * i / corners), 1 + 2 * sin(2 * pi * i / corners)) for i in range(corners)]


@pytest.mark.parametrize(
    ("spots", "at", "way"),
    [
        # Fermat: the centre of an equilateral triangle; a corner of 120 deg or more is the spot itself.
        (TRIANGLE, (1.0, 1 / sqrt(3)), 3 * 2 / sqrt(3)),
        ([(0.0, 0.0), (1.0, 0.0), (-cos(pi / 3), sin(pi / 3))], (0.0, 0.0), 2.0),
        ([(0.0, 0.0), (4.0, 0.5), (-4.0, 0.5)], (0.0, 0.0), 2 * sqrt(16.25)),
        # Where the diagonals cross, in any four-cornered figure that bulges (Fagnano).
        (SQUARE, (1.0, 1.0), 4 * sqrt(2)), ([(0, 0), (6, 0), (5, 3), (0, 4)], None, dist((0, 0), (5, 3)) + dist((6, 0), (0, 4))),
        ([(1.0, 2.0)], (1.0, 2.0), 0.0), ([(0.0, 0.0), (3.0, 4.0)], None, 5.0),
        ([(0.0, 0.0), (1.0, 0.0), (7.0, 0.0)], (1.0, 0.0), 7.0), ([(2.0, 2.0)] * 3 + [(5.0, 6.0)] * 2, (2.0, 2.0), 10.0),
    ],
)  # fmt: skip
def test_the_least_total_way_of_closed_forms(spots, at, way):
    found = least_total(spots)
    assert found.way == pytest.approx(way, rel=1e-7, abs=1e-9)
    assert at is None or found.at == pytest.approx(at, abs=1e-4)


@pytest.mark.parametrize(
    ("spots", "at", "way"),
    [
        (TRIANGLE, (1.0, 1 / sqrt(3)), 2 / sqrt(3)), (SQUARE, (1.0, 1.0), sqrt(2)), (polygon(7), (3.0, 1.0), 2.0),
        ([(0.0, 0.0), (3.0, 4.0)], (1.5, 2.0), 2.5), ([(0.0, 0.0), (1.0, 1.0), (7.0, 7.0), (2.0, 2.0)], (3.5, 3.5), 3.5 * sqrt(2)),
        ([(0.0, 0.0), (4.0, 0.0), (2.0, 0.5)], (2.0, 0.0), 2.0), ([(5.0, 5.0)], (5.0, 5.0), 0.0),
    ],
)  # fmt: skip
def test_the_least_longest_way_of_closed_forms(spots, at, way):
    found = least_longest(spots)
    assert found.at == pytest.approx(at) and found.way == pytest.approx(way)


@settings(max_examples=60)
@given(SPOTS)
def test_no_optimiser_finds_a_spot_of_less_total_way(spots):
    found = least_total(spots)
    start = np.mean(spots, axis=0)
    tried = minimize(lambda at: total_way(tuple(at), spots), start, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-9})
    assert found.way <= tried.fun + 1e-6
    assert found.way == pytest.approx(total_way(found.at, spots))


@settings(max_examples=25)
@given(SPOTS)
def test_the_smallest_circle_holds_all_and_two_or_three_hold_it(spots):
    found = least_longest(spots)
    assert all(dist(found.at, spot) <= found.way + 1e-9 for spot in spots)
    tried = minimize(
        lambda x: x[2], [*np.mean(spots, axis=0), found.way + 1], method="SLSQP", options={"ftol": 1e-12, "maxiter": 300},
        constraints={"type": "ineq", "fun": lambda x: [x[2] - sqrt((x[0] - a) ** 2 + (x[1] - b) ** 2 + 1e-18) for a, b in spots]},
    )  # fmt: skip
    assert not tried.success or found.way <= tried.fun + 1e-5
    # The smallest circle of all is that of some three of them at least as large: Helly.
    threes = [least_longest([a, b, c]).way for a in spots for b in spots for c in spots]
    assert found.way == pytest.approx(max(threes), abs=1e-7)


@settings(max_examples=60)
@given(SPOTS)
def test_along_the_walls_a_linear_programme_finds_nothing_less(spots):
    # Variables: east, north, then for each spot its way eastward and northward.
    count = len(spots)
    total, longest = least_total(spots, along_walls=True), least_longest(spots, along_walls=True)
    rows, limits = [], []
    for i, spot in enumerate(spots):
        for axis in (0, 1):
            for sign in (1, -1):
                row = np.zeros(2 * count + 3)
                row[axis], row[2 + 2 * i + axis] = sign, -1
                rows.append(row)
                limits.append(sign * spot[axis])
    cost = np.array([0, 0, *[1] * (2 * count), 0])
    free = [(None, None)] * 2 + [(0, None)] * (2 * count + 1)
    assert total.way == pytest.approx(linprog(cost, rows, limits, bounds=free).fun, abs=1e-6)
    for i in range(count):
        row = np.zeros(2 * count + 3)
        row[2 + 2 * i], row[3 + 2 * i], row[-1] = 1, 1, -1
        rows.append(row)
        limits.append(0)
    assert longest.way == pytest.approx(linprog(np.eye(2 * count + 3)[-1], rows, limits, bounds=free).fun, abs=1e-6)
    assert longest.way == pytest.approx(longest_way(longest.at, spots, along_walls=True))
