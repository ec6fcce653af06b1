"""What an installer looks at: risers, drops beside machines, room for fittings, the shop's own limits. Shops are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.checks.assess import assess
from engine.design import Body, Design, Hose, Machine, OwnLimit, Stock, StockSize, Straight
from engine.search.layouts.drafting import make_draft, task_of
from engine.search.layouts.shop import shops_of
from engine.search.layouts.ways.layouts import best_of_each
from engine.shapes.clearance import enters, wider
from engine.space.geometry import space_of
from engine.space.on_floor import body_of
from tests.shops.bare_shops import COLLECTOR, KINDS, rough_drafts
from tests.shops.laid_shops import box, in_line, room
from tests.shops.small_shops import at, q


def placed(*machines: Machine, **rest) -> Design:
    return Design(name="shop", collector=replace(COLLECTOR, **at(0.6, 0.5, 1.0)), machines=machines, **rest)


def level_at_heads(design: Design) -> float:
    """Metres of rigid duct that hang level below 2 m, beyond the straight before the first elbow."""
    found, pieces = 0.0, {run.id: run.pieces for run in design.runs}
    for run, way in space_of(design).ways.items():
        for i, stretch in enumerate(way.stretches):
            level = isinstance(pieces[run][stretch.piece], Straight) and abs(stretch.before[2]) < 0.1
            found += stretch.length if level and stretch.start[2] < 2.0 and (run, i) != ("main", 0) else 0.0
    return found


def test_a_main_rises_at_the_collector_and_not_across_the_floor():
    machines = [replace(one, north=q("4.5 m")) for one in in_line(4)]
    for one in rough_drafts(placed(*machines, site=room(12, 6, 3.0))):
        assert level_at_heads(one.design) == pytest.approx(0.0, abs=0.05), one.title


def test_a_way_that_is_free_is_found_behind_many_that_are_not():
    """A door's rails under the ceiling lie across the straight way."""
    rails = box("door open", 3.6, 6.7, 0.0, 2.4, bottom=2.4, top=2.85)
    spots = ((2.4, 5.5), (3.7, 2.4), (4.3, 6.1), (6.7, 5.5), (6.7, 3.7))
    machines = tuple(Machine(id=f"machine {i}", ports=KINDS[0].ports, **at(*spot)) for i, spot in enumerate(spots))
    shop = Design(name="rails", collector=replace(COLLECTOR, **at(8.5, 0.9, 1.0)), machines=machines, site=room(9.1, 7.3, 2.9, (rails,)))
    first, *_ = best_of_each(task_of(shops_of(shop)[0]))
    assert first.barred == 0.0


def cabinet(up: float, **place) -> Machine:
    size = Body(east=q("0.8 m"), north=q("0.7 m"), up=q("1.4 m"))
    return Machine(id="band saw", ports=KINDS[0].ports, size=size, **(at(4.0, 3.0, up) | place))


@pytest.mark.parametrize(("up", "beside"), [(0.5, True), (1.6, False)])
def test_a_drop_comes_down_beside_its_machine_and_not_through_it(up, beside):
    machine = cabinet(up)
    body = body_of(machine)
    for one in rough_drafts(placed(machine, *in_line(2), site=room(9, 6, 3.0))):
        (run,) = (run for run in one.design.runs if run.ends and run.ends.startswith("band saw"))
        space = space_of(one.design)
        rigid = [stretch for stretch in space.ways[run.id].stretches if not isinstance(run.pieces[stretch.piece], Hose)]
        assert not any(enters(stretch.start, stretch.end, body) for stretch in rigid)
        foot, gap = rigid[-1].end, space.gaps[run.ends]
        assert (foot[:2] != pytest.approx((4.0, 3.0), abs=0.3)) == beside
        assert gap.distance <= gap.hose <= 1.0


def test_no_duct_goes_through_a_machine_that_it_does_not_lead_to():
    tall = Machine(id="cupboard", size=Body(east=q("3 m"), north=q("0.6 m"), up=q("2.9 m")), **at(4.0, 2.2))
    shop = placed(tall, *(replace(one, north=q("4 m")) for one in in_line(3)), site=room(10, 6, 3.0))
    first, *_ = rough_drafts(shop)
    wall = wider(body_of(tall), 0.04)
    assert first.plan.barred == 0.0
    assert not any(enters(a.start, a.end, wall) for way in space_of(first.design).ways.values() for a in way.stretches)


def test_fittings_have_room_in_the_bores_that_are_found():
    sizes = tuple(StockSize(nominal=f"{mm}", bore=q(f"{mm} mm", "bore"), price=mm / 10) for mm in (80, 100, 125, 140, 160))
    stock = Stock(id="pipe", kind="pipe", material="galvanised spiral", sizes=sizes)
    kinds = [KINDS[i % len(KINDS)] for i in range(4)]
    machines = [Machine(id=f"machine {i}", ports=kind.ports, **at(1.5 + 0.9 * i, 2.0 + i % 2)) for i, kind in enumerate(kinds)]
    (shop,) = shops_of(placed(*machines, stock=(stock,)))
    for plan in best_of_each(task_of(shop)):
        codes = {finding.code for finding in make_draft(shop, plan).assessment.findings}
        assert not {"short-straight", "inlet-elbow"} & codes, plan.title


def test_the_shop_s_own_limits_are_kept():
    def longest(design: Design) -> float:
        return max(piece.length.si for one in rough_drafts(design) for run in one.design.runs for piece in run.pieces if isinstance(piece, Hose))

    shop = placed(cabinet(0.5), *in_line(3), site=room(9, 6, 3.0))
    given = (("long-hose.good", "0.6 m"), ("inlet-elbow.bores", "10"), ("no-cleanout.spacing", "2 m"))
    own = replace(shop, limits=tuple(OwnLimit(of=of, is_=is_, reason="the shop's own") for of, is_ in given))
    assert longest(own) <= 0.6 < longest(shop)
    found = {finding.code for one in rough_drafts(own) for finding in assess(one.design).findings}
    assert not {"long-hose", "inlet-elbow", "hose-short", "no-cleanout"} & found
