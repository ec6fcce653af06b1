"""The band around each flow, against cases that can be worked by hand."""

from __future__ import annotations

import sys
from dataclasses import replace
from math import hypot, radians, sqrt

import pytest

from engine import load
from engine.air.band import Band
from engine.air.bands import KINDS, band, bands, doubts, moved
from engine.air.many import solving
from engine.air.one.balance import solve
from engine.air.one.duct_maker import Lean
from engine.air.one.network import compile_tree
from engine.checks.assess import assess
from engine.design import CollectorLoss, Elbow, Hose
from tests import SAVED_DESIGNS
from tests.shops.drawn_doubts import coverage
from tests.shops.small_shops import collector, machine, q, run, shop, si

CURVE = ((0.0, 2000.0), (0.5, 1000.0), (1.0, 0.0))


def one_machine(*pieces, loss=3.0):
    return shop(run("r", "collector", 160, *pieces, ends="m/hood"), machines=[machine("m", 160, loss=loss)], collector=collector(CURVE))


def found_in(design):
    assessment = assess(design)
    return assessment, band(doubts(design, assessment.tree), assessment.sets[0])


def flow(design):
    return assess(design).sets[0].balance.flow


def test_without_length_or_fittings_only_port_and_collector_are_in_doubt():
    """Two doubts left: each moved by hand, upward and downward added as root of squares (GUM, 5.1.2), 1.645 / sqrt(3) of it."""
    design = one_machine(0.001)
    assessment, found = found_in(design)
    ports = [flow(one_machine(0.001, loss=3.0 * factor)) for factor in (0.9, 1.1)]
    fans = [flow(replace(design, collector=collector([(q, factor * p) for q, p in CURVE]))) for factor in (1.05, 0.95)]
    shown = assessment.sets[0].balance.flow
    by_hand = [abs(hypot(*(pair[side] - shown for pair in (ports, fans)))) * 1.645 / sqrt(3) for side in (0, 1)]
    assert found["m/hood"].high - shown == pytest.approx(by_hand[0], rel=1e-3)
    assert shown - found["m/hood"].low == pytest.approx(by_hand[1], rel=1e-3)


def test_every_kind_widens_the_band():
    bend, hose = Elbow(angle=q("90 deg", "angle")), Hose(length=q("1 m", "length"))
    filtered = replace(collector(CURVE), losses=(CollectorLoss(name="filter", drop=si(200.0), at=si(0.5), clean=si(100.0), dirty=si(400.0)),))
    design = shop(
        run("main", "collector", 160, 20.0, *[bend] * 6), run("on", "main", 160, 1.0), run("drop", "main", 160, hose, as_="branch", ends="m/hood"),
        machines=[machine("m", 160, loss=3.0)], collector=filtered,
    )  # fmt: skip
    assessment, whole = found_in(design)
    about = doubts(design, assessment.tree)
    assert [doubt.of for doubt in about] == [*KINDS, "m/hood"]
    for left_out in about:
        rest = band([doubt for doubt in about if doubt is not left_out], assessment.sets[0])["m/hood"]
        assert rest.high - rest.low < 0.9995 * (whole["m/hood"].high - whole["m/hood"].low), left_out.of


def test_a_guessed_port_is_in_doubt_from_a_half_to_three():
    """Common practice, no source: 1.5 is taken. The band goes about as far as the flows at either end, and is lopsided as they are."""
    (low, shown, high) = (flow(one_machine(0.5, loss=loss)) for loss in (3.0, None, 0.5))
    assert shown == flow(one_machine(0.5, loss=1.5))
    found = found_in(one_machine(0.5, loss=None))[1]["m/hood"]
    assert found.low == pytest.approx(low, rel=0.02) and found.high == pytest.approx(high, rel=0.02)
    assert found.high - shown > 1.15 * (shown - found.low)


@pytest.mark.parametrize(("state", "up", "down"), [("clean", 0.0, 1.0), ("dirty", 1.0, 0.0)])
def test_a_clean_filter_can_only_get_worse(state, up, down):
    losses = (CollectorLoss(name="filter", drop=si(200.0), at=si(0.5), clean=si(100.0), dirty=si(400.0)),)
    design = replace(one_machine(0.5), collector=replace(collector(CURVE), losses=losses, filter=state))
    assessment = assess(design)
    (alone,) = [doubt for doubt in doubts(design, assessment.tree) if doubt.of == "filter"]
    found, shown = band([alone], assessment.sets[0])["m/hood"], assessment.sets[0].balance.flow
    assert (found.high - shown > 0.02 * shown) == bool(up) and (shown - found.low > 0.02 * shown) == bool(down)


