"""Findings from where the ducts are: gaps at ports, the room, what stands in it, each other. Designs are invented."""

from __future__ import annotations

from dataclasses import replace
from math import radians
from random import Random

import pytest

from engine import edits, load
from engine.checks.assess import assess
from engine.design import Cleanout, Conveying, Corner, Design, Elbow, Gate, Hose, Machine, Site, Zone, places
from engine.design.rules.consistency import mistakes
from engine.edits import set_field
from engine.shapes.vectors import WAYS
from tests import SAVED_DESIGNS
from tests.shops.bare_shops import COLLECTOR, KINDS, random_shop, rough_drafts
from tests.shops.random_shops import random_design
from tests.shops.small_shops import at, collector, machine, run, shop, si

DEMOS = SAVED_DESIGNS


def bend(toward: str, degrees: float = 90, **rest) -> Elbow:
    return Elbow(angle=si(radians(degrees)), toward=toward, make="mitred" if degrees <= 90 else None, **rest)


def hose(length: float, **rest) -> Hose:
    return Hose(length=si(length), **rest)


def told(design, code):
    """(severity, where, piece) of a design's findings of one code."""
    return [(f.severity, f.where, f.piece) for f in assess(design).findings if f.code == code]


def placed(name: str, *spot: float) -> Machine:
    return replace(machine(name), **at(*spot))


NO_ROOM = Site()


def laid(*runs, machines=(), site=NO_ROOM, up=2.0, **rest) -> Design:
    """Ducts from an inlet at (0, 0, up) that faces north."""
    inlet = replace(collector(), east=si(0.0), north=si(0.0), up=si(up))
    return shop(*runs, machines=machines, collector=inlet, site=site, **rest)


def to_port(north: float, *pieces, **port) -> Design:
    """One level run of 1 m and what follows, to a port so far north."""
    made = placed("saw", 0.0, north, 2.0)
    return laid(run("drop", "collector", 100, 1.0, *pieces, ends="saw/hood"), machines=[replace(made, **port)])


# ---- gaps at ports


@pytest.mark.parametrize(
    ("north", "severity"), [(1.59, None), (1.601, "caution"), (1.649, "caution"), (1.651, "fault"), (2.6, "fault")],
)  # fmt: skip
def test_a_hose_short_of_its_port(north, severity):
    found = told(to_port(north, hose(0.6)), "hose-short")
    assert found == ([(severity, "drop", 1)] if severity else [])


@pytest.mark.parametrize(("north", "found"), [(1.049, []), (1.051, [("caution", "drop", None)])])
def test_pipe_that_ends_before_its_port_without_a_hose(north, found):
    assert told(to_port(north), "hose-short") == found


def test_a_port_without_a_place_of_its_own_is_no_fault_but_the_first():
    """A machine's position is that of its first port: the second is somewhere near."""
    made = placed("saw", 0.0, 3.0, 2.0)
    two = replace(made, ports=(replace(made.ports[0], id="table"), *made.ports))
    pieces = run("drop", "collector", 100, 1.0, hose(0.6), ends="saw/hood")
    assert told(laid(pieces, machines=[two]), "hose-short") == [("caution", "drop", 1)]
    known = replace(two, ports=(two.ports[0], replace(two.ports[1], north=si(3.1))))
    assert told(laid(pieces, machines=[known]), "hose-short") == [("fault", "drop", 1)]


def test_the_gap_is_told_with_what_is_wanting():
    [found] = [f for f in assess(to_port(1.9, hose(0.6))).findings if f.code == "hose-short"]
    assert "0.9 m from its port" in found.message and "0.3 m wanting" in found.message


@pytest.mark.parametrize(("faces", "found"), [(None, 0), ("south", 0), ("east", 1)])
def test_a_hose_that_turns_into_a_port_that_faces_aside(faces, found):
    saw = placed("saw", 0.0, 1.5, 2.0)
    saw = replace(saw, ports=(replace(saw.ports[0], faces=faces),))
    made = laid(run("drop", "collector", 100, 1.0, hose(0.6), ends="saw/hood"), machines=[saw])
    assert len(told(made, "bent-hose")) == found  # the pipe heads north, straight at the port


