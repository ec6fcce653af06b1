"""Buying in stages. The shop is invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine import load
from engine.parts.price import price_of
from engine.parts.stages import at_work, least, stages
from engine.report.stages import stages_text
from tests import SAVED_DESIGNS
from tests.shops.parts_shop import TEXT, canoe_loft


def test_the_machine_that_costs_least_works_first():
    first, second = stages(canoe_loft(), 130.0)
    # Main 60 + elbow as 1.5 m at 10 + wye 30 = 105; lathe drop 1.55 m at 6 and a reducer as 1.5 m = 18.30;
    # saw drop 1.8 m at 6, an elbow at 9, hose 1.5 m at 12 = 37.80.
    assert (first.machines, first.runs, first.price) == (("lathe",), ("main", "lathe drop"), pytest.approx(123.30))
    assert (second.machines, second.runs, second.price) == (("saw",), ("saw drop",), pytest.approx(37.80))
    assert not first.over and not second.over


def test_all_stages_together_cost_what_the_ducts_cost_and_hang_every_run_once():
    design = load(SAVED_DESIGNS / "boat_shed.toml")
    for budget in (50.0, 400.0, 1e6):
        found = stages(design, budget)
        assert sum(stage.price for stage in found) == pytest.approx(price_of(design).total)
        assert sorted(run for stage in found for run in stage.runs) == sorted(run.id for run in design.runs)
        assert all(stage.price <= budget + 1e-9 or stage.over for stage in found)
    assert len(found) == 1


def test_hours_of_work_count_where_every_machine_says_them():
    worked = TEXT.replace('id = "saw"\n', 'id = "saw"\nhours = 20\n', 1).replace('id = "lathe"\n', 'id = "lathe"\nhours = 1\n', 1)
    assert stages(canoe_loft(worked), 150.0)[0].machines == ("saw",)


def test_a_budget_buys_the_machine_that_fits_it_whatever_its_hours():
    # The lathe's way is 123.30, the saw's 105 + 37.80; the saw works ten times as long and would come first.
    worked = canoe_loft(TEXT.replace('id = "saw"\n', 'id = "saw"\nhours = 20\n', 1).replace('id = "lathe"\n', 'id = "lathe"\nhours = 2\n', 1))
    first, second = stages(worked, 125.0)
    assert (first.machines, second.machines) == (("lathe",), ("saw",)) and not first.over
    assert stages(worked, 145.0)[0].machines == ("saw",)


def test_a_way_that_costs_more_than_the_budget_is_hung_run_by_run():
    first, second = stages(canoe_loft(), 110.0)
    assert (first.machines, first.runs, first.price, first.over) == ((), ("main",), pytest.approx(105.0), False)
    # What is left of the budget for the drops pays for both.
    assert second.machines == ("lathe", "saw") and second.price == pytest.approx(18.30 + 37.80)
    assert (least(canoe_loft()).any_stage, least(canoe_loft()).machine) == (pytest.approx(105.0), pytest.approx(123.30))


def test_a_run_that_costs_more_than_the_budget_says_so_and_what_has_no_price_is_named():
    first, second, *_ = stages(canoe_loft(TEXT.replace('nominal = "100", bore = "100 mm", price = 6.0', 'nominal = "100", bore = "100 mm"')), 50.0)
    assert first.over and first.runs == ("main",) and second.unpriced == ("spiral/100",)


def test_without_a_budget_every_stage_makes_one_machine_work():
    assert [stage.machines for stage in stages(canoe_loft())] == [("lathe",), ("saw",)]


def test_the_text_says_the_least_budget_that_works():
    design = canoe_loft()
    printed = stages_text(design, 50.0, stages(design, 50.0))
    assert "at least 105.00" in " ".join(printed.split()) and "at least 123.30" in " ".join(printed.split())
    assert max(map(len, printed.splitlines())) <= 80


def test_what_is_bought_costs_nothing_more():
    first, *_ = stages(canoe_loft(TEXT.replace('id = "main"\n', 'id = "main"\nstate = "bought"\n')), 130.0)
    assert first.runs == ("lathe drop", "saw drop") and first.price == pytest.approx(18.30 + 37.80)


def test_a_machine_whose_way_is_bought_works_already_and_pieces_in_hand_cost_nothing():
    states = {"main": "bought", "lathe drop": "hung"}
    design = canoe_loft()
    runs = tuple(replace(run, state=states.get(run.id)) for run in design.runs)
    bought = replace(design, runs=(*runs[:1], replace(runs[1], pieces=(*runs[1].pieces[:-1], replace(runs[1].pieces[-1], state="bought"))), runs[2]))
    [stage] = stages(bought, 130.0)
    # The saw's hose, 1.5 m at 12, is in hand.
    assert at_work(bought) == ("lathe",) and (stage.machines, stage.price) == (("saw",), pytest.approx(37.80 - 18.0))