def test_the_state_of_the_filter_moves_the_air_as_the_design_with_that_filter():
    losses = (CollectorLoss(name="filter", drop=si(200.0), at=si(0.5), clean=si(100.0), dirty=si(400.0), law="linear"),)
    design = replace(one_machine(0.5), collector=replace(collector(CURVE), losses=losses))
    tree = assess(design).tree
    for state, at in (("clean", 0.0), ("dirty", 1.0)):
        set_to = replace(design, collector=replace(design.collector, filter=state))
        assert solve(moved(design, tree, {"filter": at}), ["m/hood"]).flow == pytest.approx(flow(set_to), rel=1e-9)


def test_nothing_moved_is_the_network_itself():
    design = load(SAVED_DESIGNS / "boat_shed.toml")
    tree = assess(design).tree
    still = moved(design, tree, {})
    assert (still.runs, still.joints, still.fan) == (tree.runs, tree.joints, tree.fan)


def test_bands_of_the_demos_are_plausible():
    """A few per cent, never nothing: the spans are of 5 to 30 % on what makes up the losses."""
    assessment = assess(load(SAVED_DESIGNS / "boat_shed.toml"))
    for result, found in zip(assessment.sets, bands(assessment.design, assessment.tree, assessment.sets), strict=True):
        assert set(found) == set(result.balance.ports)
        for port, one in found.items():
            shown = result.balance.ports[port].flow
            assert 0.01 < one.high / shown - 1 < 0.2 and 0.01 < 1 - one.low / shown < 0.2


@pytest.mark.parametrize(("name", "at"), [("boat_shed", 0), ("boat_shed", 6), ("signal_box", 2), ("signal_box_mended", 3)])
def test_a_band_covers_nine_draws_in_ten(name, at):
    """Each doubt drawn evenly from its span: 85 to 95 % of draws, 3 % for so few. tests/bench/bands.py draws two thousand."""
    assessment = assess(load(SAVED_DESIGNS / f"{name}.toml"))
    for port, share in coverage(assessment, assessment.sets[at], 200).items():
        assert 0.82 < share < 0.98, port


def test_a_guessed_port_is_covered_too():
    bend = Elbow(angle=q("90 deg", "angle"))
    assessment = assess(one_machine(4.0, bend, bend, loss=None))
    assert 0.82 < coverage(assessment, assessment.sets[0], 400)["m/hood"] < 0.98


def test_no_band_is_told_where_there_is_no_answer():
    design = one_machine(1.0)
    assessment = assess(design)
    assert band(doubts(design, assessment.tree), replace(assessment.sets[0], balance=None)) == {}


def test_a_band_is_told_up_and_down():
    assert Band(738 / 3600, 787 / 3600).text(739 / 3600, "metric") == "+48 -1"


@pytest.mark.parametrize("to", [{}, {"saw/hood": 1.0}, {"planer/hood": 0.0, "elbows": 0.2}, {"pipe": 0.9}, {"hose": 0.1, "saw/hood": 0.4}])
def test_only_what_leans_is_made_anew_and_all_of_it(to):
    """Ducts moved within their spans are those of a network compiled with the same lean from nothing."""
    drops = [run(f"{name} drop", "main", 125, 2.0, Elbow(angle=si(radians(90))), as_="branch", ends=f"{name}/hood") for name in ("saw", "planer")]
    design = shop(run("main", "collector", 160, 3.0), *drops, machines=[machine("saw", 125, loss=2.0), machine("planer", 125, loss=3.0)])
    tree = compile_tree(design)
    ports = {f"{name}/hood": loss * (0.9 + 0.2 * to[f"{name}/hood"]) for name, loss in (("saw", 2.0), ("planer", 3.0)) if f"{name}/hood" in to}
    lean = Lean(elbows=1.0 + 0.3 * (2.0 * to.get("elbows", 0.5) - 1.0), pipe=to.get("pipe"), hose=to.get("hose"), ports=ports)
    whole = compile_tree(design, tree.air, lean)
    for one, other in zip(moved(design, tree, to).runs, whole.runs, strict=True):
        assert (one.square, one.port_square) == pytest.approx((other.square, other.port_square), rel=1e-12)
        assert [(*term,) for term in one.frictions] == [pytest.approx(tuple(term), rel=1e-12) for term in other.frictions]


def test_bands_are_the_same_whether_numpy_is_there_or_not(monkeypatch):
    """Without it the ends of so few doubts are solved one by one."""
    assessment = assess(load(SAVED_DESIGNS / "boat_shed.toml"))
    at_once = []
    monkeypatch.setattr(solving, "flows_of", lambda asks, of=solving.flows_of: at_once.append(len(asks)) or of(asks))
    found = bands(assessment.design, assessment.tree, assessment.sets)
    monkeypatch.delitem(sys.modules, "numpy")
    for one, other in zip(bands(assessment.design, assessment.tree, assessment.sets), found, strict=True):
        assert one.keys() == other.keys()
        assert [(band.low, band.high) for band in one.values()] == [pytest.approx((band.low, band.high), rel=1e-4) for band in other.values()]
    assert len(at_once) == 1
