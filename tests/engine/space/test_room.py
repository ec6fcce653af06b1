"""What of a duct lies behind a wall, above the ceiling or in a zone: closed forms, and a general-purpose geometry library."""

from __future__ import annotations

from math import dist, inf
from random import Random

import numpy as np
import pytest
from shapely import LineString, Point, Polygon
from shapely import box as rectangle

from engine.design import Site
from engine.shapes.clearance import Box
from engine.space.room import Obstacle, Room, room_of

L_SHAPED = ((0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (5.0, 6.0), (5.0, 3.0), (0.0, 3.0))
POST = Obstacle("post", Box((2.0, 1.0, -inf), (2.4, 1.4, inf)))


def test_a_site_that_says_nothing_holds_nothing_back():
    room = room_of(Site())
    assert not room.is_known and room.holds((99.0, -99.0)) and room.in_zone((0.0, 0.0, 0.0)) is None
    assert room.barred([(0.0, 0.0, 0.0), (50.0, 50.0, 50.0)], 0.1) == 0.0


@pytest.mark.parametrize(
    ("line", "barred"),
    [
        ([(1.0, 2.0, 1.0), (4.0, 2.0, 1.0)], 0.0),
        ([(1.0, 2.0, 1.0), (1.0, 5.0, 1.0)], 2.0),
        ([(4.0, 2.0, 1.0), (4.0, 5.0, 1.0), (6.0, 5.0, 1.0)], 3.0),
        ([(1.0, 1.2, 1.0), (4.0, 1.2, 1.0)], 0.4),
        ([(6.0, 1.0, 2.0), (6.0, 1.0, 3.0)], 0.5),
        ([(6.0, 1.0, 3.0), (7.0, 1.0, 3.0)], 1.0),
    ],
)
def test_metres_in_the_way(line, barred):
    assert Room(L_SHAPED, 2.5, (POST,)).barred(line, 0.0) == pytest.approx(barred)


def test_a_duct_needs_room_for_its_bore():
    room = Room(L_SHAPED, 2.5, (POST,))
    assert room.barred([(1.0, 0.05, 1.0), (2.0, 0.05, 1.0)], 0.08) == pytest.approx(1.0)
    assert room.barred([(1.0, 0.95, 1.0), (4.0, 0.95, 1.0)], 0.08) == pytest.approx(0.56)
    assert room.barred([(6.0, 1.0, 2.45), (7.0, 1.0, 2.45)], 0.08) == pytest.approx(1.0)


@pytest.mark.parametrize("seed", range(20))
def test_as_the_library_measures_it(seed):
    rng = Random(seed)
    floor, post = Polygon(L_SHAPED), rectangle(2.0, 1.0, 2.4, 1.4)
    for _ in range(20):
        a, b = ((rng.uniform(-1, 9), rng.uniform(-1, 7), 1.0) for _ in range(2))
        line = LineString([a[:2], b[:2]])
        assert Room(L_SHAPED, inf, ()).barred([a, b], 0.0) == pytest.approx(line.difference(floor).length, abs=1e-9)
        assert Room((), inf, (POST,)).barred([a, b], 0.0) == pytest.approx(line.intersection(post).length, abs=1e-9)
        wide = Room((), inf, (POST,)).barred([a, b], 0.3)
        assert wide == pytest.approx(line.intersection(rectangle(1.7, 0.7, 2.7, 1.7)).length, abs=1e-9)
        apart = floor.exterior.distance(Point(a[:2]))
        clear = floor.contains(Point(a[:2])) and apart >= 0.5
        assert Room(L_SHAPED, inf, ()).holds(a[:2], 0.5) == Room(L_SHAPED, inf, ()).hold(np.array([a[:2]]), 0.5)[0] == clear
        assert 0.0 <= wide <= dist(a, b) + 1e-9
