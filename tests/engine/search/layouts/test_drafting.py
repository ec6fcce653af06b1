"""First layouts over random shops: consistent, solvable, every port reached, and closed in space. Shops are invented."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, cos, dist, sqrt, tan
from random import Random

import pytest

from engine.checks.assess import assess
from engine.design import (
    Cleanout,
    Corner,
    Design,
    Elbow,
    Gate,
    GateSet,
    Hose,
    Machine,
    Site,
    Stock,
    StockSize,
    Straight,
    Zone,
    children_of,
    joins_as,
    ports_of,
    stock_sizes,
)  # fmt: skip
from engine.design.rules.consistency import mistakes
from engine.files import design_file
from engine.search.layouts.drafting import NOTE, draft, floor_points, on_floor
from engine.search.layouts.proposing import drafts, reason_of
from engine.search.layouts.shop import MOST_PORTS, why_no_ducts
from engine.search.layouts.sizes.draft_sizes import pipe_sizes, size_for, working_flow
from engine.search.layouts.ways.route_pieces import pieces
from engine.search.layouts.ways.steiner import least_length, steiner_length
from engine.shapes.vectors import DIRECTIONS
from engine.space.geometry import space_of
from tests.shops.bare_shops import COLLECTOR, KINDS, random_shop, rough_drafts
from tests.shops.small_shops import at, machine, q

WAYS = dict(zip(DIRECTIONS, [(0, 1, 0), (0, -1, 0), (1, 0, 0), (-1, 0, 0), (0, 0, 1), (0, 0, -1)], strict=True))

# ---- walking along the ducts, as a fitter would


def turned(way: tuple, angle: float, toward: str) -> tuple:
    """A direction after a turn of 45 or 90 deg toward another."""
    aim = WAYS[toward]
    if angle > 1.0 or max(map(abs, way)) < 0.99:
        return aim
    return tuple((a + b) / sqrt(2) for a, b in zip(way, aim, strict=True))


def moved(point: tuple, way: tuple, by: float) -> tuple:
    return tuple(a + by * b for a, b in zip(point, way, strict=True))


def ends_of(design: Design) -> dict[str, tuple[tuple, float, float]]:
    """Machine port -> (where its pipe ends, length of its hose, length of the whole way from the collector)."""
    sizes, known, found = stock_sizes(design), {}, {}
    inlet = design.collector
    known["collector"] = ((inlet.east.si, inlet.north.si, inlet.up.si), WAYS[inlet.faces], 0.0)
    for run in design.runs:
        point, way, length = known[run.joins]
        stock, size = sizes[run.size]
        bend = (stock.elbow_radius or 1.5) * size.bore.si
        if joins_as(run) != "straight" and run.toward:
            way = turned(way, run.angle.si, run.toward)
        spanned = 0.0
        for piece in run.pieces:
            match piece:
                case Straight():
                    point, length = moved(point, way, piece.length.si), length + piece.length.si
                case Elbow():
                    onward = turned(way, piece.angle.si, piece.toward)
                    taken = bend * tan(piece.angle.si / 2)
                    assert sum(a * b for a, b in zip(way, onward, strict=True)) == pytest.approx(cos(piece.angle.si), abs=1e-6)
                    point, way = moved(moved(point, way, taken), onward, taken), onward
                    length += bend * piece.angle.si
                case Hose():
                    spanned += piece.length.si
        known[run.id] = (point, way, length)
        if run.ends:
            found[run.ends] = (point, spanned, length + spanned)
    return found


def place_of(design: Design, port: str) -> tuple:
    placed = ports_of(design)[port][0]
    return (placed.east.si, placed.north.si, placed.up.si)


# ---- over random shops


@pytest.mark.parametrize("seed", range(16))
def test_every_shop_gets_sound_drafts(seed):
    for one in rough_drafts(random_shop(Random(seed), most=14)):
        made, reason = one.design, reason_of(one, 0.0, exact=True)
        assert mistakes(made) == ()
        assert sorted(run.ends for run in made.runs if run.ends) == sorted(ports_of(made))
        assert NOTE in made.notes
        found = assess(made)
        assert all(result.balance is not None and result.balance.flow > 0 for result in found.sets)
        assert {result.gate_set.name for result in found.sets} == {one.name for one in made.gate_sets}
        codes = {finding.code for finding in found.findings}
        unwanted = {"square-tee", "blunt-taper", "wider-outward", "long-hose", "no-duct", "no-gate", "inlet-elbow", "hose-mismatch", "bottom-entry"}
        assert not unwanted & codes
        # A gate stands near the joint where a hand reaches it there.
        assert "dead-leg" not in codes or one.plan.height > 2.0
        assert not any(finding.code == "crowded-fittings" and finding.severity == "caution" for finding in found.findings)
        assert ("must be led over or under it" in reason) == ("ducts-cross" in codes)
        assert ("no hose of good length reaches" in reason) == any(gap.distance > gap.hose + 0.05 for gap in space_of(made).gaps.values())
        inlet = (made.collector.east.si, made.collector.north.si, made.collector.up.si)
        for port, (_, spanned, length) in ends_of(made).items():
            assert 0.2 < spanned <= 1.0
            assert length >= dist(inlet, place_of(made, port)) - 0.1, port
        assert design_file.loads(design_file.dumps(made)) == made


@pytest.mark.parametrize("seed", [3, 7])
def test_bores_are_searched_and_the_best_come_first(seed):
    shop = random_shop(Random(seed), most=4)
    *_, last = drafts(shop)
    rough, *_ = rough_drafts(shop)
    assert last.proposals[0].standing.rank <= rough.standing.rank
    assert mistakes(last.proposals[0].design) == () and last.done == last.of


@pytest.mark.parametrize("seed", range(16))
def test_hoses_reach_where_machines_stand_apart(seed):
    rng = Random(seed)
    spots = rng.sample([(2.0 * east, 2.4 * north) for east in range(1, 8) for north in range(1, 4)], rng.randint(1, 7))
    kinds = [rng.choice(KINDS) for _ in spots]
    machines = tuple(
        Machine(id=f"machine {i}", ports=kind.ports, **at(east + rng.uniform(0, 0.4), north + rng.uniform(0, 0.4)))
        for i, ((east, north), kind) in enumerate(zip(spots, kinds, strict=True))
    )
    placed = replace(COLLECTOR, **at(rng.uniform(0, 16), rng.choice([0.3, 8.5]), rng.uniform(0.5, 2.0)))
    made = draft(Design(name="apart", collector=placed, machines=machines))
    space = space_of(made)
    assert set(space.gaps) == set(ports_of(made))
    for port, (end, spanned, _) in ends_of(made).items():
        assert dist(end, place_of(made, port)) <= spanned + 0.01, port
        assert space.gaps[port].distance <= space.gaps[port].hose, port


# ---- how it is laid out


def drafted(*machines: Machine, **rest) -> Design:
    return draft(Design(name="shop", collector=replace(COLLECTOR, **at(0, 0, 1.0)), machines=machines, **rest))


def in_line(count: int) -> list[Machine]:
    return [Machine(id=f"machine {i}", ports=KINDS[0].ports, **at(2.0 * (i + 1), 1.0)) for i in reversed(range(count))]


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
    assert mistakes(drafted(*machines)) == ()


# ---- alternatives


def alternatives(*machines: Machine, **rest):
    shop = Design(name="shop", collector=replace(COLLECTOR, **at(0.4, 0.4, 1.0)), machines=machines, **rest)
    *_, last = drafts(shop)
    return last.proposals


def room(east: float, north: float, height: float = 3.0, zones: tuple[Zone, ...] = ()) -> Site:
    spots = ((0, 0), (east, 0), (east, north), (0, north))
    return Site(height=q(f"{height} m"), room=tuple(Corner(east=q(f"{x} m"), north=q(f"{y} m")) for x, y in spots), zones=zones)


def box(name: str, west: float, east: float, south: float, north: float, **rest) -> Zone:
    sides = dict(west=west, east=east, south=south, north=north, **rest)
    return Zone(name=name, **{side: q(f"{value} m") for side, value in sides.items()})


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


# ---- bores


def sizes_of(*bores: int):
    rows = tuple(StockSize(nominal=str(bore), bore=q(f"{bore} mm", "bore")) for bore in bores)
    stock = Stock(id="pipe", kind="pipe", material="PVC", sizes=rows)
    return pipe_sizes(stock)


@pytest.mark.parametrize(
    ("flow", "bores", "taken"),
    [
        # TRGS 553 Annex 2 (2022): flow and bore at 20 m/s, rounded in print; the 2008 text takes 125 for 120.
        ("820 m3/h", (100, 120, 140), 120), ("560 m3/h", (80, 100, 120), 100), ("1450 m3/h", (125, 160, 180), 160),
        ("820 m3/h", (100, 125, 160), 125), ("1110 m3/h", (125, 150), 125),
        # Judgement: none in the window, then the next smaller; none fast enough, then the narrowest.
        ("820 m3/h", (80, 160), 80), ("100 m3/h", (100, 125), 100), ("0 m3/h", (100, 125), 100),
    ],
)  # fmt: skip
def test_a_branch_takes_the_size_nearest_above_the_slow_speed(flow, bores, taken):
    assert size_for(q(flow, "flow").si, sizes_of(*bores), slow=20.0, fast=28.0).bore == pytest.approx(taken / 1000)


def test_the_main_is_sized_for_the_largest_machine_beyond_in_the_least_company_it_works_in():
    needs = {"a": 0.1, "b": 0.2, "c": 0.3}
    design = Design(name="shop", collector=COLLECTOR, machines=tuple(machine(name, needs=flow) for name, flow in needs.items()))
    ab, bc = {"a": 0.1, "b": 0.2}, {"b": 0.2, "c": 0.3}
    assert working_flow(design, ab) == pytest.approx(0.2)
    together = replace(design, gate_sets=(GateSet(name="ab", open=("a", "b")), GateSet(name="c", open=("c",))))
    assert working_flow(together, ab) == pytest.approx(0.3)
    assert working_flow(replace(together, gate_sets=(*together.gate_sets, GateSet(name="b", open=("b",)))), ab) == pytest.approx(0.3)
    assert working_flow(together, bc) == pytest.approx(0.3)


def test_sizes_that_the_store_has_not_are_not_taken():
    rows = (StockSize(nominal="100", bore=q("100 mm", "bore")), StockSize(nominal="125", bore=q("125 mm", "bore"), in_store=False))
    design = drafted(*in_line(2), stock=(Stock(id="pipe", kind="pipe", material="PVC", sizes=rows),))
    assert {run.size for run in design.runs} == {"pipe/100"}


def test_long_ways_are_cut_into_lengths_that_a_design_takes():
    made = pieces([(0.0, 0.0, 0.0), (1200.0, 0.0, 0.0)], 0.15, "metric")
    assert len(made) == 3 and sum(piece.length.si for piece in made) == pytest.approx(1200.0, abs=0.02)
    far = drafted(Machine(id="far", ports=KINDS[0].ports, **at(900, 900)))
    assert design_file.loads(design_file.dumps(far)) == far


@pytest.mark.slow
def test_so_many_ports_are_drafted_and_one_more_is_refused_at_once():
    def crowd(count: int) -> Design:
        rows = ceil(sqrt(count))
        stood = tuple(replace(machine(f"m{i}"), **at(1 + 1.5 * (i % rows), 1 + 1.5 * (i // rows))) for i in range(count))
        return Design(name="crowd", collector=replace(COLLECTOR, **at(0.5, 0.5, 1.2)), machines=stood)

    (refused,) = drafts(crowd(MOST_PORTS + 1))
    assert refused.said == f"{MOST_PORTS + 1} ports: ducts are drafted for at most {MOST_PORTS}" and refused.proposals == ()
    assert why_no_ducts(crowd(MOST_PORTS)) is None
    many = MOST_PORTS // 4
    first = next(drafts(crowd(many)))
    assert not mistakes(first.proposals[0].design) and len(ports_of(first.proposals[0].design)) == many
