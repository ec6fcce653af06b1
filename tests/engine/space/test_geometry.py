"""The way of runs in space: by hand, by closed figures, and over random ducts. Designs are invented."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import cos, dist, pi, radians, sqrt
from random import Random

import numpy as np
import pytest

from engine.design import Elbow, Hose, Machine, Port
from engine.shapes.vectors import WAYS, across, dot, turned
from engine.space.geometry import space_of
from tests.shops.random_shops import random_design
from tests.shops.small_shops import collector, machine, q, run, shop, si


def elbow(toward: str | None, angle: float = 90, **rest) -> Elbow:
    return Elbow(angle=si(radians(angle)), toward=toward, **rest)


def placed(east=0.0, north=0.0, up=0.0):
    return {"east": si(east), "north": si(north), "up": si(up)}


def inlet(faces="north", **at):
    return replace(collector(), faces=faces, **placed(**at))


def test_straights_and_an_elbow_by_hand():
    # Radius 1.5 x 100 mm: the elbow ends 0.15 m on and 0.15 m aside, its arc is 0.15 pi / 2 long.
    design = shop(run("main", "collector", 100, 1.0, elbow("east"), 2.0), collector=inlet(up=1.5))
    way = space_of(design).ways["main"]
    assert way.end == pytest.approx((2.15, 1.15, 1.5))
    assert way.leaves == pytest.approx(WAYS["east"])
    assert way.length == pytest.approx(3.0 + 0.15 * pi / 2)
    assert np.array(way.points) == pytest.approx(np.array([(0, 0, 1.5), (0, 1, 1.5), (0, 1.15, 1.5), (0.15, 1.15, 1.5), (2.15, 1.15, 1.5)]))


def test_a_mitred_elbow_takes_no_length():
    design = shop(run("main", "collector", 100, 1.0, elbow("up", make="mitred"), 2.0), collector=inlet())
    assert space_of(design).ways["main"].end == pytest.approx((0, 1, 2))
    assert space_of(design).ways["main"].length == pytest.approx(3.0)


@pytest.mark.parametrize("make", ["smooth", "mitred"])
@pytest.mark.parametrize("turns", [("east", "south", "west", "north"), ("west", "south", "east", "north"), ("up", "south", "down", "north")])
def test_a_rectangle_closes(make, turns):
    sides = (2.0, 1.0, 2.0, 1.0)
    pieces = [part for side, toward in zip(sides, turns, strict=True) for part in (side, elbow(toward, make=make))]
    way = space_of(shop(run("main", "collector", 160, *pieces), collector=inlet(east=3, north=4, up=1))).ways["main"]
    assert way.end == pytest.approx(way.start, abs=1e-9)
    assert way.leaves == pytest.approx(way.heading, abs=1e-9)


def test_eight_elbows_of_45_deg_close_an_octagon():
    turns = ("east", "east", "south", "south", "west", "west", "north", "north")
    pieces = [part for toward in turns for part in (0.7, elbow(toward, 45))]
    way = space_of(shop(run("main", "collector", 125, *pieces), collector=inlet())).ways["main"]
    assert way.end == pytest.approx((0, 0, 0), abs=1e-9)


def test_a_branch_leaves_at_its_angle_and_legs_to_both_sides():
    main = run("main", "collector", 160, 2.0)
    branch = run("drop", "main", 100, sqrt(2), as_="branch", angle=si(radians(45)), toward="east")
    assert space_of(shop(main, branch, collector=inlet())).ways["drop"].end == pytest.approx((1, 3, 0))
    legs = [run(side, "main", 100, 1.0, as_="leg", angle=si(radians(30)), toward=side) for side in ("east", "west")]
    ways = space_of(shop(main, *legs, collector=inlet())).ways
    assert ways["east"].end == pytest.approx((0.5, 2 + sqrt(3) / 2, 0))
    assert ways["west"].end == pytest.approx((-0.5, 2 + sqrt(3) / 2, 0))


def test_what_follows_an_unknown_direction_has_lengths_but_no_place():
    design = shop(
        run("main", "collector", 100, 1.0, elbow(None), 2.0), run("on", "main", 100, 3.0),
        run("drop", "main", 100, 1.0, as_="branch"), collector=inlet(),
    )  # fmt: skip
    ways = space_of(design).ways
    assert ways["main"].lost == 1 and ways["main"].end is None and len(ways["main"].stretches) == 1
    assert ways["main"].length == pytest.approx(3.0 + 0.15 * pi / 2)
    assert ways["on"].start is None and ways["on"].length == pytest.approx(3.0)
    assert ways["drop"].end is None


def test_an_elbow_toward_the_way_it_goes_has_no_place():
    way = space_of(shop(run("main", "collector", 100, 1.0, elbow("north")), collector=inlet())).ways["main"]
    assert way.lost == 1


def saw(**at) -> Machine:
    return replace(machine("saw"), **placed(**at))


def test_a_hose_reaches_the_port_and_the_gap_is_told():
    pieces = (1.0, Hose(length=q("0.6 m")))
    design = shop(run("main", "collector", 100, *pieces, ends="saw/hood"), machines=[saw(north=1.3, east=0.4)], collector=inlet())
    space = space_of(design)
    gap = space.gaps["saw/hood"]
    assert (gap.distance, gap.hose) == pytest.approx((0.5, 0.6))
    assert gap.turn == pytest.approx(radians(53.13), abs=1e-4)  # 3-4-5
    assert space.ways["main"].end == pytest.approx((0.4, 1.3, 0))
    assert space.way_to["saw/hood"] == pytest.approx(1.6)


@pytest.mark.parametrize(("faces", "arrival"), [(None, 0.0), ("south", 53.13), ("west", 36.87), ("east", 143.13), ("up", 90.0)])
def test_which_way_a_port_faces_is_one_more_turn_of_its_hose(faces, arrival):
    """By the 3-4-5 triangle: the hose heads 53.13 deg east of north, and into a port that opens south it heads north."""
    pieces = (1.0, Hose(length=q("0.6 m")))
    opens = saw(north=1.3, east=0.4)
    opens = replace(opens, ports=(replace(opens.ports[0], faces=faces),))
    gap = space_of(shop(run("main", "collector", 100, *pieces, ends="saw/hood"), machines=[opens], collector=inlet())).gaps["saw/hood"]
    assert gap.turn == pytest.approx(radians(53.13), abs=1e-4) and gap.arrival == pytest.approx(radians(arrival), abs=1e-4)
    assert gap.bends == pytest.approx(min(radians(53.13 + arrival), radians(180)), abs=2e-4)


def test_a_short_hose_ends_where_it_ends():
    pieces = (1.0, Hose(length=q("0.25 m")))
    design = shop(run("main", "collector", 100, *pieces, ends="saw/hood"), machines=[saw(north=1.3, east=0.4)], collector=inlet())
    assert space_of(design).ways["main"].end == pytest.approx((0.2, 1.15, 0))


def test_a_port_of_its_own_position():
    made = saw(north=1.0)
    made = replace(made, ports=(*made.ports, Port(id="guard", bore=si(0.08), needs=si(0.05), up=si(1.2))))
    assert space_of(shop(machines=[made], collector=inlet())).ports == {"saw/hood": (0, 1, 0), "saw/guard": (0, 1, 1.2)}


def test_without_a_position_of_the_collector_ports_have_no_gap():
    space = space_of(shop(run("main", "collector", 100, 1.0, ends="saw/hood"), machines=[saw(north=1.0)]))
    assert not space.placed and not space.gaps and space.ways["main"].end == (0, 1, 0)


def test_a_run_that_leads_down_climbs_for_the_air():
    main = run("main", "collector", 160, 1.0, elbow("up"), 1.0, elbow("east"), 1.0)
    drop = run("drop", "main", 100, 0.5, elbow("down"), 0.5)
    assert space_of(shop(main, drop, collector=inlet())).climbing == {"drop"}


@pytest.mark.parametrize("seed", range(40))
def test_lengths_add_up_over_random_ducts(seed):
    rng = Random(seed)
    design = random_design(rng, most_ports=12)
    ways = tuple(WAYS)
    runs = tuple(
        replace(made, toward=rng.choice(ways), pieces=tuple(replace(p, toward=rng.choice(ways)) if isinstance(p, Elbow) else p for p in made.pieces))
        for made in design.runs
    )
    space = space_of(replace(design, runs=runs))
    for made in runs:
        way = space.ways[made.id]
        if made.joins != "collector":
            assert way.start == space.ways[made.joins].end
        if way.start is None or way.lost is not None:
            continue
        assert sum(stretch.length for stretch in way.stretches) == pytest.approx(way.length)
        for before, after in pairwise(way.stretches):
            assert before.end == after.start and before.after == after.before
        for stretch in way.stretches:
            assert dist(stretch.start, stretch.end) <= stretch.length + 1e-9
            assert dot(stretch.after, stretch.after) == pytest.approx(1.0)
        line = sum(dist(a, b) for a, b in pairwise(way.points))
        assert dist(way.start, way.end) <= line + 1e-9
        if made.ends:
            total, at = 0.0, made
            while True:
                total += space.ways[at.id].length
                if at.joins == "collector":
                    break
                at = next(other for other in runs if other.id == at.joins)
            assert space.way_to[made.ends] == pytest.approx(total)


def test_a_turn_keeps_its_angle_to_the_way_there_was():
    for angle in (0.3, 1.0, pi / 2, 2.5):
        side = across(WAYS["up"], WAYS["west"])
        assert dot(WAYS["up"], turned(WAYS["up"], side, angle)) == pytest.approx(cos(angle))
    assert across(WAYS["up"], WAYS["down"]) is None
