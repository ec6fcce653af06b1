"""Where ducts in space begin to be found fault with: each check a hair before its limit and a hair after it. Designs are invented."""

from __future__ import annotations

import pytest

from engine.design import Design
from tests.engine.checks.subjects.test_space import bend, laid, told
from tests.shops.small_shops import run, si


@pytest.mark.parametrize(("fall", "rise", "found"), [(0.101, 1.0, True), (0.099, 1.0, False), (1.0, 0.101, True), (1.0, 0.099, False)])
def test_a_low_point_is_a_tenth_of_a_metre_down_and_up_again(fall, rise, found):
    dip = laid(run("main", "collector", 160, 1.0, bend("down"), fall, bend("north"), 2.0, bend("up"), rise))
    assert told(dip, "no-cleanout") == ([("caution", "main", 2)] if found else [])


def back_over_its_neighbour(side: float) -> Design:
    """A run straight on, and a branch that crosses it again round three sides of a square."""
    on = run("on", "main", 160, 2.0)
    round_ = run("round", "main", 100, side, bend("north"), side, bend("west"), 1.0, as_="branch", angle=si(1.5707963), toward="east")
    return laid(run("main", "collector", 160, 1.0), on, round_)


@pytest.mark.parametrize(("way", "found"), [(5.95, False), (6.05, True)])
def test_ducts_that_part_meet_again_six_times_their_reach_on(way, found):
    """Their reach is the sum of their radii; the way along the ducts from one to the other is four sides."""
    reach = 0.08 + 0.05
    assert told(back_over_its_neighbour(way * reach / 4), "ducts-cross") == ([("note", "round", 4)] if found else [])