@pytest.mark.parametrize(("bend_deg", "found"), [(None, 1), (59, 1), (61, 0)])
def test_a_hose_that_turns_further_than_it_is_said_to(bend_deg, found):
    stated = None if bend_deg is None else si(radians(bend_deg))
    made = laid(run("drop", "collector", 100, 1.0, hose(0.6, bend=stated), ends="saw/hood"), machines=[placed("saw", 0.5, 1.0, 2.0)])
    assert len(told(made, "bent-hose")) == found  # the port lies 90 deg aside; 30 deg are to spare


@pytest.mark.parametrize(
    ("gap", "length", "found"), [(0.9, 0.95, False), (0.45, 0.94, False), (0.3, 0.81, True), (0.45, 0.96, True)],
)  # fmt: skip
def test_far_more_hose_than_its_port_is_away(gap, length, found):
    texts = [f.message for f in assess(to_port(1.0 + gap, hose(length))).findings if f.code == "long-hose"]
    assert bool(texts) == found
    assert not found or "would do" in texts[0]


def test_a_long_hose_tells_what_would_do_once():
    [found] = [f for f in assess(to_port(1.8, hose(2.5))).findings if f.code == "long-hose"]
    assert found.severity == "caution" and "0.9 m would do" in found.message


def test_the_hose_of_a_machine_that_moves_may_hang_over():
    made = to_port(1.3, hose(0.81))
    moved = replace(made, machines=tuple(replace(machine, moves=True) for machine in made.machines))
    assert told(made, "long-hose") and not told(moved, "long-hose")


# ---- joints and low points


@pytest.mark.parametrize(
    ("degrees", "toward", "found"), [(45, "down", True), (31, "down", True), (29, "down", False), (45, "up", False), (45, "east", False)]
)
def test_a_branch_that_leaves_a_level_main_from_below(degrees, toward, found):
    main, on = run("main", "collector", 160, 3.0), run("on", "main", 160, 1.0)
    drop = run("drop", "main", 100, 1.0, Gate(name="g"), as_="branch", angle=si(radians(degrees)), toward=toward)
    assert told(laid(main, on, drop), "bottom-entry") == ([("caution", "drop", None)] if found else [])
    always = run("drop", "main", 100, 1.0, as_="branch", angle=si(radians(degrees)), toward=toward)
    assert told(laid(main, on, always), "bottom-entry") == []


def test_a_branch_off_a_standing_pipe_is_no_bottom_entry():
    riser = run("riser", "collector", 160, 1.0, bend("down"), 1.0)
    drop = run("drop", "riser", 100, 1.0, Gate(name="g"), as_="branch", angle=si(radians(45)), toward="east")
    assert told(laid(riser, drop), "bottom-entry") == []


def dip(*lid) -> Design:
    return laid(run("main", "collector", 160, 1.0, bend("down"), 1.0, *lid, bend("north"), 2.0, bend("up"), 1.0))


def test_a_low_point_without_a_cleanout():
    assert told(dip(), "no-cleanout") == [("caution", "main", 2)]
    assert told(dip(Cleanout(name="lid")), "no-cleanout") == [("caution", "main", 2)], "2 m before the bottom's far end"
    near = run("main", "collector", 160, 1.0, bend("down"), 1.0, bend("north"), 1.5, Cleanout(name="lid"), 0.5, bend("up"), 1.0)
    assert told(laid(near), "no-cleanout") == []


def test_a_low_point_that_two_ways_share_is_told_once():
    main = run("main", "collector", 160, 1.0, bend("down"), 1.0, bend("north"), 1.0)
    ways = [run("a", "main", 100, 1.0, bend("up"), 1.0), run("b", "main", 100, 1.0, bend("up"), 1.0, as_="branch", toward="east")]
    assert told(laid(main, *ways), "no-cleanout") == [("caution", "main", 2)]


def test_a_drop_with_a_hose_up_to_its_port_is_no_low_point():
    drop = run("drop", "collector", 100, 1.0, bend("down"), 1.0, hose(0.6), ends="saw/hood")
    assert told(laid(drop, machines=[placed("saw", 0.3, 1.0, 1.4)]), "no-cleanout") == []


# ---- speeds


