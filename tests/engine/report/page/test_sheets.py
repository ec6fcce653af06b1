"""Who has only the paper can tell which gates to open, where to drill, what to buy and what is dangerous. Designs are invented."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import pytest

from engine.air.one.network import gates_for
from engine.checks import cautions
from engine.checks.assess import assess
from engine.design import Gate, GateSet, Run, Straight, Throttle
from engine.files.design_file import load
from engine.parts.price import price_of
from engine.report.page import svg
from engine.report.page.blocks import Block, Card, Drawing, Table, Words
from engine.report.page.charts import Line, chart
from engine.report.page.contents.told import head
from engine.report.page.job import Job
from engine.report.page.sheets import made, picked
from engine.units import parse
from engine.units.ranges import parse_range
from tests import SAVED_DESIGNS
from tests.shops.parts_shop import canoe_loft


@pytest.fixture(scope="module")
def job() -> Job:
    return Job(load(SAVED_DESIGNS / "signal_box_mended.toml"), "signal_box_mended.toml", date(2026, 11, 29))


def sheet(job: Job, name: str) -> tuple[Block, ...]:
    (found,) = made(job, picked(name))
    return found.blocks


def tables(blocks: tuple[Block, ...]) -> Iterator[Table]:
    for block in blocks:
        if isinstance(block, Table):
            yield block
        elif isinstance(block, Card):
            yield from tables(block.blocks)


def words(blocks: tuple[Block, ...]) -> str:
    return "\n".join(block.text if isinstance(block, Words) else words(block.blocks) for block in blocks if isinstance(block, Words | Card))


def test_a_card_tells_which_gates_to_open_and_which_to_shut(job):
    (card,) = [block for block in sheet(job, "gates") if isinstance(block, Card) and block.title == "band saw"]
    (told,) = tables((card,))
    rows = dict(told.rows)
    assert rows["OPEN"] == "band saw gate" and rows["SHUT"] == "planer gate, sander gate, bench gate, lathe gate"
    assert rows["JUDGED"].startswith("passes")


def test_every_gate_stands_on_every_card_once_as_it_is_solved(job):
    for card in sheet(job, "gates"):
        for table in tables((card,)):
            result = next(one for one in job.assessment.sets if table.name.startswith(f"{one.gate_set.name}: "))
            rows = {key: {name for name in text.split(", ") if name != "none"} for key, text in table.rows if key in ("OPEN", "SHUT")}
            assert rows["OPEN"] == gates_for(job.assessment.tree, result.gate_set.open)
            assert rows["OPEN"] | rows["SHUT"] == set(job.gates) and not rows["OPEN"] & rows["SHUT"]


def test_a_gate_that_is_throttled_is_told_by_its_opening(job):
    sets = job.design.gate_sets
    drawn = next(one for one in sets if "band saw" in one.open)
    throttled = tuple(replace(one, throttle=(Throttle(gate="band saw gate", open=0.5),)) if one is drawn else one for one in sets)
    blocks = sheet(Job(replace(job.design, gate_sets=throttled)), "gates")
    told = [row for table in tables(blocks) for row in table.rows if row[0] == "PART OPEN"]
    assert told == [("PART OPEN", "band saw gate: 50 mm of 100 mm")]


def test_a_machine_that_is_sucked_by_nothing_is_warned_of(job):
    (card,) = [block for block in sheet(job, "gates") if isinstance(block, Card) and block.title == "plate router"]
    assert card.blocks[0] == Words("No duct leads to this machine: it has nothing to suck its dust off.", "warning")


def judged(cards: tuple[Block, ...]) -> list[list[str]]:
    """What is judged of each way a machine works, card after card."""
    return [[text for table in tables((card,)) for key, text in table.rows if key == "JUDGED"] for card in cards if isinstance(card, Card)]


def test_a_set_that_does_not_pass_is_not_to_be_worked_so_and_stands_behind_those_that_do():
    every = judged(sheet(Job(load(SAVED_DESIGNS / "signal_box.toml")), "gates"))
    assert any("does not pass: do not work so" in one for one in every)
    for one in every:
        assert one == sorted(one, key=("passes", "passes, with cautions", "does not pass: do not work so").index)


def test_a_card_tells_why_a_set_does_not_pass():
    job = Job(load(SAVED_DESIGNS / "signal_box.toml"))
    failing = [result for result in job.assessment.sets if not job.assessment.passes(result)]
    assert failing
    for result in failing:
        *reasons, way_out = job.why_not(result)
        faults = {one.where for one in job.assessment.findings if one.severity == "fault" and one.gate_set == result.gate_set.name}
        assert reasons and len(reasons) <= len(faults) and way_out.startswith("No one gate opened besides")


def test_the_gate_that_frees_a_set_does(job):
    sander = GateSet(name="sander", open=("disc sander",))
    alone = Job(replace(job.design, gate_sets=(sander,)))
    *_, way_out = alone.why_not(alone.assessment.sets[0])
    assert way_out == "To work so, open arching bench too: then it passes."
    both = assess(replace(job.design, gate_sets=(replace(sander, open=("disc sander", "arching bench")),)))
    assert both.passes(both.sets[0])


def test_a_card_tells_what_a_gauge_shows_at_the_machine(job):
    (card,) = [block for block in sheet(job, "gates") if isinstance(block, Card) and block.title == "band saw"]
    (gauge,) = [text for table in tables((card,)) for key, text in table.rows if key == "GAUGE"]
    expected = [row for card in sheet(job, "tests") if isinstance(card, Card) for table in tables((card,)) for row in table.rows]
    assert any(row[0] == "suction" and gauge.startswith(f"{row[2]} of static suction at {row[1]}, {row[3]} to {row[4]}") for row in expected)


def test_holes_are_drilled_in_a_straight_that_is_long_enough(job):
    drill, depths = [table for table in tables(sheet(job, "tests")) if table.name.startswith(("Where", "How far"))]
    assert all(len(row) == 7 for row in depths.rows)
    straights = {run.id: [piece.length.si for piece in run.pieces if isinstance(piece, Straight)] for run in job.design.runs}
    assert len(drill.rows) > 3
    for _, where, behind, _, up, *_ in drill.rows:
        assert 0 < float(up.split(" mm")[0]) < 1000 * job.design.site.height.si
        run, _, number = where.rpartition(", straight ")
        assert 0 < float(behind.split(" mm")[0]) / 1000 < straights[run][int(number) - 1]


def test_the_test_sheet_expects_what_was_solved_within_its_band(job):
    flows = {result.gate_set.name: result.balance.flow for result in job.assessment.sets}
    for card in (block for block in sheet(job, "tests") if isinstance(block, Card)):
        (table,) = tables((card,))
        ((told, low, high),) = [(row[2], row[3], row[4]) for row in table.rows if row[0] == "flow"]
        assert told == job.show(flows[next(name for name in flows if card.title.startswith(f"{name}: "))], "flow")
        assert all(float(row[3]) <= float(row[2].split()[0]) <= float(row[4]) for row in table.rows) and float(low) < float(high)


def test_a_filter_wants_cleaning_at_more_than_it_takes_clean(job):
    (table,) = tables(sheet(job, "filter"))
    assert len(table.rows) == len(job.assessment.sets)
    assert all(float(clean.split()[0]) < float(dirty.split()[0]) for _, clean, dirty in table.rows)


def test_a_collector_that_tells_nothing_of_its_filter_leaves_blanks():
    blocks = sheet(Job(canoe_loft()), "filter")
    assert "Nothing can be told" in words(blocks) and [set(row[1:]) for table in tables(blocks) for row in table.rows] == [{"________"}]


def test_all_that_is_bought_stands_on_the_list(job):
    table, *_ = tables(sheet(job, "parts"))
    priced, guessed = ([row[3] for row in table.rows if row[3] != "no price" and row[3].startswith("*") == star] for star in (False, True))
    assert sum(map(float, priced)) == pytest.approx(job.takeoff.total, abs=0.005 * len(table.rows))
    assert sum(float(price[2:]) for price in guessed) == pytest.approx(job.takeoff.estimated)
    gates = sum(isinstance(piece, Gate) for run in job.design.runs for piece in run.pieces)
    assert sum(int(row[0]) for row in table.rows if row[1].startswith("gate")) == gates


def test_a_need_in_a_range_is_told_with_its_ends(job):
    first = job.design.machines[0]
    wide = replace(first, ports=(replace(first.ports[0], needs=parse_range("700-900 m3/h", "flow")), *first.ports[1:]))
    (*_, table) = tables(sheet(Job(replace(job.design, machines=(wide, *job.design.machines[1:]))), "job"))
    assert any(row[3] == "800 m3/h, the middle of 700 to 900 m3/h" for row in table.rows), [row[3] for row in table.rows]


def test_every_port_of_a_machine_is_told_where_it_is_itself(job):
    first, *others = job.design.machines
    port = replace(first.ports[0], id="guard", up=parse("1.3 m", "length"))
    shop = replace(job.design, machines=(replace(first, ports=(*first.ports, port)), *others))
    (*_, told) = tables(sheet(Job(shop), "job"))
    at = {(row[0], row[1]): row[-1] for row in told.rows}
    assert at[first.id, "guard"].endswith(", 1.3 m") and at[first.id, "guard"] != at[first.id, first.ports[0].id]


def test_the_order_to_buy_in_names_every_run_once_and_ends_at_the_price_of_all(job):
    _, order = tables(sheet(job, "parts"))
    named = [run for row in order.rows for run in row[1].split(", ") if run]
    assert sorted(named) == sorted(run.id for run in job.design.runs if run.ends or any(other.joins == run.id for other in job.design.runs))
    assert float(order.rows[-1][3]) == pytest.approx(price_of(job.design).total, abs=0.01)


def test_cuts_and_what_is_left_make_up_every_stick(job):
    drawings = [block for card in sheet(job, "cuts") if isinstance(card, Card) for block in card.blocks if isinstance(block, Drawing)]
    assert len(drawings) == len(job.cuts.cuttings)
    assert sum(drawing.svg.count('class="cut"') for drawing in drawings) <= sum(
        len(one.cuts) for each in job.cuts.cuttings.values() for one in each.sticks
    )


def test_every_caution_that_holds_comes_first(job):
    titles = [block.title for block in sheet(job, "cautions") if isinstance(block, Card)]
    assert titles == [caution.title for caution in cautions.applying(job.design)] and titles


def test_a_design_with_faults_says_so_first_and_one_without_does_not(job):
    (first, *_) = head(Job(load(SAVED_DESIGNS / "signal_box.toml")))
    assert first.weight == "warning" and first.text.startswith("This design has ")
    assert not any("fault" in block.text for block in head(job))


def test_flows_stand_beside_their_bands(job):
    for table in tables(sheet(job, "results")):
        for _, flow, low, high, *_ in table.rows:
            assert float(low) <= float(flow) <= float(high)


def test_suction_falls_from_the_collector_outward_as_it_was_solved(job):
    for card in sheet(job, "suction"):
        (table,) = tables((card,))
        worst = next(one for one in job.assessment.sets if card.title.endswith(f", with {one.gate_set.name}"))
        for run, _, _, far, near in table.rows:
            state = worst.balance.runs[run]
            assert (far, near) == (job.number(state.suction_far, "pressure"), job.number(state.suction_near, "pressure"))


def test_names_that_find_no_room_are_told_nevertheless_and_within_the_drawing():
    frame = svg.Box(0.0, 0.0, 300.0, 60.0)
    wanted = [svg.Name(f"a name far longer than its room {number}", ((150.0, 30.0),)) for number in range(12)]
    told = "".join(svg.names(wanted, [[(0.0, 30.0), (300.0, 30.0)]], frame))
    assert all(name.text in told for name in wanted)


def test_a_name_stands_nearer_to_what_it_names_than_to_what_another_does():
    """Ways side by side, nearer to each other than their names are long."""
    ways = [((x, 20.0), (x, 180.0)) for x in (150.0, 180.0, 210.0)]
    wanted = [svg.Name(f"the long way {i}", ((way[0][0], 100.0),), way=way) for i, way in enumerate(ways)]
    told = re.findall(
        r'<text x="([0-9.]+)" y="[0-9.]+" class="">the long way (\d)', "".join(svg.names(wanted, ways, svg.Box(0.0, 0.0, 360.0, 200.0)))
    )
    assert len(told) == len(ways)
    for left, i in told:
        right = float(left) + len("the long way 0") * svg.LETTER * 0.56
        off = [max(float(left) - way[0][0], way[0][0] - right, 0.0) for way in ways]
        assert off[int(i)] == min(off)


@pytest.mark.parametrize(("least", "most"), [(0.0, 1e-6), (0.0, 0.7), (0.0, 1.0), (0.0, 9.99), (0.0, 1234.0), (0.0, 1e6), (-1e6, 1.0)])
def test_axes_hold_what_is_drawn_with_few_figures_beside_them(least, most):
    drawing = chart("", "", "", [Line([(0.0, least), (most, most)])])
    assert drawing.count("<text") < 30
    at = [tuple(map(float, spot.split(","))) for spot in drawing.rpartition('class="thin"')[0].rpartition('points="')[2].split('"')[0].split()]
    assert all(0 <= x <= 700 and 0 <= y <= 340 for x, y in at) and at[1][0] > 350


def test_a_shop_without_a_place_is_told_to_have_no_plan():
    bare = replace(canoe_loft(), runs=(Run(id="main", joins="collector", size="spiral/160"),), machines=(), gate_sets=())
    bare = replace(bare, collector=replace(bare.collector, east=None, north=None, up=None))
    assert "there is no plan" in words(sheet(Job(bare), "plan"))
