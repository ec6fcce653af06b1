"""How a draft is laid out: mains, branches, drops, gates, and what is filled in. Shops are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.design import Design, Elbow, Gate, Hose, Machine, Site, Straight, children_of, joins_as
from engine.design.rules.consistency import mistakes
from engine.space.geometry import space_of
from tests.shops.bare_shops import COLLECTOR, KINDS, rough_drafts
from tests.shops.laid_shops import drafted, in_line
from tests.shops.small_shops import at, q


def test_one_main_serves_the_nearest_machine_first_and_ends_in_the_last():
    design = drafted(*in_line(4))
    assert [run.id for run in design.runs if run.id.startswith("main")] == ["main", "main 2", "main 3"]
    ends = [[(joined.ends, joins_as(joined)) for joined in children_of(design)[name] if joined.ends] for name in ("main", "main 2", "main 3")]
    branches = [[(f"machine {i}/hood", "branch")] for i in range(3)]
    assert ends == [*branches[:2], [*branches[2], ("machine 3/hood", "straight")]]


def test_a_branch_leaves_at_45_deg_with_its_gate_first_where_a_hand_reaches_it_an_elbow_down_and_a_short_hose():
    design = drafted(*in_line(3), site=Site(height=q("2.1 m")))
    drops = [run for run in design.runs if run.ends]
    assert len(drops) == 3
    for run in drops:
        assert (joins_as(run) == "branch" and run.angle.text == "45 deg") or run is drops[-1]
        assert isinstance(run.pieces[0], Gate) and isinstance(run.pieces[-1], Hose)
        assert any(isinstance(piece, Elbow) and piece.toward == "down" for piece in run.pieces)
        assert run.pieces[-1].length.si <= 1.0


def test_under_a_high_ceiling_a_gate_stands_at_the_height_of_a_hand():
    design = drafted(*in_line(3), site=Site(height=q("3.6 m")))
    space = space_of(design)
    assert max(way.box.high[2] for way in space.ways.values()) > 3.4
    for run in design.runs:
        for i, piece in enumerate(run.pieces):
            if isinstance(piece, Gate):
                assert space.ways[run.id].stretches[i].start[2] == pytest.approx(1.5, abs=0.02)


def test_machines_to_both_sides_get_an_arm_each_from_a_y():
    ahead, behind = Machine(id="a", ports=KINDS[0].ports, **at(4, 1)), Machine(id="b", ports=KINDS[0].ports, **at(-5, 1))
    design = drafted(ahead, behind)
    assert [(run.id, joins_as(run), run.toward) for run in design.runs if run.joins == "main"] == [
        ("a drop", "leg", "east"), ("b drop", "leg", "west"),
    ]  # fmt: skip


def test_a_riser_leads_up_to_the_ceiling_behind_the_straight_that_the_inlet_wants():
    for one in rough_drafts(
        Design(name="shop", collector=replace(COLLECTOR, **at(0, 0, 1.0)), machines=tuple(in_line(3)), site=Site(height=q("3 m")))
    ):
        first, *_ = one.design.runs
        straight, elbow, *_ = first.pieces
        assert straight.length.si >= 6 * one.shop.main.bore and elbow.toward == "up"
        assert one.plan.height == pytest.approx(3.0 - one.shop.main.bore / 2 - 0.05)


def test_a_machine_of_several_ports_has_one_gate_and_a_run_for_each_port():
    ports = tuple(replace(KINDS[0].ports[0], id=name) for name in ("left", "middle", "right"))
    design = drafted(Machine(id="sander", ports=ports, **at(3, 2)))
    assert sum(isinstance(piece, Gate) for run in design.runs for piece in run.pieces) == 1
    assert {run.ends for run in design.runs if run.ends} == {"sander/left", "sander/middle", "sander/right"}


def test_a_guard_over_its_saw_leaves_the_drop_above_and_where_the_owner_says_so_each_port_has_its_own():
    cabinet, guard = (
        replace(KINDS[0].ports[0], id=name, **at(3.0 + aside, 2.0, up)) for name, aside, up in (("cabinet", 0.0, 0.6), ("guard", 0.3, 1.3))
    )
    saw = Machine(id="saw", ports=(cabinet, guard), **at(3, 2))
    design = drafted(saw)
    gaps, runs = space_of(design).gaps, {run.ends: run for run in design.runs if run.ends}
    assert runs["saw/guard"].joins == runs["saw/cabinet"].joins == "saw drop" and joins_as(runs["saw/guard"]) == "branch"
    assert sum(isinstance(piece, Gate) for run in design.runs for piece in run.pieces) == 1
    assert all(gap.distance <= gap.hose for gap in gaps.values())
    apart = drafted(replace(saw, shared_drop=False))
    assert sum(isinstance(piece, Gate) for run in apart.runs for piece in run.pieces) == 2


def test_the_main_runs_along_the_axis_of_the_larger_spread():
    machines = [Machine(id=f"machine {i}", ports=KINDS[0].ports, **at(1.0, 2.0 * (i + 1))) for i in range(4)]
    main = next(run for run in drafted(*machines).runs if run.id == "main 3")
    (straight,) = (piece for piece in main.pieces if isinstance(piece, Straight))
    assert straight.length.si == pytest.approx(2.0, abs=0.01)


def test_unplaced_machines_are_spaced_along_a_wall_and_placed_ones_stay():
    placed = Machine(id="placed", ports=KINDS[0].ports, **at(5.0, 3.0))
    design = drafted(placed, *(Machine(id=name, ports=KINDS[0].ports) for name in "ab"))
    assert design.machines[0] == placed
    assert [(m.east.text, m.north.text, m.up.text) for m in design.machines[1:]] == [("6.5 m", "1 m", "0.8 m"), ("8 m", "1 m", "0.8 m")]


def test_a_machine_without_ports_is_left_out_and_no_machine_gives_no_ducts():
    assert drafted(Machine(id="bench")).runs == ()
    design = drafted(Machine(id="bench"), *in_line(1))
    assert mistakes(design) == () and [run.ends for run in design.runs if run.ends] == ["machine 0/hood"]


def test_names_that_clash_are_told_apart():
    names = ("main", "collector", "x", "x drop", "y" * 80, "y" * 79 + "z")
    machines = tuple(Machine(id=name, ports=KINDS[5].ports, **at(2.0 * i + 2, 1)) for i, name in enumerate(names))
    placed = replace(COLLECTOR, **at(0, 0, 1.0))
    assert all(mistakes(one.design) == () for one in rough_drafts(Design(name="shop", collector=placed, machines=machines)))