def test_a_run_whose_air_climbs_has_the_limit_of_a_riser():
    main = run("main", "collector", 160, 1.0, bend("down"), 1.0)
    ways = [run("a", "main", 125, 1.0, ends="a/hood"), run("b", "main", 125, 1.0, as_="branch", toward="east", ends="b/hood")]
    made = laid(main, *ways, machines=[machine("a", 125), machine("b", 125)], conveying=Conveying(slow_main=si(17.0), slow_branch=si(21.0)))
    limits = assess(made).limits
    assert (limits("main").kind, limits("main").slow.value, limits("a").kind) == ("riser", 21.0, "branch")
    level = replace(made, runs=(run("main", "collector", 160, 2.0), *ways))
    assert (assess(level).limits("main").kind, assess(level).limits("main").slow.value) == ("main", 17.0)


# ---- the room


def room(*corners: tuple[float, float]) -> tuple[Corner, ...]:
    return tuple(Corner(east=si(east), north=si(north)) for east, north in corners)


SQUARE = room((-1, -1), (4, -1), (4, 5), (-1, 5))
# The same with a notch out of it between 1 and 2 m north, east of 1 m.
NOTCHED = room((-1, -1), (4, -1), (4, 1), (1, 1), (1, 2), (4, 2), (4, 5), (-1, 5))


@pytest.mark.parametrize(("length", "found"), [(4.9, []), (5.1, [("note", "main", 0)])])
@pytest.mark.parametrize("walls", [SQUARE, NOTCHED])
def test_a_run_through_a_wall(walls, length, found):
    assert told(laid(run("main", "collector", 160, length), site=Site(room=walls)), "through-wall") == found


def test_a_run_through_a_corner_of_the_room_and_back_in():
    made = run("main", "collector", 160, 0.5, bend("east"), 3.0, bend("north"), 2.5, bend("west"), 1.0)
    assert told(laid(made, site=Site(room=SQUARE)), "through-wall") == []
    assert told(laid(made, site=Site(room=NOTCHED)), "through-wall") == [("note", "main", 4)]


def test_a_run_outside_the_room():
    [found] = [
        f for f in assess(laid(run("main", "collector", 160, 1.0), site=Site(room=room((5, 5), (9, 5), (9, 9))))).findings if f.code == "through-wall"
    ]
    assert found.message == "lies outside the walls"


@pytest.mark.parametrize(("height", "found"), [(3.081, []), (3.079, [("fault", "main", 2)])])
def test_a_run_above_the_ceiling(height, found):
    made = run("main", "collector", 160, 1.0, bend("up"), 1.0, bend("north"), 1.0)
    assert told(laid(made, site=Site(height=si(height))), "too-high") == found  # 80 mm of pipe above its middle


def zone(kind: str, west: float, east: float, **rest) -> Site:
    sides = {"west": west, "east": east, "south": 2.0, "north": 2.5}
    return Site(zones=(Zone(name="the thing", kind=kind, **{key: si(value) for key, value in {**sides, **rest}.items()}),))


@pytest.mark.parametrize(
    ("site", "found"),
    [
        (zone("post", 0.081, 0.3), False), (zone("post", 0.079, 0.3), True), (zone("post", -0.1, 0.1, top=1.0), False),
        (zone("door", -0.5, 0.5, top=1.919), False), (zone("door", -0.5, 0.5, top=1.921), True), (zone("door", -0.5, 0.5), True),
        (zone("keep clear", -0.5, 0.5, bottom=2.081), False), (zone("keep clear", -0.5, 0.5, bottom=2.079), True),
        (zone("keep clear", -0.5, 0.5, south=6.0, north=7.0), False),
    ],
)  # fmt: skip
def test_a_run_that_comes_into_a_zone_with_its_thickness(site, found):
    """A pipe of 160 mm runs north in the middle, 2 m up."""
    assert told(laid(run("main", "collector", 160, 1.0, 3.0), site=site), "through-zone") == ([("caution", "main", 1)] if found else [])


# ---- each other


def crossing(gap: float) -> Design:
    """A main that turns back over itself in a run of its own, so far above."""
    main = run("main", "collector", 160, 3.0, bend("east"), 2.0)
    back = run("back", "main", 100, bend("up"), gap, bend("south"), 1.5, bend("west"), 4.0)
    return laid(main, back)


@pytest.mark.parametrize(("gap", "found"), [(0.131, []), (0.129, [("note", "back", 5)])])
def test_ducts_that_cross(gap, found):
    assert told(crossing(gap), "ducts-cross") == found


