"""What is in the way of what: by hand, and against a fine search along the lines."""

from __future__ import annotations

from math import dist
from random import Random

import numpy as np
import pytest

from engine.shapes.clearance import Box, box_of, box_round, cross, enters, inside, nearest, overlap, touch, wider, within
from engine.shapes.vectors import moved


def part(a, b, share):
    return moved(a, moved(b, a, -1.0), share)


@pytest.mark.parametrize("seed", range(200))
def test_where_two_lines_come_nearest(seed):
    """No two points of a fine grid along both are nearer."""
    rng = Random(seed)
    a, b, c, d = ([rng.uniform(-2, 2) for _ in range(3)] for _ in range(4))
    if seed % 4 == 0:
        d = part(c, moved(c, moved(b, a, -1.0), 1.0), rng.uniform(-1, 1))  # along the other line
    if seed % 5 == 0:
        b = a
    s, t = nearest(tuple(a), tuple(b), tuple(c), tuple(d))
    assert 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0
    shares = np.linspace(0, 1, 101)[:, None]
    ones, others = np.array(a) + shares * (np.array(b) - np.array(a)), np.array(c) + shares * (np.array(d) - np.array(c))
    least = np.linalg.norm(ones[:, None] - others[None], axis=2).min()
    assert dist(part(a, b, s), part(c, d, t)) <= least + 1e-9


@pytest.mark.parametrize("seed", range(200))
def test_a_line_enters_a_box_where_one_of_its_points_lies_within(seed):
    rng = Random(seed)
    a, b = (tuple(rng.choice([rng.uniform(-2, 2), 0.5]) for _ in range(3)) for _ in range(2))
    box = wider(box_of(*(tuple(rng.uniform(-1, 1) for _ in range(3)) for _ in range(2))), 0.01)
    points = [part(a, b, i / 4000) for i in range(4001)]
    among = any(all(low < x < high for x, low, high in zip(point, *box, strict=True)) for point in points)
    assert enters(a, b, box) or not among
    if enters(a, b, box):
        assert enters(a, b, wider(box, 1e-3)) and any(
            all(low - 1e-3 < x < high + 1e-3 for x, low, high in zip(point, *box, strict=True)) for point in points
        )


def test_touching_a_face_is_not_entering():
    box = Box((0.0, 0.0, 0.0), (1.0, 1.0, 1.0))
    assert not enters((-1.0, 1.0, 0.5), (2.0, 1.0, 0.5), box)
    assert enters((-1.0, 0.999, 0.5), (2.0, 0.999, 0.5), box)


def test_boxes():
    assert box_round([(1, 5, 2), (0, 6, 3), (2, 4, 1)]) == ((0, 4, 1), (2, 6, 3))
    one = Box((0, 0, 0), (1, 1, 1))
    assert overlap(one, Box((1, 1, 1), (2, 2, 2))) and not overlap(one, Box((1.1, 0, 0), (2, 1, 1)))


def test_lines_seen_from_above():
    assert cross((0, 0), (2, 2), (0, 2), (2, 0))
    assert not cross((0, 0), (1, 1), (1, 1), (2, 0)) and touch((0, 0), (1, 1), (1, 1), (2, 0))
    assert touch((0, 0), (2, 0), (1, 0), (3, 0)) and not touch((0, 0), (1, 0), (2, 0), (3, 0))


L = [(0, 0), (4, 0), (4, 1), (1, 1), (1, 3), (0, 3)]


@pytest.mark.parametrize(("spot", "found"), [((0.5, 2.0), True), ((2.0, 2.0), False), ((3.0, 0.5), True), ((5.0, 0.5), False), ((-1.0, 1.0), False)])
def test_inside_a_room_of_six_walls(spot, found):
    assert inside(spot, L) == within(spot, L) == found


@pytest.mark.parametrize("spot", [(0, 0), (2, 1), (1, 2), (0, 1.5), (4, 0.5)])
def test_on_a_wall_is_inside(spot):
    assert inside(spot, L)
