"""Placement studies: where spots lie, what they are worth, how a study goes on, and how it is told. Shops are invented."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import islice, pairwise
from math import dist
from random import Random

import pytest

from engine.checks.assess import assess
from engine.design import Corner, Design, Machine, OwnLimit, Site, Zone, ports_of
from engine.design.rules.consistency import mistakes
from engine.report.searches.placement import as_json, as_text, cells_of, map_of
from engine.search.layouts.drafting import draft, rough_draft, task_of
from engine.search.layouts.shop import MOST_PORTS, shops_of
from engine.search.layouts.ways.layouts import best_by_mains
from engine.search.placement import NoStudy, order, placements
from engine.search.proposals import standing
from engine.search.spots import MOST_SPOTS
from engine.shapes.vectors import DIRECTIONS
from engine.space.geometry import space_of
from tests.shops.small_shops import at, collector, machine, q

OUTLINE = ((0, 0), (7, 0), (7, 3), (5, 3), (5, 5), (0, 5))
POST = Zone(name="post", west=q("2.2 m"), east=q("2.8 m"), south=q("2.2 m"), north=q("2.8 m"))


def placed(name: str, east: float, north: float, **rest) -> Machine:
    return replace(machine(name, **rest), **at(east, north))


def shop(*machines: Machine, site: Site | None = None, **place) -> Design:
    stood = machines or (placed("saw", 1.0, 3.0), placed("planer", 3.5, 3.5, needs=0.2), placed("lathe", 6.0, 1.5))
    stands = place or at(6.5, 0.5, 1.2)
    standing_at = replace(collector(), **stands)
    return Design(name="little shop", collector=standing_at, machines=stood, site=walled(OUTLINE) if site is None else site)


def walled(outline) -> Site:
    corners = tuple(Corner(east=q(f"{x} m"), north=q(f"{y} m")) for x, y in outline)
    return Site(height=q("2.8 m"), room=corners, zones=(POST,))


@pytest.fixture(scope="module")
def studied():
    return list(placements(shop(), spacing=1.5))


def test_spots_lie_within_the_walls_off_zones_and_off_machines(studied):
    grid = studied[-1].grid
    assert len(grid.easts) > 2 and all(b - a == pytest.approx(1.5) for a, b in pairwise(grid.easts))
    spots = grid.tried
    assert len(spots) == sum(map(sum, grid.free)) >= 6 and studied[-1].of == len(spots) + min(12, len(spots)) + 3
    for spot in spots:
        assert 0.4 <= spot.east <= 6.6 and 0.4 <= spot.north <= 4.6 and (spot.east < 4.7 or spot.north < 2.7)
        assert not (1.8 < spot.east < 3.2 and 1.8 < spot.north < 3.2)
        assert all(dist((spot.east, spot.north), there) >= 0.69 for there in ((1.0, 3.0), (3.5, 3.5), (6.0, 1.5)))


def test_where_it_is_said_where_the_collector_may_stand_no_other_spot_is_tried():
    sides = ((0.1, 1.9, 0.1, 0.4), (6.0, 6.4, 2.6, 2.8))
    stands = []
    for i, box in enumerate(sides):
        west, east, south, north = (q(f"{side} m") for side in box)
        stands.append(Zone(name=f"stand {i}", kind="collector place", west=west, east=east, south=south, north=north))
    site = walled(OUTLINE)
    *_, last = placements(shop(site=replace(site, zones=(POST, *stands))), spacing=1.5)
    spots = [(round(spot.east, 6), round(spot.north, 6)) for spot in last.grid.tried]
    assert (1.0, 0.25) in spots and (6.2, 2.7) in spots
    assert all(any(west <= east <= far and south <= north <= top for west, far, south, top in sides) for east, north in spots)


def test_every_step_is_one_spot_more_and_keeps_the_best_first(studied):
    assert [step.done for step in studied] == list(range(1, studied[-1].of + 1))
    spots = len(studied[-1].grid.tried)
    for step in studied:
        assert len(step.grid.tried) == min(step.done, spots) and 1 <= len(step.proposals) <= 3
    for step in studied[:spots]:
        best = step.proposals[0].design.collector
        first = min(step.grid.tried, key=order)
        assert (best.east.si, best.north.si, best.faces) == (first.east, first.north, first.faces)
    # The best spots are drafted anew in bores that are searched, and none gets worse by it.
    best, before = studied[-1].proposals[0].standing.rank, studied[spots - 1].proposals[0].standing.rank
    assert best.before_notes <= before.before_notes
    assert order(min(studied[-1].grid.tried, key=order)) < order(max(studied[-1].grid.tried, key=order))


def test_the_best_are_no_neighbours_and_sound_designs_whose_hoses_reach():
    *_, last = placements(shop(), spacing=1.0)
    found = last.proposals
    places = [(one.design.collector.east.si, one.design.collector.north.si) for one in found]
    assert len(found) == 3
    assert all(max(abs(a[0] - b[0]), abs(a[1] - b[1])) > 1.1 for i, a in enumerate(places) for b in places[:i])
    for one in found:
        assert mistakes(one.design) == () and {run.ends for run in one.design.runs if run.ends} == set(ports_of(one.design))
        assert all(gap.distance <= gap.hose for gap in space_of(one.design).gaps.values())
        assert one.design.collector.up == q("1.2 m")
        assert "of duct" in one.reason and "today" in one.reason and f"facing {one.design.collector.faces}" in one.title


def test_todays_spot_is_drafted_too_facing_as_it_does():
    facing = shop(**at(6.5, 0.5, 1.2), faces="west")
    today = next(placements(facing, spacing=2.0)).today
    assert (today.east, today.north, today.faces) == (6.5, 0.5, "west")
    assert today.standing.rank.before_notes >= standing(assess(draft(facing))).rank.before_notes
    assert next(placements(replace(facing, collector=collector()), spacing=2.0)).today is None


def test_a_study_knows_from_what_share_of_its_need_the_shop_finds_a_machine_short():
    own = replace(shop(), limits=(OwnLimit(of="starved-machine.tolerance", is_="0.8", reason="a small saw"),))
    assert [next(placements(one, spacing=2.0)).tolerated for one in (shop(), own)] == [0.9, 0.8]


def test_the_likeliest_spots_come_first_and_a_study_can_be_left(studied):
    ways = [max(step.grid.tried, key=lambda spot: spot.longest + spot.total / 3) for step in studied]
    assert all(a.longest + a.total / 3 <= b.longest + b.total / 3 + 1e-9 for a, b in pairwise(ways))
    search = placements(shop(), spacing=1.0)
    some = list(islice(search, 2))
    search.close()
    assert [step.done for step in some] == [1, 2] and next(search, None) is None


@pytest.mark.parametrize("seed", range(3))
def test_no_layout_of_any_heading_would_have_been_better_from_a_spot(seed):
    rng = Random(seed)
    stood = [placed(f"m{i}", rng.uniform(0.8, 4.5), rng.uniform(0.8, 4.5), needs=rng.uniform(0.1, 0.4)) for i in range(4)]
    design = shop(*stood, **at(rng.uniform(1, 6), 0.5, 1.2))
    spot = next(placements(design, spacing=2.0)).grid.tried[0]
    made, *_ = shops_of(replace(design, collector=replace(design.collector, **at(spot.east, spot.north, 1.2))))
    plans = [plan for faces in DIRECTIONS[:4] for plan in best_by_mains(task_of(made), [faces])]
    least = min(plan.effort for plan in plans)
    for mains in (1, 2):
        short = [plan for plan in plans if plan.kind.mains == mains and plan.effort <= 1.15 * least]
        if short:
            one = rough_draft(made, min(short, key=lambda plan: plan.effort))
            assert (spot.troubled, spot.standing.rank.before_notes) <= (one.troubled, one.standing.rank.before_notes)


def test_a_mirrored_shop_has_the_mirrored_scores():
    site = Site()
    machines = [placed("saw", 1.0, 0.5), placed("planer", 3.0, 2.5, needs=0.2), placed("lathe", 5.0, 1.0)]
    mirrored = [replace(one, east=q(f"{6.0 - one.east.si} m")) for one in machines]
    ahead, back = (list(placements(shop(*some, site=site, **at(3.0, 0.0, 1.0)), spacing=2.0))[-1] for some in (machines, mirrored))
    scores = {(round(spot.east, 3), round(spot.north, 3)): spot for spot in ahead.grid.tried}
    assert len(scores) == len(back.grid.tried) > 3
    for spot in back.grid.tried:
        other = scores[round(6.0 - spot.east, 3), round(spot.north, 3)]
        assert spot.length == pytest.approx(other.length, abs=0.05)
        assert spot.standing.share == pytest.approx(other.standing.share, abs=0.01)


def test_the_middles_are_those_of_the_machines(studied):
    study = studied[-1]
    assert study.total_along.at == (3.5, 3.0) and study.total_along.way == pytest.approx(5 + 2)
    assert study.longest.at == pytest.approx((3.5, 2.25)) and study.longest.way == pytest.approx(dist((1, 3), (6, 1.5)) / 2)
    assert study.total.way <= study.total_along.way


def test_a_collector_whose_inlet_faces_up_keeps_facing_up():
    study = next(placements(shop(**at(6.5, 0.5, 0.9), faces="up"), spacing=2.0))
    assert study.today.faces == "up" and {spot.faces for spot in study.grid.tried} == {"up"}


@pytest.mark.parametrize(
    ("design", "spacing", "words"),
    [
        (shop(Machine(id="bench", **at(1, 1))), 1.0, "no machine has a port: there is nothing to lay out"),
        (shop(*(placed(f"m{i}", 1.0, 3.0) for i in range(MOST_PORTS + 1))), 1.0, "201 ports: ducts are drafted for at most 200"),
        (shop(), 0.05, f"more than {MOST_SPOTS} spots"),
        (shop(site=walled(((0, 0), (0.5, 0), (0.5, 0.5), (0, 0.5)))), 1.0, "no spot"),
    ],
)
def test_what_there_is_nothing_to_study_in(design, spacing, words):
    with pytest.raises(NoStudy, match=words):
        placements(design, spacing=spacing)


# ---- told


def test_the_map_shows_spots_machines_today_and_the_best(studied):
    cells = cells_of(shop(), studied[-1])
    flat = [cell for row in cells for cell in row]
    best = {str(number) for number in range(1, len(studied[-1].proposals) + 1)}
    assert {*best, "m", "T"} <= set(flat) <= set("123mT.abcde ")
    rows = map_of(shop(), studied[-1])
    assert len(rows) == len(studied[-1].grid.norths) + 1
    assert [float(row.split()[0]) for row in rows[:-1]] == sorted((round(north, 1) for north in studied[-1].grid.norths), reverse=True)


@pytest.mark.parametrize("count", [3, 19, 50, 200])
def test_a_map_of_any_width_fits(studied, count):
    grid = studied[-1].grid
    easts = tuple(float(i) for i in range(count))
    wide = replace(grid, easts=easts, spots=tuple((None,) * count for _ in grid.norths), free=tuple((True,) * count for _ in grid.norths))
    assert max(map(len, map_of(shop(), replace(studied[-1], grid=wide)))) <= 80


def test_as_text_and_as_json(studied):
    text = as_text(shop(), studied[-1])
    assert max(map(len, text.splitlines())) <= 80 and "\n1. collector at" in text and "Least total way" in text
    told = json.loads(as_json(shop(), studied[-1]))
    assert len(told["grid"]["spots"]) == len(studied[-1].grid.tried) and told["best"][0]["standing"]["share"] > 0
    assert told["grid"]["spots"][0]["east"] == pytest.approx(told["best"][0]["east"])
