"""First layouts over random shops: consistent, solvable, every port reached, and closed in space. Shops are invented."""

from __future__ import annotations

from dataclasses import replace
from math import cos, dist, sqrt, tan
from random import Random

import pytest

from engine import assess, catalog, design_file
from engine.consistency import mistakes
from engine.design import (
    DIRECTIONS, Cleanout, Collector, Conveying, CurvePoint, Design, Elbow, Gate, GateSet, Hose, Machine, Stock, StockSize, Straight,
    children_of, joins_as, ports_of, stock_sizes,
)  # fmt: skip
from engine.drafting import NOTE, draft, pipe_sizes, size_for, working_flow
from engine.route_pieces import pieces
from engine.shop_defaults import stock_of
from tests.engine.shops import machine, q

WAYS = dict(zip(DIRECTIONS, [(0, 1, 0), (0, -1, 0), (1, 0, 0), (-1, 0, 0), (0, 0, 1), (0, 0, -1)]))
KINDS = catalog.machine_kinds()
COLLECTOR = Collector(
    inlet=q("160 mm", "bore"),
    curve=tuple(
        CurvePoint(flow=q(f"{flow} m3/h", "flow"), pressure=q(f"{pressure} Pa", "pressure"))
        for flow, pressure in ((0, 2400), (1000, 2150), (2000, 1200), (2600, 0))
    ),
)


def at(east: float, north: float, up: float = 0.8) -> dict:
    return {"east": q(f"{east:.3f} m"), "north": q(f"{north:.3f} m"), "up": q(f"{up:.3f} m")}


def random_shop(rng: Random, most: int = 20) -> Design:
    """A shop of 1 to `most` machines of the catalog, some unplaced, on a floor of up to 14 by 9 m."""
    metric = rng.random() < 0.5
    machines = []
    for i in range(rng.randint(1, most)):
        place = at(rng.uniform(0, 14), rng.uniform(0, 9), rng.uniform(0.2, 1.4))
        for way in rng.choice([(), (), (), ("up",), ("east", "north", "up"), ("north",)]):
            del place[way]
        machines.append(Machine(id=f"machine {i}", ports=rng.choice(KINDS).ports, **place))
    place = rng.choice([{}, at(rng.uniform(0, 14), rng.uniform(0, 9), rng.uniform(0.3, 3.0))])
    facing = {"faces": rng.choice([None, None, *DIRECTIONS])}
    sets = tuple(
        GateSet(name=f"set {i}", open=tuple(m.id for m in rng.sample(machines, rng.randint(1, len(machines)))))
        for i in range(rng.choice([0, 0, 3]))
    )
    return Design(
        name="random", display="metric" if metric else "imperial", machines=tuple(machines), gate_sets=sets,
        collector=replace(COLLECTOR, inlet=q(rng.choice(["100 mm", "160 mm", "200 mm"]), "bore"), **place, **facing),
        conveying=Conveying(material=rng.choice(catalog.conveyed_materials())), stock=random_stock(rng),
    )  # fmt: skip


def random_stock(rng: Random) -> tuple[Stock, ...]:
    pipes = [family.stock for family in catalog.pipe_families() if family.stock.kind == "pipe"]
    chosen = rng.choice(pipes)
    some = replace(chosen, sizes=tuple(replace(size, in_store=rng.random() < 0.6) for size in chosen.sizes))
    return rng.choice([(), (some,), (chosen, stock_of("hose")), (stock_of("hose"), rng.choice(pipes), some)])


# ---- walking along the ducts, as a fitter would


def turned(way: tuple, angle: float, toward: str) -> tuple:
    """A direction after a turn of 45 or 90 deg toward another."""
    aim = WAYS[toward]
    if angle > 1.0 or max(map(abs, way)) < 0.99:
        return aim
    return tuple((a + b) / sqrt(2) for a, b in zip(way, aim))


def moved(point: tuple, way: tuple, by: float) -> tuple:
    return tuple(a + by * b for a, b in zip(point, way))


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
                    assert sum(a * b for a, b in zip(way, onward)) == pytest.approx(cos(piece.angle.si), abs=1e-6)
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


@pytest.mark.parametrize("seed", range(60))
def test_every_shop_gets_a_sound_draft(seed):
    rng = Random(seed)
    drafted = draft(random_shop(rng))
    assert mistakes(drafted) == ()
    assert design_file.loads(design_file.dumps(drafted)) == drafted
    assert sorted(run.ends for run in drafted.runs if run.ends) == sorted(ports_of(drafted))
    assert NOTE in drafted.notes
    found = assess(drafted)
    assert all(result.balance is not None and result.balance.flow > 0 for result in found.sets)
    assert {result.gate_set.name for result in found.sets} == {made.name for made in drafted.gate_sets}
    assert not {"square-tee", "blunt-taper", "wider-outward", "long-hose", "no-duct"} & {f.code for f in found.findings}
    inlet = (drafted.collector.east.si, drafted.collector.north.si, drafted.collector.up.si)
    for port, (_, spanned, length) in ends_of(drafted).items():
        assert 0.2 < spanned <= 1.0
        assert length >= dist(inlet, place_of(drafted, port)) - 0.1, port


