"""Joints along a main: apart as fittings must be, and as near to where they are wanted as a general-purpose solver gets them; what mains measure."""

from __future__ import annotations

from itertools import pairwise
from math import dist, inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from engine.search.layouts.sizes.pipes import Pipe, Stop
from engine.search.layouts.ways.efforts import efforts_along
from engine.search.layouts.ways.routes import CORNER, NEAR_FOOT, WORTH_PIPE, Line, reach_of, space_out, ways_along
from engine.shapes.clearance import Box

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


AT = st.floats(-4, 12).map(lambda at: round(at, 2))
PLACES = st.lists(st.tuples(AT, AT, st.floats(0.2, 2.6), st.booleans(), st.booleans()), min_size=1, max_size=6, unique_by=lambda place: place[:2])


def _stop(east, north, up, is_lean, has_body):
    pipe = Pipe(0.1, 0.15) if is_lean else Pipe(0.125, 0.1875)
    body = Box((east - 0.3, north - 0.6, 0.0), (east + 0.5, north + 0.2, up + 0.2)) if has_body else None
    return Stop((east, north, up), pipe, NEAR_FOOT if is_lean else reach_of(pipe), WORTH_PIPE, pipe.spur, body)


def _line(legs, corner, along):
    """A line that turns into another at the end of every leg but the last."""
    (side, ahead), *beyond = legs
    end = tuple(at + side * ahead * (axis == along) for axis, at in enumerate(corner))
    return Line(along, side, corner, 0.5, 0.4, ahead - 0.6 if beyond else inf, _line(beyond, end, 1 - along) if beyond else None)


def _measured(line, stops, mine):
    """Metres of the ways as they are laid, with what counts against them; inf where a line is not used."""
    ways, now, effort = ways_along(line, stops, mine), line.corner, 0.0
    for way in ways:
        points = [now, *way.corners, way.joint, *way.points[1:]]
        back = way.points[1][0] - stops[way.stop].at[0], way.points[1][1] - stops[way.stop].at[1]
        effort += sum(dist(a, b) for a, b in pairwise(points)) + CORNER * len(way.corners)
        effort += 100.0 * max(way.gap - stops[way.stop].reach, 0.0) + 3.0 * max(back[0] * way.main[0] + back[1] * way.main[1] - 1.0, 0.0)
        now = way.joint
    lines = 1
    while line.onward:
        line, lines = line.onward, lines + 1
    used = 1 + sum(bool(way.corners) for way in ways[1:])
    return effort if used == lines else inf


@settings(max_examples=200)
@given(PLACES, st.lists(st.tuples(st.sampled_from([1, -1]), st.floats(2, 9)), min_size=1, max_size=3), st.sampled_from([0.1, 2.2]), st.integers(0, 1))
def test_the_efforts_of_mains_are_what_their_ways_measure(places, legs, height, along):
    stops = [_stop(*place) for place in places]
    mains = [(_line(legs[:count], (0.0, 0.0, height), along), tuple(range(many))) for count in range(1, len(legs) + 1) for many in (1, len(stops))]
    for (line, mine), effort in zip(mains, efforts_along(mains, stops), strict=True):
        assert effort == pytest.approx(_measured(line, stops, mine))


@settings(max_examples=40)
@given(st.lists(st.tuples(st.floats(1, 12), st.floats(-4, 4), st.floats(0.2, 1.4)), min_size=1, max_size=6))
def test_joints_lie_on_the_main_apart_and_only_the_last_way_may_go_straight_on(places):
    pipe = Pipe(0.125, 0.1875)
    stops = [Stop(place, pipe, reach_of(pipe), WORTH_PIPE, pipe.spur) for place in places]
    ways = ways_along(Line(0, 1, (0.0, 0.0, 2.2), 0.5, pipe.apart), stops, range(len(stops)))
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
    assert efforts_along([(line, (0, 1, 2)), (line, (0,))], stops).tolist() == [pytest.approx(_measured(line, stops, range(3))), inf]
