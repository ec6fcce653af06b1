"""The text and the JSON of which machines may work together."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from engine import load
from engine.report.searches.together import as_json, as_text
from engine.search.together.companions import together
from engine.search.together.every_set import Grade
from tests.shops.set_shops import DEMOS, look_of
from tests.shops.small_shops import machine, run, shop


def found(design):
    return together(look_of(design))


def many(count: int, name: str = "machine with a rather long name, number"):
    drops = [run(f"r{i}", "main", 100, 2.0, as_="branch", ends=f"{name} {i}/hood") for i in range(count)]
    return shop(run("main", "collector", 160, 3.0), *drops, machines=[machine(f"{name} {i}") for i in range(count)])


@pytest.mark.parametrize("design", [*(load(path) for path in DEMOS), many(23), many(1), many(3, "x" * 90), shop()])
def test_it_fits_80_columns(design):
    assert max(map(len, as_text(found(design)).splitlines())) <= 80


def test_the_mended_demo_names_its_companions():
    text = as_text(found(load(DEMOS[-1])))
    assert "sets       31: every combination of 5 machines" in text
    assert "left out   plate router: no run leads there" in text
    block = text[text.index("\ndisc sander") :].split("\n\n")[0]
    assert "alone: fails" in block and "main" in block
    assert "with one arching bench" in block and "open too arching bench (may work as well): then it passes" in block


def test_what_was_not_tried_is_said():
    text = as_text(found(many(23, "m")))
    assert "at most 4 of 23 machines at work; more were not tried" in text


def test_a_machine_that_nothing_helps_is_told_why():
    design = many(2, "m")
    text = as_text(found(replace(design, machines=tuple(machine(one.id, needs=3.0) for one in design.machines))))
    assert text.count("passes in none of these sets") == 2 and "No set of machines passes." in text


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_json_holds_what_the_text_says(path):
    together_ = found(load(path))
    report = json.loads(as_json(together_))
    assert report["format"] == 1 and report["machines"] == list(together_.sets.machines)
    assert report["sets"]["complete"] and sum(report["grades"].values()) == report["sets"]["count"]
    assert len(report["passing"]) == report["grades"]["passes"] + report["grades"]["good"]
    for one, companions in zip(report["companions"], together_.companions, strict=True):
        assert one["machine"] == companions.machine
        assert (one["nearest"] is None) == (one["alone"] != "fails" or "passes" in one["helpers"])
        passing_pairs = {name for name, grade in one["beside"].items() if grade != "fails"}
        listed = {name for row in report["passing"] if len(row["machines"]) == 2 and one["machine"] in row["machines"] for name in row["machines"]}
        assert passing_pairs == listed - {one["machine"]}
    assert [len(row["machines"]) for row in report["passing"]] == sorted(len(row["machines"]) for row in report["passing"])
    assert all(row["flow"] > 0 and row["grade"] != "fails" for row in report["passing"])
    assert together_.count(Grade.GOOD) == report["grades"]["good"]
