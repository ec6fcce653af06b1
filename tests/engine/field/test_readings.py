"""Readings against what they should be: figures by the solver, verdicts on both sides of their limits. Readings are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from engine import load
from engine.air.bands import band, doubts
from engine.checks.assess import assess
from engine.design import Gate, GaugePoint, Reading
from engine.design.places import MachineAt, PieceAt, SizeAt
from engine.edits.edits import run_place, set_field
from engine.field.built import as_built, mark_of, to_hang
from engine.field.expected import Expected, expected, foreseen
from engine.field.spots import Unforeseen, gate_set_of
from engine.field.verdicts import AS_EXPECTED, LOOK, WRONG, impossible, verdicts
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
    assert as_built(lost).runs == ()


@pytest.mark.parametrize(
    "place, why",
    [
        ({"at": "old main"}, "no run 'old main' any more"), ({"port": "mangle/hood"}, "no port 'mangle/hood' any more"),
        ({"test_point": "A"}, "no test point 'A' any more"), ({"at": DROP, "gate_set": "old set"}, "no gate set 'old set' any more"),
        ({"at": DROP, "from_collector": Quantity(90.0, "90 m")}, "before that place"), ({"at": DROP, "gate_set": None}, "which gate set"),
    ],
)  # fmt: skip
def test_readings_of_what_is_gone_are_kept_and_told(place, why):
    (found,) = verdicts(DESIGN, [reading(**place)])
    assert found.expected is None and found.verdict == LOOK and why in found.reason and "\n" not in found.reason


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
    assert stale.stale and stale.verdict == LOOK and stale.reason.startswith("stale")
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
    ("speed", "900 m/s", "look at the unit"), ("filter drop", "9 kPa", "more than the collector can give"),
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
