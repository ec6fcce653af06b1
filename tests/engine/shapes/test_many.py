"""The rules over arrays are those of single spots and lines: parity on random outlines, spots and boxes."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from engine.shapes import many
from engine.shapes.clearance import Box, crossing, enters, inside, off_line, share_within, sides

OUTLINE = ((0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (5.0, 6.0), (5.0, 3.0), (0.0, 3.0))
BOXES = [Box((1.0, 1.0, 0.0), (3.0, 2.0, 2.0)), Box((2.0, 0.0, float("-inf")), (6.0, 4.0, float("inf")))]


def on_half_metres(rng: Random, size: int) -> tuple[float, ...]:
    """A spot that often lies on a wall, in a corner or in a face."""
    return tuple(rng.randint(-2, 18) / 2 for _ in range(size))


@pytest.mark.parametrize("seed", range(4))
def test_spots_and_lines_as_one_by_one(seed):
    rng = Random(seed)
    spots, starts, ends = ([on_half_metres(rng, size) for _ in range(200)] for size in (2, 3, 3))
    walls = np.array(sides(OUTLINE))
    assert many.inside(np.array(spots), walls).tolist() == [inside(spot, OUTLINE) for spot in spots]
    apart = [min(off_line(spot, *wall) for wall in sides(OUTLINE)) for spot in spots]
    assert many.off_walls(np.array(spots), walls).tolist() == pytest.approx(apart)
    shares = many.shares_within(np.array(starts), np.array(ends), BOXES)
    crossings = many.crossings(np.array(starts), np.array(ends), walls)
    for row, (a, b) in enumerate(zip(starts, ends, strict=True)):
        assert shares[row] == pytest.approx([share_within(a, b, box) for box in BOXES])
        assert crossings[row] == pytest.approx([1.0 if (at := crossing(a, b, *wall)) is None else at for wall in sides(OUTLINE)])
        assert (shares[row] > 0).tolist() == [enters(a, b, box) for box in BOXES]


def test_no_boxes_hold_nothing():
    assert many.shares_within(np.zeros((3, 3)), np.ones((3, 3)), []).shape == (3, 0)
