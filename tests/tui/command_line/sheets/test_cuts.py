"""`kerfdraft cuts`: any list of lengths, the cut list of a design, and how it refuses. Designs are invented."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.shops.parts_shop import TEXT
from tui.command_line import main


@pytest.fixture
def loft(tmp_path) -> Path:
    path = tmp_path / "loft.toml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_any_list_is_cut_and_told_in_metres(capsys):
    assert main(["cuts", "--stick", "3 m", "--kerf", "3 mm", "--json", "1.2 m", "0.85 m", "x4", "440 mm x7"]) == 0
    [stock] = json.loads(capsys.readouterr().out)["stocks"]
    assert stock["proven"] is True and stock["bound"] == 3 and len(stock["sticks"]) == 3
    cuts = [(cut["cut"], cut["length"]) for stick in stock["sticks"] for cut in stick["cuts"]]
    assert sorted(cuts) == sorted([("1.2 m", 1.2), *[("0.85 m", 0.85)] * 4, *[("440 mm", 0.44)] * 7])
    assert all(stick["stick"] == 3.0 for stick in stock["sticks"])


def test_every_stick_is_a_bar_that_fits_the_page(capsys):
    assert main(["cuts", "--stick", "10 ft", "--offcut", "2ft x2", "19 3/8in", "x9", '6 1/2"', "x4"]) == 0
    printed = capsys.readouterr().out
    lines = printed.splitlines()
    assert max(map(len, lines)) <= 80 and "the fewest there can be (proven)" in " ".join(printed.split())
    assert sum(line.count("=|") > 0 for line in lines) >= 2


def test_several_lengths_are_bought_by_price(capsys):
    assert main(["cuts", "--stick", "2 m @ 5", "--stick", "3 m @ 9", "--kerf", "0 mm", "--json", "1 m", "x6"]) == 0
    [stock] = json.loads(capsys.readouterr().out)["stocks"]
    assert (stock["least"], stock["total"], stock["bound"]) == ("price", 15.0, 15.0)


def test_a_design_is_cut_size_by_size(loft, capsys):
    assert main(["cuts", str(loft), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [stock["size"] for stock in told["stocks"]] == ["spiral/100", "spiral/160"]
    assert {cut["cut"] for stick in told["stocks"][1]["sticks"] for cut in stick["cuts"]} == {"main / 1 a", "main / 1 b", "main / 2"}
    assert main(["cuts", str(loft)]) == 0
    printed = capsys.readouterr().out
    assert "main / 2: 2000 mm" in printed and "too short" in printed and max(map(len, printed.splitlines())) <= 80


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (["1 m"], "wanted: --stick LENGTH"),
        (["--stick", "3 m", "4 m"], "4 m is longer than every stick; wanted: two pieces and a coupling"),
        (["--stick", "3 m", "1 m", "two"], "'two' is not one number with a unit"),
        (["--stick", "3 m", "1"], "'1' has no unit"),
        (["--stick", "3 m", "x3", "1 m"], "'x3' stands before every length"),
        (["--stick", "3 m", "1 m", "x0"], "x0 of a length"),
        (["--stick", "3 m", "1 m", "x99999"], "too many"),
        (["--stick", "3 m @ 5", "--stick", "2 m", "1 m"], "a price for every length, or for none"),
        (["--stick", "3 m @ -5", "1 m"], "has no price"),
        (["--stick", "0 m", "1 m"], "wanted more than 0"),
        (["--stick", "3 m", "--kerf=-1 mm", "1 m"], "--kerf '-1 mm' is no length"),
        (["--stick", "3 m", "--seconds", "0", "1 m"], "--seconds wants more than 0"),
        (["nonesuch.toml"], "no such file"),
        (["{}", "--offcut", "1 m"], "--offcut wants --stick beside it"),
        (["{}", "--seconds", "nan"], "--seconds wants more than 0"),
    ],
)
def test_what_cannot_be_cut_is_one_line_and_status_2(loft, arguments, wanted, capsys):
    assert main(["cuts", *(text.format(loft) for text in arguments)]) == 2
    out, err = capsys.readouterr()
    assert out == "" and wanted in err and err.count("\n") == 1