def test_hoses_give_way():
    made = crossing(0.1)
    back = replace(made.runs[1], pieces=(*made.runs[1].pieces[:-1], hose(4.0)))
    assert told(replace(made, runs=(made.runs[0], back)), "ducts-cross") == []


@pytest.mark.parametrize("degrees", [15, 30, 45, 90])
def test_what_parts_at_a_joint_does_not_cross(degrees):
    main, on = run("main", "collector", 160, 1.0), run("on", "main", 160, 0.1)
    ways = [run("far", "on", 160, 2.0), run("drop", "main", 125, 2.0, as_="branch", angle=si(radians(degrees)), toward="east")]
    assert told(laid(main, on, *ways), "ducts-cross") == []


# ---- over random shops


@pytest.mark.parametrize("seed", range(24))
def test_drafts_reach_their_ports_and_keep_off_their_own_main(seed):
    """From a collector at the end of the shop; from one among the machines a drop may have to cross the main."""
    rng = Random(seed)
    spots = rng.sample([(2.0 * east, 2.4 * north) for east in range(1, 8) for north in range(1, 4)], rng.randint(1, 7))
    machines = tuple(
        Machine(id=f"machine {i}", ports=rng.choice(KINDS).ports, **at(east + rng.uniform(0, 0.4), north + rng.uniform(0, 0.4)))
        for i, (east, north) in enumerate(spots)
    )
    inlet = replace(COLLECTOR, **at(rng.uniform(-0.5, 1.0), rng.choice([0.3, 8.5]), rng.uniform(0.5, 2.0)))
    drafted = rough_drafts(Design(name="apart", collector=inlet, machines=machines))[0].design
    joins = {made.id: made.joins for made in drafted.runs}
    for found in assess(drafted).findings:
        assert (found.code, found.severity) != ("hose-short", "fault"), found
        assert found.code != "ducts-cross" or f"runs into {joins[found.where]}:" not in found.message, found


@pytest.mark.parametrize("seed", range(40))
def test_no_check_stumbles_over_random_ducts_and_rooms(seed):
    rng = Random(seed)
    design = random_design(rng, most_ports=20)
    ways = tuple(WAYS)
    runs = tuple(
        replace(
            made,
            toward=rng.choice(ways),
            pieces=tuple(replace(p, toward=rng.choice((*ways, None))) if isinstance(p, Elbow) else p for p in made.pieces),
        )
        for made in design.runs
    )
    some = [replace(made, **at(rng.uniform(-9, 9), rng.uniform(-9, 9))) if rng.random() < 0.7 else made for made in design.machines]
    site = replace(
        zone(rng.choice(["post", "door", "keep clear"]), -1.0, 1.0), room=rng.choice([(), SQUARE, NOTCHED]), height=rng.choice([None, si(2.5)])
    )
    design = replace(design, runs=runs, machines=tuple(some), site=site, collector=replace(design.collector, **at(0, 0, 2.0)))
    before = assess(design)
    moved = set_field(design, places.PieceAt(rng.randrange(len(runs)), 0), "length", si(rng.uniform(0.1, 9.0)))
    quick, fresh = assess(moved, before), assess(moved)
    assert [(f.code, f.where, f.message) for f in quick.findings] == [(f.code, f.where, f.message) for f in fresh.findings]


@pytest.mark.parametrize("seed", range(10))
def test_no_check_stumbles_over_drafts(seed):
    drafted = rough_drafts(random_shop(Random(seed)))[0].design
    assert mistakes(drafted) == () and assess(drafted).findings is not None


def test_what_stands_outside_the_walls_is_told_and_what_touches_them_is_not():
    def found(design):
        return {one.where for one in assess(design).findings if one.code == "outside-walls"}

    design = load(DEMOS / "signal_box.toml")
    assert found(design) == set()
    place = places.MachineAt(0)
    outside = edits.set_field(design, place, "east", si(60.0))
    assert found(outside) == {"planer/hood"}
    assert found(edits.set_field(design, places.COLLECTOR, "north", si(-30.0))) == {"collector"}
    bare = replace(design, site=replace(design.site, room=()))
    assert found(edits.set_field(bare, place, "east", si(60.0))) == set()
