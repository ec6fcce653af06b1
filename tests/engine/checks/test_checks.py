"""Every finding: where it appears, where it does not, and that it names its source and what to do."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians

import pytest

from engine.catalog import conveyed
from engine.checks import CONCERNS, SEVERITIES
from engine.checks.assess import DESIGN_CHECKS, assess
from engine.checks.rules import rules
from engine.checks.subjects.air import SET_CHECKS
from engine.design import Conveying, Elbow, Gate, GateSet, Hose, Leakage, Machine, OwnLoss, Port, Straight
from engine.design.from_catalog import OWN_LIMIT
from tests.shops.small_shops import collector, machine, q, run, shop, si


def codes(design, where=None):
    """{code: severity} of a design's findings, those about `where` if given."""
    return {f.code: f.severity for f in assess(design).findings if where in (None, f.where)}


def plain(bore=160, needs=0.2, loss=1.5, port_mm=None, pieces=(3.0,), **joining):
    """One main and one drop that fits it, without any findings of layout."""
    return shop(
        run("main", "collector", 160, 4.0),
        run("drop", "main", bore, *pieces, ends="saw/hood", **joining),
        machines=[machine("saw", port_mm or bore, needs, loss)],
    )


def branch(angle, **rest):
    return plain(125, as_="branch", angle=si(radians(angle)), **rest)


def test_a_sound_design_has_no_findings():
    assert codes(plain(needs=0.40, loss=3.0)) == {}


OF_THE_LOAD = {"slow-run", "fast-run"}  # they cite the limits of the load conveyed


def test_every_rule_is_used_and_tells_its_source_and_what_to_do():
    for rule in rules().values():
        assert rule.remedy and (rule.code in OF_THE_LOAD or rule.source or rule.limits)
        assert all(limit.source for limit in rule.limits.values()) and rule.concerns in CONCERNS
    assert len(DESIGN_CHECKS) == len(set(DESIGN_CHECKS)) and len(SET_CHECKS) == len(set(SET_CHECKS))


def test_findings_come_worst_first():
    found = assess(plain(80, needs=0.4, pieces=(Hose(length=q("3 m"), size="hose/80"),))).findings
    order = [(SEVERITIES.index(f.severity), CONCERNS.index(f.concerns)) for f in found]
    assert order == sorted(order) and len({severity for severity, _ in order}) > 1 and len({concern for _, concern in order}) > 2


@pytest.mark.parametrize(("speed", "severity"), [(0.98, None), (1.009, None), (1.012, "caution")])
def test_slow_run_begins_one_per_cent_below_the_limit(speed, severity):
    design = plain()
    velocity = assess(design).sets[0].balance.runs["main"].velocity
    slow = replace(design, conveying=Conveying(slow_branch=si(velocity * speed), settles=si(1.0), slow_main=si(1.0), fast=si(99.0)))
    assert codes(slow, "main").get("slow-run") == severity


def test_slow_run_is_a_fault_below_settling():
    design = plain()
    velocity = assess(design).sets[0].balance.runs["main"].velocity
    settles = si(velocity * 1.02)
    slow = replace(design, conveying=Conveying(slow_branch=si(velocity * 1.1), settles=settles, slow_main=settles, fast=si(99.0)))
    assert codes(slow, "main")["slow-run"] == "fault"


def sources(design, code):
    """{severity: source} of a design's findings of a code."""
    return {f.severity: f.source for f in assess(design).findings if f.code == code}


def test_a_run_below_settling_cites_the_source_of_that_limit_and_a_slow_one_that_of_slow():
    load = conveyed("dry chips and dust")
    assert sources(plain(pieces=(3.0, OwnLoss(loss=20.0))), "slow-run") == {"fault": load.settles.source}
    assert sources(plain(pieces=(3.0, OwnLoss(loss=8.0))), "slow-run") == {"caution": load.slow_branch.source}
    assert len({load.settles.source, load.slow_branch.source, load.slow_main.source, load.fast.source}) == 4


