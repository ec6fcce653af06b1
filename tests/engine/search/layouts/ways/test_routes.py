"""Joints along a main: apart as fittings must be, and as near to where they are wanted as a general-purpose solver gets them."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from engine.search.layouts.sizes.pipes import Pipe, Stop
from engine.search.layouts.ways.routes import WORTH_PIPE, Line, effort_along, least_effort, reach_of, space_out, ways_along

WANTED = st.lists(st.floats(-2, 10).map(lambda mark: round(mark, 2)), min_size=1, max_size=8).map(sorted)


@pytest.mark.parametrize(
    ("wanted", "marks"),
    [([1.0, 2.0, 3.0], [1.0, 2.0, 3.0]), ([2.0, 2.0], [1.75, 2.25]), ([0.0, 0.1], [0.3, 0.8]), ([1.0, 1.2, 4.0], [0.85, 1.35, 4.0])],
)
def test_marks_that_crowd_give_way_to_both_sides(wanted, marks):
    assert space_out(wanted, 0.3, 0.5) == pytest.approx(marks)


@settings(max_examples=40)
@given(WANTED, st.floats(0, 1), st.floats(0.1, 1))
def test_no_marks_so_far_apart_lie_nearer(wanted, least, apart):
    found = space_out(wanted, least, apart)
    assert found[0] >= least - 1e-9 and all(b - a >= apart - 1e-9 for a, b in pairwise(found))
    # The first mark and what each gap is longer than it must be, all at least their limits: least squares with bounds.
    size = len(wanted)
    offset = np.array(wanted) - apart * np.arange(size)
    best = lsq_linear(np.tril(np.ones((size, size))), offset, ([least, *[0.0] * (size - 1)], np.inf), tol=1e-12)
    assert sum((a - b) ** 2 for a, b in zip(found, wanted, strict=True)) <= 2 * best.cost + 1e-6


@settings(max_examples=40)
@given(st.lists(st.tuples(st.floats(1, 12), st.floats(-4, 4), st.floats(0.2, 1.4)), min_size=1, max_size=6))
def test_the_effort_of_a_main_is_no_less_than_its_ways_measure_and_no_less_than_its_bound(places):
    pipe = Pipe(0.125, 0.1875)
    stops = [Stop(place, pipe, reach_of(pipe), WORTH_PIPE, pipe.spur) for place in places]
    line = Line(0, 1, (0.0, 0.0, 2.2), 0.5, pipe.apart)
    ways = ways_along(line, stops, range(len(stops)))
    effort = effort_along(line, stops, range(len(stops)))
    length = sum(np.linalg.norm(np.subtract(a, b)) for way in ways for a, b in pairwise(way.points))
    assert effort >= length + ways[-1].joint[0] - 1e-6
    assert effort >= least_effort(line, stops, range(len(stops))) - 1e-6
    assert all(way.joint[1:] == (0.0, 2.2) for way in ways)
    branches = [way for way in ways if not way.straight]
    assert all(b.joint[0] - a.joint[0] >= pipe.apart - 1e-9 for a, b in pairwise(branches))
    # Only the last way may go straight on; it begins where the one before left.
    assert not any(way.straight for way in ways[:-1])
    assert not ways[-1].straight or len(ways) == 1 or ways[-1].joint == ways[-2].joint


def test_a_main_turns_from_wall_to_wall_and_each_stop_hangs_on_the_nearer_line():
    pipe = Pipe(0.125, 0.1875)
    stops = [
        Stop((3.0, 1.0, 0.8), pipe, reach_of(pipe), WORTH_PIPE, pipe.spur),
        Stop((8.0, 4.0, 0.8), pipe, reach_of(pipe), WORTH_PIPE, pipe.spur),
        Stop((8.0, 6.0, 0.8), pipe, reach_of(pipe), WORTH_PIPE, pipe.spur),
    ]
    beyond = Line(1, 1, (9.0, 0.0, 2.4), 0.6, pipe.apart)
    line = Line(0, 1, (0.0, 0.0, 2.4), 0.5, pipe.apart, most=8.4, onward=beyond)
    ways = ways_along(line, stops, range(3))
    assert [way.stop for way in ways] == [0, 1, 2]
    assert [way.corners for way in ways] == [(), ((9.0, 0.0, 2.4),), ()]
    assert ways[0].joint[1] == 0.0 and ways[1].joint[0] == 9.0
    assert effort_along(line, stops, range(3)) >= least_effort(line, stops, range(3))
