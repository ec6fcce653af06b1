"""Findings about the filter, the air blown outside and all gates shut, each at its limit. Designs are invented."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest

from engine.air.properties import air_of
from engine.checks.assess import assess
from engine.design import Gate, Hose, Site, Stock, StockSize
from tests.shops.small_shops import collector, machine, run, shop, si


def told(design, code):
    """(severity, where, piece, gate set) of a design's findings of one code."""
    return [(f.severity, f.where, f.piece, f.gate_set) for f in assess(design).findings if f.code == code]


def two_sets(**own):
    """Two drops; both open move the most air."""
    ways = {"a": None, "b": "branch"}
    drops = [run(f"{name} drop", "main", 125, Gate(name=f"{name} gate"), 2.0, as_=way, ends=f"{name}/hood") for name, way in ways.items()]
    machines = [machine("a", 125), machine("b", 125)]
    rest = {key: own.pop(key) for key in ("site",) if key in own}
    return shop(run("main", "collector", 160, 2.0), *drops, machines=machines, sets=[("a",), ("a", "b")], collector=collector(**own), **rest)


MOST = max(result.balance.flow for result in assess(two_sets()).sets)


@pytest.mark.parametrize(("load", "found"), [(149.0, False), (151.0, False), (152.0, True)])
@pytest.mark.parametrize(("discharge", "returned"), [(None, True), ("room", True), ("outside", False)])
def test_a_filter_too_small_for_the_air_it_returns(load, found, discharge, returned):
    """150 m3/h on a m2: DGUV Information 209-044, 5.4."""
    design = two_sets(filter_area=si(MOST * 3600 / load), discharge=discharge, outlet=si(0.2))
    assert told(design, "loaded-filter") == ([("caution", "collector", None, "a + b")] if found and returned else [])


def test_a_filter_of_unknown_area_is_not_judged():
    assert told(two_sets(), "loaded-filter") == []


@pytest.mark.parametrize(("share", "found"), [(None, True), (0.985, True), (0.995, False), (1.5, False)])
def test_air_blown_outside_wants_an_opening(share, found):
    """A = q / (0.6 sqrt(2 x 3 Pa / density)), a sharp orifice: 378 L/s at 3 Pa want 0.28 m2."""
    blown = {"discharge": "outside", "outlet": si(0.2)}
    flow = max(result.balance.flow for result in assess(two_sets(**blown)).sets)
    wanted = flow / (0.6 * sqrt(2 * 3 / air_of(Site()).density))
    assert 0.378 * wanted / flow == pytest.approx(0.28, rel=0.01)
    site = Site(make_up_opening=None if share is None else si(share * wanted))
    findings = told(two_sets(**blown, site=site), "make-up-air")
    assert findings == ([("caution", "site", None, "a + b")] if found else [])
    assert told(two_sets(site=site), "make-up-air") == []


def all_gated(*main, wall=None, material="PVC"):
    """One machine behind a gate, and a main of pipe with this wall, m, up to it."""
    outside = si(0.16 + 2 * wall) if wall else None
    stock = Stock(id="thin", kind="pipe", material=material, sizes=(StockSize(nominal="160", bore=si(0.16), outside=outside),))
    runs = replace(run("main", "collector", 160, 2.0, *main), size="thin/160"), run("drop", "main", 100, Gate(name="g"), 1.0, HOSE, ends="a/hood")
    made = shop(*runs, machines=[machine("a")])
    return replace(made, stock=(stock, *made.stock))


HOSE = Hose(length=si(0.5), size="hose/100")


@pytest.mark.parametrize(
    ("design", "found"),
    [
        (all_gated(), []),
        (all_gated(Hose(length=si(1.0), size="hose/125")), [("caution", "main", 1, None)]),
        (all_gated(Gate(name="first"), Hose(length=si(1.0), size="hose/125")), []),
        (all_gated(wall=0.0032), [("caution", "main", None, None)]),
        (all_gated(wall=0.0047), []),
        (all_gated(wall=0.0005, material="galvanised spiral"), []),
    ],
)
def test_what_may_collapse_with_every_gate_shut(design, found):
    """Common practice, no source; hose behind the gates and metal are left out."""
    assert told(design, "all-shut") == found


def test_a_machine_without_a_gate_keeps_the_ducts_open():
    made = all_gated(wall=0.0032)
    open_drop = run("open", "main", 100, 1.0, as_="branch", ends="b/hood")
    assert told(replace(made, runs=(*made.runs, open_drop), machines=(*made.machines, machine("b"))), "all-shut") == []
