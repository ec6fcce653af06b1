"""`kerfdraft convert`: cards answered without a design."""

from __future__ import annotations

import json

import pytest

from tui.command_line import main


def test_it_answers_in_both_systems_of_units(capsys):
    assert main(["convert", "duct", "flow=1500 cfm", "bore=8 in"]) == 0
    printed = capsys.readouterr().out
    assert "21.8 m/s" in printed and "4297 ft/min" in printed


def test_json_is_in_si(capsys):
    assert main(["convert", "duct", "speed=20 m/s", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["card"] == "duct" and told["figures"]["pressure"] == pytest.approx(0.5 * 1.199 * 400, rel=0.002)


def test_without_a_card_it_lists_them(capsys):
    assert main(["convert"]) == 0
    printed = capsys.readouterr().out
    assert "pitot: a pitot traverse" in printed and max(map(len, printed.splitlines())) <= 80


@pytest.mark.parametrize(
    "words, why",
    [
        (["fan"], "no card 'fan'"), (["duct", "400 cfm"], "has no ="), (["duct", "bore=5 in", "bore=6 in"], "bore is given twice"),
        (["duct", "bore=5"], "has no unit"), (["--json"], "--json wants a card"),
    ],
)  # fmt: skip
def test_wrong_use_gets_one_line(words, why, capsys):
    assert main(["convert", *words]) == 2
    told = capsys.readouterr()
    assert why in told.err and told.err.count("\n") == 1 and not told.out
