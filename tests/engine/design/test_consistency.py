"""The rules of a design: each with a file that breaks it, and it alone."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from engine.checks.assess import assess
from engine.design import Gate, GateSet
from engine.design.mistake import LONGEST_LINE, MOST_MISTAKES, nearest_size
from engine.design.rules.consistency import MOST_GATE_SETS, MOST_RUNS, RULES, mistakes, nearest_word, row_path
from engine.files.design_file import loads
from engine.files.design_reader import Reader
from tests.engine.design.broken_rules import BROKEN, CURVE
from tests.shops.design_strategies import designs
from tests.shops.design_texts import RECORDS, WHOLE, changed, line_number, mistakes_in, only_mistake


@pytest.mark.parametrize(("where", "said", "changes", "nearest", "line"), BROKEN)
def test_a_broken_rule_is_told(where, said, changes, nearest, line):
    text = changed(*changes)
    mistake = only_mistake(*changes)
    assert mistake.where == where
    assert said in str(mistake)
    assert not nearest or mistake.nearest == nearest
    assert mistake.line == line_number(text, line or changes[0][1])


def test_a_whole_design_breaks_none():
    assert mistakes(loads(WHOLE)) == ()


def test_what_records_point_at_may_be_gone():
    design = loads(WHOLE + RECORDS)
    assert mistakes(design) == () and design.readings[1].at not in {run.id for run in design.runs}


def test_runs_that_lead_in_a_ring_are_named():
    found = mistakes_in(changed(('joins = "main"\nbore', 'joins = "saw guard"\nbore'), ('ends = "saw/guard"\n', "")))
    (mistake,) = found
    assert "ring" in mistake.found and '"saw main"' in mistake.found and '"saw guard"' in mistake.found and '"main"' not in mistake.found


def test_a_run_that_joins_itself_is_a_ring():
    assert "ring of 1" in str(mistakes_in(changed(('joins = "main"\nas', 'joins = "planer drop"\nas'), ('ends = "planer/hood"\n', "")))[0])


def test_without_a_root_both_the_lack_and_the_ring_are_told():
    found = {mistake.where: str(mistake) for mistake in mistakes_in(changed(('joins = "collector"', 'joins = "saw main"')))}
    assert "no run joins the collector" in found["run"] and any("ring" in said for said in found.values())


def test_no_runs_at_all_are_fine():
    bare = WHOLE[: WHOLE.index("[[run]]")]
    assert mistakes(loads(bare)) == ()


def test_every_broken_rule_is_told_at_once():
    found = mistakes_in(
        changed(("126 mm", "12 mm"), ("planer/hood", "planer/hod"), ("inlet suction", "fan total"), ('gate = "saw gate"', 'gate = "planer gate"'))
    )
    assert [mistake.where for mistake in found] == [
        "collector.basis",
        'stock["spiral"].size["125"].outside',
        'run["planer drop"].ends',
        'run["saw below"].pieces[0].gate',
    ]


def test_a_free_air_estimate_stands_in_for_a_curve():
    assert mistakes(loads(changed((CURVE, 'free_air = "2600 m^3/h"\nmax_suction = "2400 Pa"\n')))) == ()


def test_every_rule_is_broken_by_one_of_the_files():
    drafts = [Reader(tomllib.loads(changed(*case.values[2]))).design() for case in BROKEN]
    drafts += [replace(loads(WHOLE), runs=loads(WHOLE).runs * MOST_RUNS)]
    for rule, _ in RULES:
        assert any(list(rule(draft)) for draft in drafts), rule.__name__


@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(designs())
def test_what_breaks_no_rule_can_be_assessed(design):
    assert mistakes(design) == ()
    assert len(assess(design).sets) == max(1, len(design.gate_sets))


def test_limits_are_told_in_the_units_shown():
    found = mistakes_in(changed(('display = "metric"', 'display = "imperial"'), ('fast = "28 m/s"\n', ""), ("18 m/s", "6000 fpm")))
    assert str(found[0]).endswith('slow_main: "6000 fpm"; wanted: at most fast, about 5510 ft/min as usual')


def test_lists_have_a_longest_length():
    design = loads(WHOLE)
    sets = tuple(GateSet(name=f"{i}") for i in range(MOST_GATE_SETS + 1))
    assert mistakes(replace(design, gate_sets=sets[:-1])) == ()
    assert [str(mistake) for mistake in mistakes(replace(design, gate_sets=sets))] == ["gate_set: 65 of them; wanted: at most 64"]
    last = replace(design.runs[4], as_=None, ends=None)
    ways = [replace(last, id=f"{i}", joins=f"{i - 1}" if i else "saw guard") for i in range(MOST_RUNS)]
    runs = (*design.runs[:4], replace(design.runs[4], ends=None), *ways)
    assert mistakes(replace(design, runs=runs[:MOST_RUNS])) == ()
    assert [str(mistake) for mistake in mistakes(replace(design, runs=runs[: MOST_RUNS + 1]))] == ["run: 501 of them; wanted: at most 500"]


def test_what_is_told_keeps_within_bounds():
    design = loads(WHOLE)
    ring = tuple(replace(design.runs[0], id=f"{i:03d}" * 26, joins=f"{(i + 1) % 400:03d}" * 26) for i in range(400))
    (mistake,) = (mistake for mistake in mistakes(replace(design, runs=ring)) if "ring" in mistake.found)
    assert "a ring of 400 runs" in mistake.found and len(str(mistake)) <= LONGEST_LINE
    gates = replace(design.runs[0], pieces=(Gate(name="gate"),) * 2000)
    assert len(mistakes(replace(design, runs=(gates, *design.runs[1:])))) == MOST_MISTAKES + 1


@pytest.mark.parametrize(
    ("word", "nearest"),
    [("jions", "joins"), ("BORE", "bore"), ("planner/hood", "Planer/Hood"), ("hood", "Planer/Hood"), ("zzz", ""), ("", ""), ("x" * 10**6, "")],
)
def test_the_nearest_word(word, nearest):
    assert nearest_word(word, ["joins", "bore", "Planer/Hood", "ends"]) == nearest


@pytest.mark.parametrize(
    ("name", "nearest"),
    [
        ("spiral/130", "spiral/125"),
        ("spiral/999", "spiral/160"),
        ("spiral/16", "spiral/160"),
        ("spiral/1000", "spiral/100"),
        ("hose/5 in", "hose/4 1/2 in"),
        ("hose/4 in", "hose/4 in"),
        ("hose/5,5 in", "hose/6 in"),
        ("spiral/medium", "spiral/160"),
        ("sprial/150", "spiral/160"),
        ("sewer/110", "spiral/100"),
        ("160", "spiral/160"),
        ("x" * 10**6, ""),
        ("", ""),
    ],
)
def test_the_nearest_size_is_of_the_same_stock_and_nearest_in_number(name, nearest):
    known = ["hose/4 in", "hose/4 1/2 in", "hose/6 in", "spiral/100", "spiral/125", "spiral/160"]
    assert nearest_size(name, known) == nearest


def test_rows_are_named_safely():
    assert row_path("run", "main") == 'run["main"]'
    assert row_path("run", 'a"b\x1b[2J\u202e') == r'run["a\"b?[2J?"]'
    assert row_path("run", "x" * 80) == f'run["{"x" * 37}..."]'
