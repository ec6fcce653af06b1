"""`kerfdraft field`: readings against what they should be. Readings are invented."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import pytest

from engine import load
from tests import SAVED_DESIGNS
from tui.command_line import main

READINGS = """
[[reading]]
date = 2026-03-01
gate_set = "planing"
what = "suction"
port = "planer/hood"
value = "4.4 inH2O"
give_or_take = "0.1 inH2O"
baseline = true

[[reading]]
date = 2026-05-01
gate_set = "planing"
what = "inlet suction"
value = "2 inH2O"
"""


@pytest.fixture
def shed(tmp_path):
    path = tmp_path / "shed.toml"
    path.write_text((SAVED_DESIGNS / "boat_shed.toml").read_text("utf-8") + READINGS, "utf-8")
    return path


def test_it_lists_readings_with_their_verdicts(shed, capsys):
    assert main(["field", str(shed)]) == 1
    printed = capsys.readouterr().out
    assert printed.index("wrong: 1\n  2026-05-01") < printed.index("as expected: 1\n  2026-03-01")
    assert max(map(len, printed.splitlines())) <= 80


def test_json_has_what_was_given_and_what_was_expected(shed, capsys):
    assert main(["field", str(shed), "--json"]) == 1
    first, second = json.loads(capsys.readouterr().out)["readings"]
    assert first["date"] == "2026-03-01" and first["value"] == pytest.approx(4.4 * 249.089, rel=1e-3) and first["baseline"] is True
    assert first["low"] < first["expected"] < first["high"] and first["verdict"] == "as expected"
    assert second["verdict"] == "wrong"


def test_since_leaves_out_what_is_older(shed, capsys):
    assert main(["field", str(shed), "--since", "2026-03-02", "--json"]) == 1
    assert len(json.loads(capsys.readouterr().out)["readings"]) == 1
    assert main(["field", str(shed), "--since", "2027-01-01"]) == 0
    assert "no reading since 2027-01-01; 2 are older" in capsys.readouterr().out


def test_a_date_that_is_none_gets_one_line(shed, capsys):
    assert main(["field", str(shed), "--since", "March"]) == 2
    assert "'March' is not a date" in capsys.readouterr().err


def test_a_design_is_tuned_to_its_baseline_and_written(shed, tmp_path, capsys):
    out = tmp_path / "tuned.toml"
    assert main(["field", str(shed), "--tune", "--write", str(out)]) == 0
    printed = capsys.readouterr().out
    assert "tuned to readings of 2026-03-01" in printed and "pressure of the collector's curve: " in printed and "not told by the readings" in printed
    assert max(map(len, printed.split("\n\nwritten")[0].splitlines())) <= 80
    tuned = load(out).tuned
    assert (tuned.on, tuned.readings, tuned.date) == (True, 1, date(2026, 3, 1))
    main(["field", str(out)])
    assert "tuned to readings of 2026-03-01" in capsys.readouterr().out
    off = tmp_path / "off.toml"
    main(["field", str(out), "--tuned", "off", "--write", str(off)])
    assert "tuned to readings" not in capsys.readouterr().out and load(off).tuned == replace(tuned, on=False)
    main(["check", str(out), "--json"])
    assert json.loads(capsys.readouterr().out)["tuned"] == "tuned to readings of 2026-03-01"


def test_tuning_as_json_gives_factors(shed, capsys):
    assert main(["field", str(shed), "--tune", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    collector = next(one for one in told["moved"] if one["of"] == "collector")
    assert collector["low"] < collector["factor"] < collector["high"] and told["readings"] == 1 and told["far_off"] == []


@pytest.mark.parametrize("words, why", [
    (["--tune", "--since", "2026-03-01"], "--since has no use with --tune"), (["--tune", "--tuned", "on"], "--tuned has no use with --tune"),
    (["--tuned", "on"], "wants a design that was tuned"), (["--write", "no such folder/new.toml"], "no such folder"),
    (["--write", "{}/new.toml"], "--write wants --tune or --tuned"),
])  # fmt: skip
def test_options_that_do_not_go_together_get_one_line(shed, words, why, capsys):
    assert main(["field", str(shed), *(word.format(shed.parent) for word in words)]) == 2
    told = capsys.readouterr()
    assert why in told.err and told.err.count("\n") == 1 and not told.out


def test_without_a_baseline_there_is_nothing_to_tune_to(tmp_path, capsys):
    path = tmp_path / "bare.toml"
    path.write_text((SAVED_DESIGNS / "boat_shed.toml").read_text("utf-8"), "utf-8")
    assert main(["field", str(path), "--tune"]) == 2
    told = capsys.readouterr()
    assert "no baseline to tune to" in told.err and told.err.count("\n") == 1 and not told.out
