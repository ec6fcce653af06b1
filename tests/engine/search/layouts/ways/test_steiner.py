"""The least duct along two axes: published cases, and a general-purpose library over every set of extra points."""

from __future__ import annotations

from itertools import combinations
from math import sqrt
from random import Random

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.search.layouts.ways.steiner import MOST_EXACT, half_perimeter, least_length, spanning_length, steiner_length

SPOTS = st.lists(st.tuples(st.integers(0, 12), st.integers(0, 9)), min_size=1, max_size=6)


def tried_out(points: list[tuple[float, float]]) -> float:
    """The shortest spanning tree (networkx) of the points and any of the grid's, at most two fewer than there are points."""
    grid = [(x, y) for x in {p[0] for p in points} for y in {p[1] for p in points} if (x, y) not in points]
    extras = (some for many in range(max(len(points) - 1, 1)) for some in combinations(grid, many))
    return min(tree_length([*points, *some]) for some in extras)


def tree_length(points: list[tuple[float, float]]) -> float:
    graph = networkx.Graph()
    graph.add_nodes_from(points)
    graph.add_weighted_edges_from((a, b, abs(a[0] - b[0]) + abs(a[1] - b[1])) for a, b in combinations(points, 2))
    return networkx.minimum_spanning_tree(graph).size(weight="weight")


@pytest.mark.parametrize(
    ("points", "length"),
    [
        # Hanan (SIAM J. Appl. Math. 14, 1966): three points need half the way round their box.
        ([(0, 0), (4, 1), (2, 5)], 9),
        # Hwang (SIAM J. Appl. Math. 30, 1976): the cross, where parting at the points alone costs 3/2 as much.
        ([(1, 0), (0, 1), (2, 1), (1, 2)], 4),
        # Closed forms: a point, two points, a row, a square, the corners of 3 x 2.
        ([(3, 3)], 0), ([(0, 0), (3, 4)], 7), ([(0, 0), (5, 0), (2, 0)], 5),
        ([(0, 0), (1, 0), (0, 1), (1, 1)], 3), ([(0, 0), (3, 0), (0, 2), (3, 2)], 7),
    ],
)  # fmt: skip
def test_published_cases(points, length):
    assert steiner_length(points) == pytest.approx(length)
    assert least_length(points) == (pytest.approx(length), True)


def test_the_cross_is_as_far_as_the_bound_of_hwang_goes():
    cross = [(1.0, 0.0), (0.0, 1.0), (2.0, 1.0), (1.0, 2.0)]
    assert spanning_length(cross) / steiner_length(cross) == pytest.approx(1.5)


@pytest.mark.parametrize("seed", range(12))
def test_five_points_need_what_trying_everything_finds(seed):
    rng = Random(seed)
    points = [(rng.uniform(0, 10), rng.uniform(0, 7)) for _ in range(2 + seed % 4)]
    assert steiner_length(points) == pytest.approx(tried_out(points))


@settings(max_examples=40)
@given(SPOTS)
def test_bounds_hold_and_the_tree_is_that_of_the_library(points):
    least, spanning = steiner_length(points), spanning_length(points)
    assert spanning == pytest.approx(tree_length(list(set(points))))
    assert max(half_perimeter(points), spanning / 1.5) - 1e-9 <= least <= spanning + 1e-9
    assert steiner_length([(y, -x) for x, y in points]) == pytest.approx(least)


def test_many_points_get_a_bound_that_is_no_more_than_a_tree_that_joins_them():
    grid = [(float(x), float(y)) for x in range(4) for y in range(4)]
    assert len(grid) > MOST_EXACT
    bound, exact = least_length(grid)
    assert not exact and bound == pytest.approx(15 / 1.5) and bound <= 15
    spread = [(0.0, 0.0), (10.0, sqrt(2)), *((10.0 * i / 7, 0.0) for i in range(1, 7))]
    assert least_length(spread)[0] == pytest.approx(10 + sqrt(2))