def test_a_fast_run_cites_the_source_of_the_fast_limit():
    assert set(sources(plain(100, port_mm=100), "fast-run").values()) == {conveyed("dry chips and dust").fast.source}


@pytest.mark.parametrize(
    ("code", "key", "severity"), [("slow-run", "settles", "fault"), ("slow-run", "slow_branch", "caution"), ("fast-run", "fast", "caution")]
)
def test_a_limit_of_the_designs_own_is_cited_as_such(code, key, severity):
    velocity = assess(plain()).sets[0].balance.runs["main"].velocity
    limits = {"settles": 1.0, "slow_main": 1.0, "slow_branch": 0.9 * velocity if key == "fast" else 1.03 * velocity, "fast": 2.0 * velocity}
    limits[key] = {"settles": 1.02, "slow_branch": 1.03, "fast": 0.98}[key] * velocity
    own = replace(plain(), conveying=Conveying(**{name: si(value) for name, value in limits.items()}))
    assert sources(own, code) == {severity: OWN_LIMIT}


FLOW = assess(plain()).sets[0].balance.flow


@pytest.mark.parametrize(("code", "design", "severity", "source"), [
    ("starved-machine", plain(needs=FLOW / 0.95), "caution", "need"),
    ("starved-machine", plain(needs=FLOW / 0.85), "fault", "UFGS 15951N"),
    ("square-tee", branch(60), "note", "UFGS 15940A"),
    ("square-tee", branch(90), "caution", "Washington"),
    ("choked-port", plain(125, needs=0.25, port_mm=100), "caution", "28 m/s"),
    ("choked-port", plain(125, needs=0.25, loss=8.0), "caution", "1500 Pa"),
    ("long-hose", plain(125, pieces=(Hose(length=si(1.5), size="hose/125"),)), "note", "1 m good"),
    ("long-hose", plain(125, pieces=(Hose(length=si(2.5), size="hose/125"),)), "caution", "2 m poor"),
    ("hard-elbow", plain(pieces=(1.0, Elbow(make="mitred", angle=q("90 deg", "angle")), 1.0)), "caution", "mitred"),
])  # fmt: skip
def test_a_finding_cites_the_limit_that_it_applies(code, design, severity, source):
    told = sources(design, code)[severity]
    grounds = {limit.source for limit in rules()[code].limits.values()} | {rules()[code].source}
    assert source in told and told in grounds


def test_a_run_that_serves_several_ports_has_the_limit_of_a_main():
    two = shop(
        run("main", "collector", 160, 4.0),
        run("a", "main", 125, 2.0, ends="a/hood"),
        run("b", "main", 125, 2.0, as_="branch", ends="b/hood"),
        machines=[machine("a", 125), machine("b", 125)],
    )
    result = assess(two)
    assert result.limits("main").slow.value == pytest.approx(18.0)
    assert result.limits("a").slow.value == pytest.approx(20.0)
    assert result.limits("main").fast.value == pytest.approx(28.0)


def test_shut_runs_are_not_slow():
    two = shop(
        run("main", "collector", 160, 4.0),
        run("a", "main", 160, 2.0, Gate(name="ga"), ends="a/hood"),
        run("b", "main", 125, 2.0, Gate(name="gb"), as_="branch", ends="b/hood"),
        machines=[machine("a", 160), machine("b", 125)],
        sets=[("a",)],
    )
    assert not [f for f in assess(two).findings if f.where == "b" and f.gate_set]


@pytest.mark.parametrize(("share", "severity"), [(1.02, None), (0.95, "caution"), (0.85, "fault")])
def test_starved_machine(share, severity):
    flow = assess(plain()).sets[0].balance.flow
    assert codes(plain(needs=flow / share), "saw/hood").get("starved-machine") == severity


def test_fast_run():
    assert codes(plain(100, port_mm=100), "drop").get("fast-run") == "caution"


