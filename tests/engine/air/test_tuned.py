"""What the readings have a design's figures at is solved as if the design said so itself. Shops are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.air.bands import band, bands, doubts
from engine.air.gate_sets import solve_set
from engine.air.one.balance import solve
from engine.air.one.network import compile_tree
from engine.checks.assess import assess
from engine.design import CollectorChoice, CollectorLoss, Elbow, Hose, Leakage, Tuned, TunedPort, gate_sets_of
from engine.search.collectors.choices import with_choice
from engine.search.collectors.duty import duties
from engine.search.sizing.plant.choices import choices_of
from engine.search.sizing.plant.networks import Networks
from tests.shops.small_shops import FALLING, collector, machine, q, run, shop, si

FILTER = CollectorLoss(name="filter", drop=si(300.0), clean=si(150.0), dirty=si(600.0), at=si(0.4), law="linear")
HOSE = Hose(length=si(1.5), size="hose/100", bend=q("45 deg", "angle"))
SHOP = shop(
    run("main", "collector", 160, 4.0, Elbow(angle=q("90 deg", "angle"))),
    run("saw drop", "main", 125, 2.0, HOSE, as_="branch", ends="saw/hood"),
    run("on", "main", 125, 5.0, ends="lathe/hood"),
    machines=(machine("saw"), machine("lathe", loss=2.0)), sets=(("saw", "lathe"),), collector=collector(losses=(FILTER,)),
)  # fmt: skip


def tuned(**factors):
    return replace(SHOP, tuned=Tuned(on=True, **factors))


def answer(design):
    return solve(compile_tree(design), ["saw/hood", "lathe/hood"])


def rougher(kind, factor):
    """The shop with the roughness of a kind of stock given, so many times the catalog's."""
    catalog = {"pipe": 0.00009, "hose": 0.0009}
    own = {stock.id: stock for stock in SHOP.stock} | {
        kind: replace(next(stock for stock in SHOP.stock if stock.id == kind), roughness=si(catalog[kind] * factor))
    }
    return replace(SHOP, stock=tuple(own.values()))


def with_ports(**losses):
    machines = [replace(one, ports=tuple(replace(port, loss=losses[one.id]) for port in one.ports)) for one in SHOP.machines]
    return replace(SHOP, machines=tuple(machines))


@pytest.mark.parametrize("factors, said", [
    ({"collector": 0.85}, replace(SHOP, collector=collector([(flow, 0.85 * pressure) for flow, pressure in FALLING], losses=(FILTER,)))),
    ({"filter": 1.6}, replace(SHOP, collector=collector(losses=(replace(FILTER, drop=si(480.0)),)))),
    ({"pipe": 1.8}, rougher("pipe", 1.8)),
    ({"hose": 0.5}, rougher("hose", 0.5)),
    ({"leakage": 1.0}, replace(SHOP, leakage=Leakage(tightness="A"))),
    ({"ports": 1.2}, with_ports(saw=1.8, lathe=2.4)),
    ({"ports": 1.2, "own_ports": (TunedPort(port="lathe/hood", loss=0.75),)}, with_ports(saw=1.8, lathe=1.5)),
], ids=lambda row: "+".join(row) if isinstance(row, dict) else "")  # fmt: skip
def test_a_factor_is_solved_as_if_the_design_said_so(factors, said):
    by_itself, plain, as_said = answer(tuned(**factors)), answer(SHOP), answer(said)
    assert by_itself.flow == pytest.approx(as_said.flow, rel=1e-9)
    assert abs(by_itself.flow / plain.flow - 1.0) > 1e-3
    for port, state in by_itself.ports.items():
        assert state.suction == pytest.approx(as_said.ports[port].suction, rel=1e-9)


def test_switched_off_nothing_is_otherwise():
    off = replace(SHOP, tuned=Tuned(on=False, collector=0.7, filter=2.0, pipe=2.0, ports=1.5, leakage=1.0))
    assert compile_tree(off) == compile_tree(SHOP)
    assert assess(off).sets == assess(SHOP).sets


def test_what_is_taken_over_from_an_assessment_before_is_tuned_too():
    design = tuned(pipe=1.5, ports=1.3, collector=0.9)
    own, other = assess(design), assess(SHOP)
    for there, here in ((assess(design, other), own), (assess(SHOP, own), other)):
        assert there.tree == here.tree and there.findings == here.findings
        for one, alone in zip(there.sets, here.sets, strict=True):
            assert one.balance.flows == pytest.approx(alone.balance.flows, rel=1e-7)


def test_bands_lie_about_the_flows_tuned():
    design = tuned(collector=0.8, ports=1.4, filter=1.5, hose=1.5)
    tree = compile_tree(design)
    result = solve_set(tree, gate_sets_of(design)[0])
    for port, found in band(doubts(design, tree), result).items():
        flow = result.balance.ports[port].flow
        assert 0.85 * flow < found.low < flow < found.high < 1.15 * flow
    assert bands(design, tree, [result])[0] == band(doubts(design, tree), result)


def test_another_collector_is_taken_at_its_word():
    design = replace(tuned(collector=0.8, filter=1.5, ports=1.2), collector=replace(SHOP.collector, name="old"))
    chosen = CollectorChoice(id="new", curve=SHOP.collector.curve, basis="fan static")
    swapped = with_choice(design, chosen)
    assert (swapped.tuned.collector, swapped.tuned.filter, swapped.tuned.ports) == (None, None, 1.2)
    # What its sheet must show is asked for ducts that are tuned, what stands there now gives less than its own.
    (asked,), (plain,) = duties(design), duties(tuned(ports=1.2))
    assert (asked.clean, asked.loaded) == pytest.approx((plain.clean, plain.loaded), rel=1e-9)
    assert asked.has < 0.9 * plain.has


def test_searches_over_sizes_solve_what_is_tuned():
    design = tuned(pipe=1.6, hose=0.7, collector=0.9, ports=1.3)
    choices = choices_of(design)
    smallest = tuple(0 for _ in choices.options)
    made, whole = Networks(choices).tree_of(smallest), compile_tree(choices.design_of(smallest))
    assert (made.runs, made.fan) == (whole.runs, whole.fan) and made.runs != compile_tree(replace(choices.design_of(smallest), tuned=Tuned())).runs
