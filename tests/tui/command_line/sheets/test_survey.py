"""`kerfdraft survey`: one page that fits, with everything that the interview asks for."""

from __future__ import annotations

import pytest

from engine.report.survey_sheet import LINES, blank_sheet
from tui.command_line import main

ASKED = ("floor", "ceiling", "joists", "doors", "posts", "windows", "collector", "machine", "port", "at work at once", "true bore", "stick", "price",
         "inlet", "free air", "largest suction", "points between", "fan static", "filter", "WHAT HANGS")  # fmt: skip


@pytest.mark.parametrize(("options", "units", "bore"), [([], "metric", "mm"), (["--imperial"], "imperial", "in")])
def test_the_sheet_is_one_page_and_asks_in_the_order_of_the_interview(options, units, bore, capsys):
    assert main(["survey", *options]) == 0
    out, err = capsys.readouterr()
    assert err == "" and out == blank_sheet(units) + "\n" and out.isascii()
    assert len(out.splitlines()) <= LINES and max(map(len, out.splitlines())) <= 80
    at = 0
    for word in ASKED:
        at = out.index(word, at)
    assert f"port, {bore}" in out and "lock off" in out


def test_it_takes_no_file(capsys):
    assert main(["survey", "shop.toml"]) == 2
    assert "shop.toml" in capsys.readouterr().err