def test_a_machine_at_work_without_a_duct_is_a_fault_and_does_not_pass():
    design = plain()
    lonely = replace(design, machines=(*design.machines, machine("lathe")))
    result = assess(replace(lonely, gate_sets=(GateSet(name="turning", open=("lathe",)),)))
    assert [(f.severity, f.where) for f in result.findings if f.code == "no-duct"] == [("fault", "lathe/hood")]
    assert not result.passes(result.sets[0])
    idle = assess(replace(lonely, gate_sets=(GateSet(name="sawing", open=("saw",)),)))
    assert [(f.severity, f.where) for f in idle.findings if f.code == "no-duct"] == [("note", "lathe/hood")]


def test_a_run_that_ends_at_nothing_is_noted():
    assert codes(shop(run("main", "collector", 160, 4.0)), "main") == {"capped-end": "note"}


def test_a_main_and_a_branch_are_told_apart():
    slow = replace(plain(100, port_mm=40, loss=30.0), conveying=Conveying())
    [text] = [f.message for f in assess(slow).findings if f.code == "slow-run" and f.where == "drop"]
    assert "of a branch" in text


@pytest.mark.parametrize(("length", "severity"), [(1.0, None), (1.5, "note"), (2.0, "note"), (2.1, "caution")])
def test_long_hose(length, severity):
    design = plain(125, pieces=(Hose(length=si(length), size="hose/125"),))
    assert codes(design, "drop").get("long-hose") == severity


def test_hose_in_two_pieces_counts_together():
    half = Hose(length=si(0.6), size="hose/125")
    assert codes(plain(125, pieces=(half, 1.0, half)), "drop")["long-hose"] == "note"


@pytest.mark.parametrize(("gap", "severity"), [(0.1, "caution"), (0.2, "note"), (0.49, None)])
def test_crowded_fittings(gap, severity):
    bend = Elbow(angle=q("45 deg", "angle"))
    assert codes(plain(pieces=(1.0, bend, gap, bend, 1.0)), "drop").get("crowded-fittings") == severity


def test_an_elbow_right_behind_a_branch_is_crowded():
    bend = Elbow(angle=q("45 deg", "angle"))
    assert "crowded-fittings" in codes(branch(45, pieces=(bend, 2.0)), "drop")
    assert "crowded-fittings" not in codes(branch(45, pieces=(2.0, bend)), "drop")


@pytest.mark.parametrize(
    ("made", "severity"),
    [
        ({"make": "mitred", "angle": 90}, "caution"), ({"make": "mitred", "angle": 45}, None),
        ({"make": "smooth", "radius": 0.75, "angle": 90}, "caution"), ({"make": "smooth", "radius": 1.0, "angle": 90}, "note"),
        ({"make": "segmented", "radius": 1.5, "angle": 90}, None),
    ],
)  # fmt: skip
def test_hard_elbow(made, severity):
    bend = Elbow(**{**made, "angle": si(radians(made["angle"]))})
    assert codes(plain(pieces=(1.0, bend, 1.0)), "drop").get("hard-elbow") == severity


@pytest.mark.parametrize(("angle", "severity"), [(30, None), (45, None), (60, "note"), (90, "caution")])
def test_square_tee(angle, severity):
    assert codes(branch(angle), "drop").get("square-tee") == severity


def test_choked_port_by_speed_and_by_suction():
    assert codes(plain(125, needs=0.25, port_mm=100), "saw/hood").get("choked-port") == "caution"
    assert codes(plain(125, needs=0.25, loss=8.0), "saw/hood").get("choked-port") == "caution"
    assert "choked-port" not in codes(plain(125, needs=0.25), "saw/hood")


