"""Static suction, not the total one, draws air in through the walls of ducts."""

from __future__ import annotations

from math import pi

import pytest

from engine.air.losses.leaks import wall_leak
from engine.air.one.balance import solve
from engine.air.one.live import places_of
from engine.air.one.network import compile_tree
from engine.air.properties import Air
from engine.design import Gate, Hose, Leakage
from tests.shops.small_shops import collector, machine, q, run, shop


def test_static_suction_draws_where_the_total_one_is_known():
    """EN 12237, by hand: 20 m of 150 mm in class A leak 29.5 L/s at 1500 Pa of static suction, 240 Pa velocity and 1260 Pa total pressure.

    It is a lone run, straight from the collector to its machine.
    """
    flow, pressure = 0.353429, 1260.0  # 20 m/s in 150 mm
    flat, air = collector(curve=((0.0, pressure + 1e-6), (1.0, pressure)), inlet=0.15), Air(density=1.2, viscosity=1.81e-5)

    def drop(loss):
        drops = [run("drop", "collector", 150, 20.0, ends="saw/hood")]
        return compile_tree(shop(*drops, machines=[machine("saw", 150, loss=loss)], collector=flat, leakage=Leakage(tightness="A")), air)

    friction = drop(0.0).runs[0].loss(flow)[0]
    leaky = solve(drop((pressure - friction) / 240.0), ["saw/hood"])
    assert leaky.ports["saw/hood"].flow == leaky.runs["drop"].flow == pytest.approx(flow, rel=1e-4)
    assert leaky.flow - flow == pytest.approx(0.02953, rel=1e-3)
    assert leaky.runs["drop"].suction_near == pytest.approx(1500.0, rel=1e-4)


def test_the_bore_and_the_reducer_at_a_runs_collector_end_count():
    """A run that begins with a hose, narrower than the pipe, or behind a reducer: its walls are under the static suction told there."""
    hose = Hose(length=q("2 m"), size="hose/100")
    main = run("main", "collector", 160, 4.0)
    for drop, walls in (
        (run("drop", "main", 125, hose, 3.0, as_="branch", ends="saw/hood"), {"main": 0.160 * 4.0, "drop": 0.100 * 2.0 + 0.125 * 3.0}),
        (run("drop", "main", 100, 3.0, ends="saw/hood", taper=q("60 deg", "angle")), {"main": 0.160 * 4.0, "drop": 0.100 * 3.0}),
    ):
        tree = compile_tree(shop(main, drop, machines=[machine("saw", 125)], leakage=Leakage(tightness="A")))
        leaky = solve(tree, ["saw/hood"])
        drawn = sum(wall_leak("A", pi * wall) * leaky.runs[name].suction_near ** 0.65 for name, wall in walls.items())
        assert leaky.flow - leaky.ports["saw/hood"].flow == pytest.approx(drawn, rel=1e-6)


def test_without_flow_static_suction_is_the_total_one():
    """A machine that hardly draws leaves the walls the suction of the collector; and so does one behind a gate that is shut."""

    def drop(loss):
        return shop(
            run("drop", "collector", 160, 10.0, Gate(name="gate"), ends="saw/hood"), machines=[machine("saw", 160, loss=loss)],
            leakage=Leakage(tightness="A"),
        )  # fmt: skip

    tree = compile_tree(drop(1e12))
    choked, shut = solve(tree, ["saw/hood"]), solve(tree, [])
    walls = wall_leak("A", pi * 0.160 * 10.0)
    assert choked.flow - choked.ports["saw/hood"].flow == pytest.approx(walls * choked.collector_pressure**0.65, rel=1e-6)
    assert shut.flow == pytest.approx(walls * shut.collector_pressure**0.65, rel=1e-6)
    assert shut.flow == pytest.approx(choked.flow, rel=1e-3) and shut.imbalance < 0.01


def test_walls_of_a_drop_that_goes_still_leak_as_those_of_a_shut_one():
    """The gate stands at the machine, so that the walls are the same: what they draw does not jump where their own air stops."""

    def drops(loss):
        return shop(
            run("main", "collector", 160, 4.0),
            run("still", "main", 100, 3.0, Gate(name="gate"), as_="branch", ends="planer/hood"),
            run("saw drop", "main", 125, 3.0, as_="branch", ends="saw/hood"),
            machines=[machine("saw", 125), machine("planer", 100, loss=loss)], leakage=Leakage(tightness="A"),
        )  # fmt: skip

    shut = solve(compile_tree(drops(1.0)), ["saw/hood"])
    apart = [abs(solve(compile_tree(drops(loss)), ["saw/hood", "planer/hood"]).flow / shut.flow - 1) for loss in (1e4, 1e8, 1e12)]
    assert apart[0] > apart[1] > apart[2] and apart[2] < 1e-6


def test_slopes_of_what_leaks_lose_are_those_of_their_losses():
    """By differences, at a joint of two legs and at the collector, where the first run alone stands."""
    runs = [run("main", "collector", 160, 4.0)]
    runs += [run(name, "main", 125, 3.0, as_="branch", ends=f"{name}/hood") for name in ("saw", "planer")]
    tree = compile_tree(shop(*runs, machines=[machine("saw", 125), machine("planer", 125)], leakage=Leakage(tightness="A")))
    for here, flows in ((places_of(tree)[0], [0.13, 0.21]), (places_of(tree)[-1], [0.34])):
        losses, slopes = here.losses(flows)
        assert len(losses) == len(flows) + len(here.leaks) > len(flows)
        for leg in range(len(flows)):
            low, high = ([flow + by * (at == leg) for at, flow in enumerate(flows)] for by in (-1e-6, 1e-6))
            differences = [(b - a) / 2e-6 for a, b in zip(here.losses(low)[0], here.losses(high)[0], strict=True)]
            assert [row[leg] for row in slopes] == pytest.approx(differences, rel=1e-6, abs=1e-4)
        assert all(row[len(flows) :] == [0.0] * len(here.leaks) for row in slopes)
