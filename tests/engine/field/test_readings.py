"""Readings against what they should be: figures by the solver, verdicts on both sides of their limits. Readings are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from engine import load
from engine.air.bands import band, doubts
from engine.air.losses.leaks import LEAK_EXPONENT
from engine.air.one.network import compile_tree
from engine.checks.assess import assess
from engine.design import Gate, GaugePoint, Leakage, Reading, Throttle
from engine.design.places import MachineAt, PieceAt, SizeAt
from engine.edits.edits import run_place, set_field
from engine.field.built import as_built, cut_off, mark_of, to_hang
from engine.field.expected import Expected, expected, foreseen
from engine.field.sheet import gates, stops
from engine.field.spots import ALL_SHUT, Unforeseen, gate_set_of
from engine.field.taking import candidates, latest, with_baseline, with_reading
from engine.field.verdicts import AS_EXPECTED, LOOK, WRONG, impossible, verdicts
from engine.report.field import as_text
from engine.units import Quantity, parse
from tests import SAVED_DESIGNS

DESIGN = load(SAVED_DESIGNS / "boat_shed.toml")
SET, PORT, DROP = "planing", "planer/hood", "planer drop"


def reading(what="suction", value="100 Pa", **rest) -> Reading:
    place = rest if {"at", "port", "test_point"} & set(rest) else rest | {"port": PORT}
    return Reading(**{"gate_set": SET, "what": what, "value": value, **place})


def state_of(runs, hung):
    return tuple(replace(run, state="hung") if run.id in hung else run for run in runs)


@pytest.fixture(scope="module")
def solved():
    return next(result for result in assess(DESIGN).sets if result.gate_set.name == SET)


def test_a_port_reads_what_the_balance_says_within_the_band_of_its_flow(solved):
    flow, suction = expected(DESIGN, [reading("flow"), reading("suction")])
    state = solved.balance.ports[PORT]
    about = band(doubts(DESIGN, assess(DESIGN).tree), solved)[PORT]
    assert (flow.value, flow.low, flow.high) == pytest.approx((state.flow, about.low, about.high), rel=1e-5)
    assert suction.value == pytest.approx(state.suction, rel=1e-4) and suction.low < suction.value < suction.high


def test_a_run_reads_as_its_ends_do(solved):
    near, middle, far = expected(
        DESIGN, [reading(at=DROP, from_collector=Quantity(at, "")) if at is not None else reading(at=DROP) for at in (0.0, None, 1.0)]
    )
    state = solved.balance.runs[DROP]
    assert near.value == pytest.approx(state.suction_near, abs=0.1)
    assert near.value > far.value > middle.value >= state.suction_far - 0.1  # the run is more than 2 m long


def test_a_filter_that_is_known_leaves_its_doubt_out():
    clean, used, dirty = expected(DESIGN, [reading("filter drop", filter=state) for state in ("clean", "used", "dirty")])
    assert clean.value < used.value < dirty.value
    assert used.high - used.low > 3 * (clean.high - clean.low)
    at_1000 = [parse(text, "pressure").si for text in ("0.5 inH2O", "1.1 inH2O", "2.2 inH2O")]
    flow = expected(DESIGN, [reading("flow", filter="clean", at="collector")])[0].value
    assert clean.value == pytest.approx(at_1000[0] * flow / parse("1000 cfm", "flow").si, rel=1e-3)


def test_many_designs_are_foreseen_as_each_alone():
    other = replace(DESIGN, collector=replace(DESIGN.collector, swirl=0.2))
    readings = [reading("flow"), reading("inlet suction"), reading("speed", at=DROP), reading(at="nowhere")]
    alone = [[found.value if isinstance(found, Expected) else None for found in expected(each, readings)] for each in (DESIGN, other)]
    many = foreseen([DESIGN, other], readings)
    for one, values in zip(alone, many, strict=True):
        assert values[:3] == pytest.approx(one[:3], rel=1e-5) and values[3] is None
    assert many[1][0] < many[0][0]


def test_behind_a_joint_with_a_loss_of_its_own_nothing_is_foreseen_without_air():
    runs = tuple(replace(run, loss=2.0) if run.id == "jointer drop" else run for run in DESIGN.runs)
    idle, drawing = expected(replace(DESIGN, runs=runs), [reading(at="jointer drop"), reading(at="jointer drop", gate_set="planing and jointing")])
    assert isinstance(idle, Unforeseen) and "loss of its own" in str(idle) and isinstance(drawing, Expected)


def test_only_what_hangs_is_foreseen():
    hung = {"riser", "east main", DROP}
    partly = replace(DESIGN, runs=state_of(DESIGN.runs, hung))
    assert as_built(DESIGN).runs == DESIGN.runs and {run.id for run in as_built(partly).runs} == hung
    assert set(to_hang(partly)) == {run.id for run in DESIGN.runs} - hung
    flow, gone = expected(partly, [reading("flow"), reading(at="east main 2")])
    assert isinstance(flow, Expected) and isinstance(gone, Unforeseen) and "does not hang yet" in str(gone)
    lost = replace(DESIGN, runs=state_of(DESIGN.runs, {DROP}))
    assert as_built(lost).runs == () and cut_off(lost) == (DROP,) and cut_off(partly) == ()
    assert set(to_hang(lost)) == {run.id for run in DESIGN.runs} - {DROP}
    [there] = expected(lost, [reading(at=DROP)])
    assert isinstance(there, Unforeseen) and "not all of its way to the collector" in str(there)
    assert f"hung, but with no way to the collector yet: {DROP}" in as_text(lost, []) and DROP not in as_text(partly, [])


@pytest.mark.parametrize(
    "place, why",
    [
        ({"at": "old main"}, "no run 'old main'"), ({"port": "mangle/hood"}, "no port 'mangle/hood'"),
        ({"test_point": "A"}, "no test point 'A'"), ({"at": DROP, "gate_set": "old set"}, "no gate set 'old set'"),
        ({"at": DROP, "from_collector": Quantity(90.0, "90 m")}, "before that place"), ({"at": DROP, "gate_set": None}, "which gate set"),
    ],
)  # fmt: skip
def test_readings_of_what_is_gone_are_kept_and_told(place, why):
    (found,) = verdicts(DESIGN, [reading(**place)])
    assert found.expected is None and found.verdict == LOOK and why in found.reason and "\n" not in found.reason
    # That the design had it once is known by the mark of its ducts alone.
    (marked,) = verdicts(DESIGN, [reading(**place, ducts="00000000")])
    assert "any more" not in found.reason and ("any more" in marked.reason) == why.startswith("no ")


def test_a_place_is_one_however_a_reading_names_it():
    place = Quantity(1.0, "1 m")
    base = reading(at=DROP, from_collector=place, value="1000 Pa", baseline=True)
    design = replace(DESIGN, test_points=(GaugePoint(id="A", at=DROP, from_collector=place),), readings=(base,))
    (found,) = verdicts(design, [reading(at=None, test_point="A")])
    assert (found.by, found.expected) == ("baseline", pytest.approx(1000.0)) and latest(design, found.reading) is base
    assert verdicts(design, [reading(at=DROP, from_collector=Quantity(1.2, "1.2 m"))])[0].by == "design"


def test_a_test_point_named_as_a_run_is_pointed_out():
    design = replace(DESIGN, test_points=(GaugePoint(id="A", at=DROP),))
    (found,) = verdicts(design, [reading(at="A")])
    assert found.reason == "the design has no run 'A': it has a test point of that name, wanted test_point = 'A'"


def test_a_reading_is_as_expected_within_its_band_wrong_at_twice_that():
    (found,) = verdicts(DESIGN, [reading()])
    up = found.high - found.expected
    for factor, verdict in ((0.98, AS_EXPECTED), (1.02, LOOK), (1.98, LOOK), (2.02, WRONG)):
        value = f"{found.expected + factor * up} Pa"
        assert verdicts(DESIGN, [reading(value=value)])[0].verdict == verdict
    surer = verdicts(DESIGN, [reading(give_or_take="1 Pa")])[0]
    assert surer.high - surer.expected < up


def test_a_baseline_is_what_later_readings_are_held_against():
    base = reading(value="1000 Pa", baseline=True, date=date(2026, 3, 1))
    design = replace(DESIGN, readings=(base,))
    for value, verdict in (("1050 Pa", AS_EXPECTED), ("1150 Pa", LOOK), ("1250 Pa", WRONG), ("750 Pa", WRONG)):
        (found,) = verdicts(design, [reading(value=value, date=date(2027, 3, 1))])
        assert (found.by, found.verdict) == ("baseline", verdict)
        assert found.expected == pytest.approx(1000.0)
    assert verdicts(design, [base])[0].by == "design"


def test_readings_before_a_change_are_stale():
    mark = mark_of(DESIGN, gate_set_of(DESIGN, reading()))
    taken = reading(value="3000 Pa", ducts=mark)
    assert not verdicts(DESIGN, [taken])[0].stale and verdicts(DESIGN, [taken])[0].verdict == WRONG
    other = replace(DESIGN, runs=tuple(replace(run, pieces=run.pieces[:-1]) if run.id == "west main 7" else run for run in DESIGN.runs))
    (stale,) = verdicts(other, [taken])
    assert stale.stale and stale.verdict == WRONG and not stale.is_wrong and stale.reason.startswith("stale")
    base = replace(taken, baseline=True)
    assert verdicts(replace(other, readings=(base,)), [reading()])[0].by == "design"


def test_a_mark_is_of_what_the_air_depends_on_and_readings_follow_names():
    gate_set = gate_set_of(DESIGN, reading())
    mark = mark_of(DESIGN, gate_set)
    same = (
        replace(DESIGN, name="other", test_points=(GaugePoint(id="A", at=DROP),)),
        replace(DESIGN, collector=replace(DESIGN.collector, filter="dirty")),
        replace(DESIGN, runs=state_of(DESIGN.runs, {run.id for run in DESIGN.runs})),
        replace(DESIGN, gate_sets=DESIGN.gate_sets[1:] + DESIGN.gate_sets[:1]),
        replace(DESIGN, runs=DESIGN.runs[::-1]),
        replace(
            DESIGN,
            machines=tuple(replace(each, ports=tuple(replace(port, needs=Quantity(0.2, "")) for port in each.ports)) for each in DESIGN.machines),
        ),
    )
    others = (
        replace(DESIGN, runs=state_of(DESIGN.runs, {"riser", "east main", DROP})),
        replace(DESIGN, collector=replace(DESIGN.collector, swirl=0.1)),
        replace(DESIGN, machines=tuple(replace(each, ports=tuple(replace(port, loss=9.0) for port in each.ports)) for each in DESIGN.machines)),
    )
    assert {mark_of(each, gate_set) for each in same} == {mark} and mark not in {mark_of(each, gate_set) for each in others}
    assert len({mark_of(DESIGN, each) for each in DESIGN.gate_sets}) == len(DESIGN.gate_sets)
    taken = replace(DESIGN, readings=(reading(at=DROP, ducts=mark),))
    names = [(run_place(taken, DROP), "id", "new drop"), *((MachineAt(i), "id", f"new {i}") for i in range(len(taken.machines)))]
    names += [(SizeAt(i, j), "nominal", f"size {j}") for i, stock in enumerate(taken.stock) for j in range(len(stock.sizes))]
    names += [
        (PieceAt(i, j), "name", f"gate {i}.{j}") for i, run in enumerate(taken.runs) for j, piece in enumerate(run.pieces) if isinstance(piece, Gate)
    ]
    for place, field, name in names:
        taken = set_field(taken, place, field, name)
    assert taken.readings[0].at == "new drop" and not verdicts(taken, taken.readings)[0].stale


@pytest.mark.parametrize("what, value, why", [
    ("suction", "-3 Pa", "swap the tubes"), ("suction", "20 inH2O", "more than the collector can give"), ("flow", "9000 cfm", "look at the unit"),
    ("speed", "900 m/s", "20% more is let pass"), ("filter drop", "12 inH2O", "ends at 11."),
    ("inlet suction", "12 inH2O", "in the air of this shop"),
    ("velocity pressure", "9 kPa", "ends at 11."),
])  # fmt: skip
def test_what_cannot_be_is_doubted(what, value, why):
    assert why in impossible(DESIGN, reading(what, value))
    (found,) = verdicts(DESIGN, [reading(what, value)])
    assert found.verdict == WRONG and why in found.doubt
    # It never serves as a baseline.
    assert verdicts(replace(DESIGN, readings=(reading(what, value, baseline=True),)), [reading(what, value)])[0].by == "design"


def test_a_wrong_unit_is_asked_about():
    (found,) = verdicts(DESIGN, [reading(value="4.5 Pa")])
    assert found.verdict == WRONG and "in inH2O it would be as expected" in found.reason


def test_a_second_reading_of_a_day_is_judged_and_the_first_is_history():
    first, again = (reading(value=value, date=date(2026, 3, 1), baseline=base) for value, base in (("2.5 inH2O", True), ("9 inH2O", None)))
    design = with_reading(replace(DESIGN, readings=(first,)), again)
    assert design.readings == (first, again) and latest(design, again) is again
    assert [(found.repeated, found.is_wrong) for found in verdicts(design, design.readings)] == [(True, False), (False, True)]
    assert not verdicts(design, [replace(again)])[0].repeated  # what is not in the design yet
    told = as_text(design, verdicts(design, design.readings))
    assert told.index("wrong: 1") < told.index("read again later that day: 1") and "baseline" in told
    assert "no reading since 2027-01-01; 2 are older" in as_text(design, (), date(2027, 1, 1))


def test_a_baseline_is_of_what_is_as_expected_and_never_of_what_is_stale_or_cannot_be():
    day, mark = date(2026, 3, 1), mark_of(DESIGN, gate_set_of(DESIGN, reading()))
    values = {"suction": "4.5 inH2O", "inlet suction": "99 inH2O", "filter drop": "1 inH2O", "flow": "9 cfm"}
    taken = [reading(what, value, date=day, ducts=mark, **({} if what == "suction" else {"at": "collector"})) for what, value in values.items()]
    taken += [reading(at=DROP, date=day, ducts="other"), reading(at="riser", date=date(2026, 2, 1))]
    design = replace(DESIGN, readings=tuple(taken))
    found = candidates(design, day)
    assert [one.what for one in found.fit] == ["suction", "filter drop"]
    assert [one.reading.what for one in found.doubtful] == ["flow"] and [one.reading.at for one in found.unfit] == ["collector", DROP]
    based = with_baseline(design, found.fit)
    assert [bool(one.baseline) for one in based.readings] == [True, False, True, False, False, False]
    again = with_reading(based, replace(taken[0], value="4.6 inH2O"))
    anew = with_baseline(again, candidates(again, day).fit[-1:])
    assert [one.value for one in anew.readings if one.baseline] == ["1 inH2O", "4.6 inH2O"]


def test_a_closed_stage_holds_suction_and_draws_what_its_class_may_leak():
    """All shut: the collector's shut-off suction; the flow is what leaks, by EN 12237 at most k p^0.65 of the wall in the loosest class."""
    closed, flow = reading("inlet suction", gate_set=ALL_SHUT.name, at="collector"), reading("flow", gate_set=ALL_SHUT.name, at="collector")
    hung = replace(DESIGN, runs=state_of(DESIGN.runs, {"riser", "east main", DROP}))
    for stage in (DESIGN, hung):
        suction, leak = expected(stage, [closed, flow])
        loose = replace(stage, leakage=Leakage(tightness="A"))
        wall = sum(leak.conductance for leak in compile_tree(as_built(loose)).leaks if not leak.behind)  # beyond shut gates nothing draws
        allowed = wall * suction.value**LEAK_EXPONENT
        assert leak.value == pytest.approx(0.0, abs=1e-9) and leak.low == 0.0 and leak.high == pytest.approx(0.95 * allowed, rel=0.02)
        (tight,) = verdicts(stage, [replace(flow, value=f"{0.5 * allowed} m3/s")])
        (leaky,) = verdicts(stage, [replace(flow, value=f"{2.5 * allowed * 2118.88} cfm")])
        assert (tight.verdict, leaky.verdict) == (AS_EXPECTED, WRONG) and "leaks: listen" in leaky.reason
        assert verdicts(stage, [replace(closed, value=f"{0.7 * suction.value} Pa")])[0].verdict == WRONG
    assert [stop.what for stop in stops(DESIGN, ALL_SHUT)] == ["inlet suction", "flow"]


def test_the_gates_of_a_set_are_told():
    pair = next(each for each in DESIGN.gate_sets if len(each.open) == 2)
    told = gates(DESIGN, pair)
    assert len(told.open) == 2 and len(told.open) + len(told.shut) == sum(isinstance(piece, Gate) for run in DESIGN.runs for piece in run.pieces)
    part = replace(pair, throttle=(Throttle(gate=told.open[0], open=0.4),))
    assert gates(DESIGN, part).part == ((told.open[0], 0.4),) and gates(DESIGN, part).open == told.open[1:]
    assert not gates(DESIGN, ALL_SHUT).open
