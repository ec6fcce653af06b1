"""`kerfdraft field`: readings against what they should be. Readings are invented."""

from __future__ import annotations

import json

import pytest

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
    assert "2026-03-01\n  as expected" in printed and "1 as expected, 0 look, 1 wrong" in printed
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
    assert "no reading yet" in capsys.readouterr().out


def test_a_date_that_is_none_gets_one_line(shed, capsys):
    assert main(["field", str(shed), "--since", "March"]) == 2
    assert "'March' is not a date" in capsys.readouterr().err