@pytest.mark.parametrize("seed", range(60))
def test_pipes_end_within_their_hoses_reach_where_machines_stand_apart(seed):
    rng = Random(seed)
    spots = rng.sample([(2.0 * east, 2.4 * north) for east in range(1, 8) for north in range(1, 4)], rng.randint(1, 7))
    kinds = [rng.choice(KINDS) for _ in spots]
    machines = tuple(
        Machine(id=f"machine {i}", ports=kind.ports, **at(east + rng.uniform(0, 0.4), north + rng.uniform(0, 0.4)))
        for i, ((east, north), kind) in enumerate(zip(spots, kinds))
    )
    placed = replace(COLLECTOR, **at(rng.uniform(0, 16), rng.choice([0.3, 8.5]), rng.uniform(0.5, 2.0)))
    drafted = draft(Design(name="apart", collector=placed, machines=machines))
    for port, (end, spanned, _) in ends_of(drafted).items():
        assert dist(end, place_of(drafted, port)) <= spanned + 0.03, port


# ---- how it is laid out


def drafted(*machines: Machine, **rest) -> Design:
    return draft(Design(name="shop", collector=replace(COLLECTOR, **at(0, 0, 1.0)), machines=machines, **rest))


def in_line(count: int) -> list[Machine]:
    return [Machine(id=f"machine {i}", ports=KINDS[0].ports, **at(2.0 * (i + 1), 1.0)) for i in reversed(range(count))]


def test_one_main_serves_the_nearest_machine_first_and_ends_in_a_cleanout():
    design = drafted(*in_line(4))
    runs = {run.id: run for run in design.runs}
    assert [run.id for run in design.runs if run.id.startswith("main")] == ["main", "main 2", "main 3", "main 4"]
    assert [joined.ends for name in ("main", "main 2", "main 3", "main 4") for joined in children_of(design)[name] if joined.ends] == [
        f"machine {i}/hood" for i in range(4)
    ]
    assert isinstance(runs["main 4"].pieces[-1], Cleanout)
    assert not any(isinstance(piece, Cleanout) for run in design.runs if run.id != "main 4" for piece in run.pieces)


def test_a_branch_leaves_at_45_deg_with_its_gate_first_an_elbow_down_and_a_short_hose():
    design = drafted(*in_line(3))
    drops = [run for run in design.runs if run.ends]
    assert len(drops) == 3
    for run in drops:
        assert joins_as(run) == "branch" and run.angle.text == "45 deg"
        assert isinstance(run.pieces[0], Gate) and isinstance(run.pieces[-1], Hose)
        assert any(isinstance(piece, Elbow) and piece.toward == "down" for piece in run.pieces)
        assert run.pieces[-1].length.si <= 1.0


def test_machines_to_both_sides_get_an_arm_each_from_a_y():
    ahead, behind = Machine(id="a", ports=KINDS[0].ports, **at(4, 1)), Machine(id="b", ports=KINDS[0].ports, **at(-5, 1))
    design = drafted(ahead, behind)
    assert [(run.id, joins_as(run), run.toward) for run in design.runs if run.joins == "main"] == [
        ("main east", "leg", "east"), ("main west", "leg", "west"),
    ]  # fmt: skip


def test_a_machine_of_several_ports_has_one_gate_and_a_run_for_each_port():
    ports = tuple(replace(KINDS[0].ports[0], id=name) for name in ("left", "middle", "right"))
    design = drafted(Machine(id="sander", ports=ports, **at(3, 2)))
    assert sum(isinstance(piece, Gate) for run in design.runs for piece in run.pieces) == 1
    assert {run.ends for run in design.runs if run.ends} == {"sander/left", "sander/middle", "sander/right"}


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


# ---- bores


def sizes_of(*bores: int):
    rows = tuple(StockSize(nominal=str(bore), bore=q(f"{bore} mm", "bore")) for bore in bores)
    stock = Stock(id="pipe", kind="pipe", material="PVC", sizes=rows)
    return pipe_sizes(Design(name="shop", collector=COLLECTOR, stock=(stock,)))


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
    assert size_for(q(flow, "flow").si, 20.0, 28.0, sizes_of(*bores)).bore == pytest.approx(taken / 1000)


def test_the_main_is_sized_for_the_largest_machine_beyond_in_the_least_company_it_works_in():
    a, b, c = machine("a", needs=0.1), machine("b", needs=0.2), machine("c", needs=0.3)
    design = Design(name="shop", collector=COLLECTOR, machines=(a, b, c))
    assert working_flow(design, (a, b)) == pytest.approx(0.2)
    together = replace(design, gate_sets=(GateSet(name="ab", open=("a", "b")), GateSet(name="c", open=("c",))))
    assert working_flow(together, (a, b)) == pytest.approx(0.3)
    assert working_flow(replace(together, gate_sets=(*together.gate_sets, GateSet(name="b", open=("b",)))), (a, b)) == pytest.approx(0.3)
    assert working_flow(together, (b, c)) == pytest.approx(0.3)


def test_sizes_that_the_store_has_not_are_not_taken():
    rows = (StockSize(nominal="100", bore=q("100 mm", "bore")), StockSize(nominal="125", bore=q("125 mm", "bore"), in_store=False))
    design = drafted(*in_line(2), stock=(Stock(id="pipe", kind="pipe", material="PVC", sizes=rows),))
    assert {run.size for run in design.runs} == {"pipe/100"}


def test_long_ways_are_cut_into_lengths_that_a_design_takes():
    made = pieces([(0.0, 0.0, 0.0), (1200.0, 0.0, 0.0)], 0.15, "metric")
    assert len(made) == 3 and sum(piece.length.si for piece in made) == pytest.approx(1200.0, abs=0.02)
    far = drafted(Machine(id="far", ports=KINDS[0].ports, **at(900, 900)))
    assert design_file.loads(design_file.dumps(far)) == far
