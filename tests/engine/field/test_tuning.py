"""The model tuned to readings: a known truth comes out of readings simulated with it; what is not told stays. Shops and readings are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.design import CollectorLoss, Gate, Hose, Leakage, Reading, Tuned, TunedPort
from engine.design.places import GateSetAt, RunAt
from engine.edits import set_field
from engine.field.expected import expected, foreseen
from engine.field.sheet import stops
from engine.field.spots import ALL_SHUT
from engine.field.taking import reading_at, with_point
from engine.field.tuned import is_tuned, switched, tuned_briefly, tuned_note, why_stale
from engine.field.tuning import BELIEVABLE, NOT_BELIEVABLE, NOT_TOLD, Untunable, fit
from engine.field.verdicts import AS_EXPECTED, verdicts
from engine.files.design_file import dumps, loads
from tests.shops.measured_shops import DAY, measured
from tests.shops.small_shops import collector, machine, run, shop, si

FILTER = CollectorLoss(name="filter", drop=si(300.0), clean=si(150.0), dirty=si(600.0), at=si(0.4), law="linear")
NAMES = ("saw", "planer", "lathe")
SHOP = shop(
    run("main", "collector", 160, 4.0),
    run("saw drop", "main", 125, Gate(name="saw gate"), 2.0, Hose(length=si(1.5), size="hose/100"), as_="branch", ends="saw/hood"),
    run("main 2", "main", 140, 3.0),
    run("planer drop", "main 2", 125, Gate(name="planer gate"), 2.5, as_="branch", ends="planer/hood"),
    run("lathe drop", "main 2", 125, Gate(name="lathe gate"), 5.0, ends="lathe/hood"),
    machines=(machine("saw"), machine("planer"), machine("lathe", loss=2.0)), collector=collector(losses=(FILTER,)),
    sets=(*((name,) for name in NAMES), NAMES),
)  # fmt: skip
TRUTH = Tuned(
    on=True, collector=0.9, filter=1.5, leakage=0.6, own_ports=tuple(TunedPort(port=f"{name}/hood", loss=loss) for name, loss in
    (("saw", 1.5), ("planer", 0.9), ("lathe", 1.1))),
)  # fmt: skip


@pytest.fixture(scope="module")
def tuned():
    return fit(measured(SHOP, TRUTH))


def test_a_known_truth_comes_out_of_its_readings(tuned):
    found = {one.of: one for one in tuned.moved}
    assert found["collector"].factor == pytest.approx(0.9, abs=0.02) and found["filter"].factor == pytest.approx(1.5, rel=0.03)
    assert found["saw/hood"].low < 1.5 < found["saw/hood"].high and found["planer/hood"].factor == pytest.approx(0.9, abs=0.05)
    assert all(found[name].verdict == BELIEVABLE for name in ("collector", "filter", "saw/hood"))
    assert tuned.before > 4 * tuned.after and tuned.after < 1.0 and not tuned.far_off and not tuned.left_out
    # What it foresees where nothing was read is nearer to the truth than before.
    there = [Reading(gate_set="saw", what=what, value="1", port="saw/hood") for what in ("flow", "suction")]
    told, true, plain = foreseen([tuned.design, replace(tuned.design, tuned=TRUTH), SHOP], there)
    assert told == pytest.approx(true, rel=0.05) and all(abs(a - b) < 0.4 * abs(c - b) for a, b, c in zip(told, true, plain, strict=True))


def test_the_truth_lies_where_it_is_said_to_nine_times_in_ten():
    """Over simulated noise; fewer than nine in ten would be too sure. 22 of 25 on average, at least 18 nearly always (binomial)."""
    truth = {"collector": 0.9, "filter": 1.5, "leakage": 0.6, "saw/hood": 1.5, "planer/hood": 0.9}
    held = 0
    for seed in range(5):
        found = {one.of: one for one in fit(measured(SHOP, TRUTH, noise=0.02, seed=seed)).moved}
        held += sum(found[name].low <= true <= found[name].high for name, true in truth.items())
    assert held >= 18


def test_with_one_reading_what_is_believed_holds():
    whole = measured(SHOP, TRUTH)
    found = fit(replace(whole, readings=whole.readings[:1]))
    assert all(abs(one.moved) < 1.0 and one.low <= (0.0 if one.of == "leakage" else 1.0) <= one.high for one in found.moved)
    assert {one.of for one in found.moved if one.verdict != NOT_TOLD} == {"collector", "filter"}
    assert found.design.tuned.own_ports == () and found.after < found.before


def test_a_leak_test_tells_how_much_leaks():
    whole = measured(SHOP, TRUTH)
    (stop,) = (stop for stop in stops(whole, ALL_SHUT) if stop.what == "flow")
    whole = with_point(whole, stop)
    reading = reading_at(whole, ALL_SHUT, stop, "1", DAY)
    ((flow,),) = foreseen([replace(whole, tuned=TRUTH)], [reading])
    leaking = replace(reading, value=f"{flow:.5g} m3/s", give_or_take=f"{0.02 * flow:.3g} m3/s", baseline=True)
    found = fit(replace(whole, readings=(*whole.readings, leaking)))
    leakage = next(one for one in found.moved if one.of == "leakage")
    assert leakage.factor == pytest.approx(0.6, rel=0.05) and leakage.verdict == BELIEVABLE
    # What it may leak goes from nothing to what its class allows, whatever it was tuned to.
    (after,), (before,) = (expected(each, [leaking]) for each in (found.design, whole))
    assert after.low == before.low == 0.0 and after.value == pytest.approx(flow, rel=0.05) and after.high == pytest.approx(before.high, rel=0.1)


def test_ports_the_readings_do_not_tell_apart_share_a_factor():
    heavy = replace(TRUTH, own_ports=(), ports=2.0)
    whole = measured(SHOP, heavy)
    together = tuple(one for one in whole.readings if one.gate_set == "saw + planer + lathe" and one.what in ("inlet suction", "flow"))
    found = fit(replace(whole, readings=together))
    assert found.design.tuned.own_ports == () and found.design.tuned.ports > 1.2


def test_what_cannot_be_believed_is_said_to_be_so():
    weak = fit(measured(SHOP, Tuned(on=True, collector=0.6)))
    assert next(one.verdict for one in weak.moved if one.of == "collector") == NOT_BELIEVABLE
    whole = measured(SHOP, TRUTH)
    slip = replace(whole.readings[1], value="30 Pa")
    off = fit(replace(whole, readings=(whole.readings[0], slip, *whole.readings[2:]))).far_off
    assert slip in off


def test_a_shop_as_designed_stays_as_designed():
    found = fit(measured(SHOP, Tuned()))
    assert all(abs(one.moved) < 0.1 for one in found.moved) and found.before < 0.01
    tight = fit(measured(replace(SHOP, leakage=Leakage(tightness="B")), Tuned()))
    assert tight.design.tuned.leakage is None or tight.design.tuned.leakage == pytest.approx(1.0, abs=0.1)


def test_tuned_readings_are_as_expected_and_the_file_keeps_it(tuned):
    design = tuned.design
    assert {found.verdict for found in verdicts(design, [replace(one, baseline=None) for one in design.readings])} == {AS_EXPECTED}
    kept = loads(dumps(replace(loads(KEPT), tuned=design.tuned)))
    assert kept.tuned == design.tuned


KEPT = """format = 1
name = "small"
[collector]
inlet = "160 mm"
free_air = "1 m3/s"
max_suction = "2 kPa"
"""


def test_it_is_told_as_long_as_it_is_on_and_when_it_is_stale(tuned):
    design = tuned.design
    assert tuned_note(design) == "tuned to readings of 2026-03-14" and tuned_briefly(design) == "tuned 2026-03-14" and not why_stale(design)
    assert tuned_note(switched(design, on=False)) == "" == tuned_briefly(SHOP) and is_tuned(switched(design, on=False)) and not is_tuned(SHOP)
    longer = replace(design, runs=(replace(design.runs[0], pieces=(*design.runs[0].pieces, *design.runs[0].pieces)), *design.runs[1:]))
    assert tuned_note(longer) == "tuned to readings of 2026-03-14, before the ducts changed" and tuned_briefly(longer) == "tuned 2026-03-14 (stale)"
    fewer = replace(design, readings=design.readings[1:])
    assert why_stale(fewer) == "before the baseline changed"
    # Names, and readings that are no baseline, change nothing.
    assert not why_stale(replace(design, name="other", readings=(*design.readings, replace(design.readings[0], baseline=None))))
    renamed = set_field(set_field(design, RunAt(0), "id", "trunk"), GateSetAt(0), "name", "at the saw")
    assert renamed.readings[0].gate_set == "at the saw" and not why_stale(renamed)


@pytest.mark.parametrize("readings, why", [
    ((), "no baseline to tune to"),
    ((Reading(what="inlet suction", value="900 Pa", gate_set="saw"),), "no baseline to tune to"),
    ((Reading(what="inlet suction", value="900 Pa", gate_set="gone", baseline=True),), "no gate set 'gone'"),
    ((Reading(what="inlet suction", value="90 kPa", gate_set="saw", baseline=True),), "more than the collector can give"),
    ((Reading(what="inlet suction", value="900 Pa", gate_set="saw", baseline=True, ducts="else"),), "others when it was taken"),
])  # fmt: skip
def test_without_a_baseline_that_serves_nothing_is_tuned(readings, why):
    with pytest.raises(Untunable, match=why):
        fit(replace(SHOP, readings=readings))
