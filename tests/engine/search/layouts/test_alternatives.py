"""Layouts to choose from, in rooms with walls, zones and ceilings. Shops are invented."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from engine.checks.assess import assess
from engine.design import Cleanout, Design, Gate, Hose, Machine, Site, Stock, StockSize, Straight
from engine.search.layouts.drafting import draft, floor_points, on_floor
from engine.search.layouts.proposing import drafts
from engine.search.layouts.ways.steiner import least_length, steiner_length
from engine.space.geometry import space_of
from tests.shops.bare_shops import COLLECTOR, KINDS
from tests.shops.laid_shops import alternatives, box, drafted, in_line, room
from tests.shops.small_shops import at, q


def lines_of(design: Design) -> list[tuple[tuple, tuple]]:
    """Every stretch of rigid pipe, from end to end."""
    pieces_of = {run.id: run.pieces for run in design.runs}
    return [
        (stretch.start, stretch.end)
        for run, way in space_of(design).ways.items() for stretch in way.stretches
        if not isinstance(pieces_of[run][stretch.piece], Hose)
    ]  # fmt: skip


def test_one_main_and_two_from_a_y_are_both_offered_with_reasons():
    found = alternatives(*in_line(5))
    titles = [one.title for one in found]
    assert any(title.startswith("one main") for title in titles) and any(title.startswith("two mains from a Y") for title in titles)
    assert len({one.design.runs for one in found}) == len(found) >= 2
    assert all("of duct; seen from above" in one.reason and "of its need in" in one.reason for one in found)


def test_draft_takes_the_first_of_the_alternatives_and_better_ones_come_first():
    found = alternatives(*in_line(5))
    assert draft(found[0].design) == found[0].design
    over_heads = [one.standing for one in found if "benches" not in one.title]
    assert [standing.rank.before_notes for standing in over_heads] == sorted(standing.rank.before_notes for standing in over_heads)


def test_no_pipe_goes_through_walls_ceiling_or_zones_where_there_is_a_way_round():
    machines = [Machine(id=f"machine {i}", ports=KINDS[0].ports, **at(3.0 + 2.0 * i, 2.5)) for i in range(4)]
    store, door = box("store", 4.0, 8.0, 3.4, 6.0), box("door", 0.9, 2.5, 0.0, 0.7, top=2.0)
    found = alternatives(*machines, site=room(12, 6, 2.6, (store, door)))
    assert len(found) >= 2
    for one in found:
        assert "behind a wall" not in one.reason
        for start, end in lines_of(one.design):
            for share in (0.0, 0.25, 0.5, 0.75, 1.0):
                east, north, up = (a + share * (b - a) for a, b in zip(start, end, strict=True))
                assert 0 <= east <= 12 and 0 <= north <= 6 and up <= 2.6, one.title
                assert not (4.0 < east < 8.0 and 3.4 < north < 6.0), one.title
                assert not (0.9 < east < 2.5 and 0.0 < north < 0.7 and up < 2.0), one.title


def test_what_lies_in_the_way_is_said_where_nothing_leads_round_it():
    walled_off = box("closed room", 2.0, 2.5, -1.0, 7.0)
    found = alternatives(Machine(id="saw", ports=KINDS[0].ports, **at(5.0, 3.0)), site=room(12, 6, 3.0, (walled_off,)))
    assert found and all("lie behind a wall, above the ceiling or in a zone" in one.reason for one in found)


def test_a_main_goes_along_the_wall_where_one_is_asked_of_a_room():
    machines = [Machine(id=f"machine {i}", ports=KINDS[0].ports, **at(2.5 + 2.0 * i, 2.0)) for i in range(4)]
    by_wall = [one for one in alternatives(*machines, site=room(12, 4)) if "along the" in one.title and "wall" in one.title]
    assert by_wall
    for one in by_wall:
        ways = space_of(one.design).ways
        main = max((ways[run.id] for run in one.design.runs if run.id.startswith("main")), key=lambda way: way.length)
        east, north, _ = main.end
        assert min(north, 4 - north, east, 12 - east) < 0.6


def test_a_low_ceiling_brings_the_main_down():
    site = room(12, 6, 2.0)
    for one in alternatives(*in_line(3), site=site):
        assert max(point[2] for line in lines_of(one.design) for point in line) < 2.0
        assert "mind heads" in one.reason or "under the benches" in one.title
    assert not any("mind heads" in one.reason for one in alternatives(*in_line(3)))


def test_a_main_under_the_benches_is_offered_only_where_the_owner_wants_one_and_ports_are_high_enough():
    high, low = ([replace(machine, up=q(up)) for machine in in_line(4)] for up in ("0.9 m", "0.2 m"))
    titles = [one.title for one in alternatives(*high, site=Site(mains="any"))]
    assert any("under the benches" in title for title in titles[1:]) and "under the benches" not in titles[0]
    assert all("under the benches" in one.title for one in alternatives(*high, site=Site(mains="under benches")))
    assert not any("under the benches" in one.title for one in (*alternatives(*low, site=Site(mains="under benches")), *alternatives(*high)))


def test_every_pipe_of_the_store_is_drafted():
    def stock(name: str, material: str, price: float) -> Stock:
        sizes = tuple(StockSize(nominal=str(mm), bore=q(f"{mm} mm", "bore"), price=price * mm) for mm in (100, 125, 160))
        return Stock(id=name, kind="pipe", material=material, sizes=sizes)

    found = alternatives(*in_line(2), stock=(stock("spiral", "galvanised spiral", 0.1), stock("drain", "PVC", 0.05)))
    assert {title.rsplit(", in ", 1)[1] for title in (one.title for one in found)} == {"spiral", "drain"}
    assert any("drain cannot be earthed" in one.reason for one in found)


def test_a_lid_at_least_every_twelve_feet_of_main():
    for one in alternatives(*in_line(9)):
        design = one.design
        assert not any("far end of a main" in found.message or "level main" in found.message for found in assess(design).findings)
        since: dict[str, float] = {"collector": 0.0}
        for run in design.runs:
            if not run.id.startswith("main"):
                continue
            length = since[run.joins]
            for piece in run.pieces:
                length = 0.0 if isinstance(piece, Cleanout) else length + (piece.length.si if isinstance(piece, Straight) else 0.0)
                assert length <= 12 * 0.3048 + 1e-9
            since[run.id] = length


def test_a_low_point_of_the_way_has_lids():
    sagging = replace(COLLECTOR, **at(0.4, 0.4, 2.9), faces="down")
    *_, last = drafts(Design(name="shop", collector=sagging, machines=tuple(in_line(3))))
    for one in last.proposals:
        if "benches" not in one.title:
            assert "no-cleanout" not in {finding.code for finding in assess(one.design).findings}, one.title


def test_ports_that_lie_apart_get_branches_and_gates_of_their_own():
    near, far = replace(KINDS[0].ports[0], id="top"), replace(KINDS[0].ports[0], id="rear", **at(6.0, 3.0, 0.5))
    design = drafted(Machine(id="saw", ports=(near, far), **at(3.0, 2.0)))
    assert sum(isinstance(piece, Gate) for run in design.runs for piece in run.pieces) == 2
    gaps = space_of(design).gaps
    assert set(gaps) == {"saw/top", "saw/rear"} and all(gap.distance <= gap.hose for gap in gaps.values())
    alone = next(result for result in assess(design).sets if result.gate_set.open == ("saw",))
    assert sorted(alone.open_ports) == ["saw/rear", "saw/top"]


@pytest.mark.parametrize("seed", range(8))
def test_no_draft_needs_less_duct_on_the_floor_than_can_be(seed):
    rng = Random(seed)
    spots = [(rng.uniform(1, 9), rng.uniform(1, 7)) for _ in range(rng.randint(1, 4))]
    machines = [Machine(id=f"machine {i}", ports=KINDS[0].ports, **at(*spot)) for i, spot in enumerate(spots)]
    shop = Design(name="shop", collector=replace(COLLECTOR, **at(0, 0, 1.0)), machines=tuple(machines))
    *_, last = drafts(shop)
    least = steiner_length([(0.0, 0.0), *((machine.east.si, machine.north.si) for machine in machines)])
    assert least_length(floor_points(shop)) == (pytest.approx(least), True)
    for one in last.proposals:
        space = space_of(one.design)
        if all(gap.distance <= gap.hose for gap in space.gaps.values()):
            assert on_floor(space, one.design) >= least - 0.05