def test_a_port_of_which_nothing_is_known_is_a_guess():
    """Not one whose loss is given, and not one whose suction was measured at what it needs."""
    unknown = plain(loss=None)
    assert codes(unknown, "saw/hood")["guessed-port"] == "note" and "guessed-port" not in codes(plain(loss=1.5), "saw/hood")
    (saw,) = unknown.machines
    for needs, guessed in ((0.2, False), (0.0, True)):
        port = replace(saw.ports[0], suction=si(400.0), needs=si(needs))
        assert ("guessed-port" in codes(replace(unknown, machines=(replace(saw, ports=(port,)),)), "saw/hood")) == guessed


@pytest.mark.parametrize(("tightness", "tested"), [("A", 500.0), ("B", 750.0), ("D", 750.0)])
def test_ducts_are_told_beyond_the_suction_their_class_is_tested_at(tightness, tested):
    """EN 12237, limits of static gauge pressure: from memory."""
    for factor, found in ((0.5, False), (1.2, True)):
        weak = collector([(0.0, factor * tested), (3.0, factor * tested), (4.0, 0.0)])
        design = replace(plain(), collector=weak, leakage=Leakage(tightness=tightness))
        suction = assess(design).sets[0].balance.runs["main"].suction_near
        assert (suction > tested) is found and ("beyond-class" in codes(design)) is found


@pytest.mark.parametrize(("loss", "severity"), [(0.99, None), (1.0, "note"), (2.3, "note")])
def test_a_free_exit_is_counted_once(loss, severity):
    """SMACNA, Table A-13A: caps cost 1.0 and more with the free exit's 1.0 in it, which every basis of a curve has spent."""
    outside = collector(outlet=si(0.2), discharge="outside", outlet_pieces=(Straight(length=si(2.0)), OwnLoss(loss=loss, name="rain cap")))
    assert codes(replace(plain(), collector=outside), "collector").get("free-exit-twice") == severity


def test_hand_tool_port_only_where_connected():
    tool = Machine(id="router", ports=(Port(id="shoe", bore=si(0.05), needs=si(0.03), loss=1.0),))
    design = plain()
    assert "hand-tool-port" not in codes(replace(design, machines=(*design.machines, tool)))
    assert codes(plain(80, port_mm=50), "saw/hood")["hand-tool-port"] == "caution"


def test_wider_outward():
    wide = shop(run("main", "collector", 125, 4.0), run("drop", "main", 160, 2.0, ends="saw/hood"), machines=[machine("saw", 160)])
    assert codes(wide, "drop")["wider-outward"] == "caution"


@pytest.mark.parametrize(("angle", "severity"), [(None, None), (radians(30), None), (radians(60), "note"), (pi, "caution")])
def test_blunt_taper_at_joint_and_port(angle, severity):
    taper = None if angle is None else si(angle)
    assert codes(plain(125, taper=taper), "drop").get("blunt-taper") == severity
    assert codes(plain(160, port_mm=125, port_taper=taper), "saw/hood").get("blunt-taper") == severity


def test_no_taper_where_the_bores_agree():
    assert "blunt-taper" not in codes(plain(160, taper=si(pi), port_taper=si(pi)))


def test_blow_back_names_the_port():
    """A branch whose known joint loss is more than the suction there: no air comes through it."""
    design = shop(
        run("main", "collector", 100, 10.0),
        run("near", "main", 100, 0.5, ends="a/hood"),
        run("far", "main", 100, 0.5, as_="branch", loss=50.0, ends="b/hood"),
        machines=[machine("a"), machine("b")],
    )
    result = assess(design)
    assert [f.where for f in result.findings if f.code == "blow-back"] == ["b/hood"]
    balance = result.sets[0].balance
    assert balance.blown_back == ("b/hood",) and balance.ports["b/hood"].flow == 0.0
    assert not [f for f in result.findings if f.code == "starved-machine" and f.where == "b/hood"]


def test_messages_are_in_the_designs_units():
    design = replace(plain(125, pieces=(Hose(length=si(3.048), size="hose/125"),)), display="imperial")
    [found] = [f for f in assess(design).findings if f.code == "long-hose"]
    assert "10ft" in found.message and found.piece == 0
