"""`kerfdraft parts`: what it prints, and how it refuses. Designs are invented."""

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


def test_it_prints_a_list_with_its_total(loft, capsys):
    assert main(["parts", str(loft)]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("canoe loft: parts") and "lines without a price" in printed and "total" in printed


def test_json_is_alone_on_the_output(loft, capsys):
    assert main(["parts", str(loft), "--json", "--spares", "10"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {"kind", "stock", "bores", "count", "price"} <= told["items"][0].keys() and told["unpriced"] > 0


def test_two_designs_are_told_line_by_line(loft, tmp_path, capsys):
    other = tmp_path / "other.toml"
    other.write_text(TEXT.replace('straight = "2 m"', 'straight = "2.5 m"'), encoding="utf-8")
    assert main(["parts", str(loft), "--against", str(other)]) == 0
    assert "-0.5 m" in capsys.readouterr().out
    assert main(["parts", str(loft), "--against", str(loft), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["total"] == told["other"]["total"] and all(item["count"] == item["other"]["count"] for item in told["items"])


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (["nonesuch.toml"], "no such file"),
        (["{}", "--against", "nonesuch.toml"], "no such file"),
        (["{}", "--spares", "-1"], "--spares wants 0 to 100 per cent"),
        (["{}", "--budget", "0"], "--budget wants more than 0"),
        (["{}", "--budget", "nan"], "--budget wants more than 0"),
        (["{}", "--budget", "9", "--spares", "1"], "--spares has no use with --budget"),
        (["{}", "--budget", "9", "--against", "{}"], "not allowed with argument --"),
        (["{}", "--spares", "nan"], "--spares wants 0 to 100 per cent"),
    ],
)
def test_what_cannot_be_done_is_one_line_and_status_2(loft, arguments, wanted, capsys):
    assert main(["parts", *(text.format(loft) for text in arguments)]) == 2
    out, err = capsys.readouterr()
    assert out == "" and wanted in err and err.count("\n") == 1


def test_setting_out_is_told_as_text_and_as_json(loft, capsys):
    assert main(["setting-out", str(loft)]) == 0
    assert "1. main, spiral/160" in capsys.readouterr().out
    assert main(["setting-out", str(loft), "--json"]) == 0
    assert [run["run"] for run in json.loads(capsys.readouterr().out)["runs"]] == ["main", "saw drop", "lathe drop"]


def test_a_budget_tells_what_to_buy_first(loft, capsys):
    assert main(["parts", str(loft), "--budget", "130"]) == 0
    assert "then work: lathe" in capsys.readouterr().out
    assert main(["parts", str(loft), "--budget", "130", "--json"]) == 0
    assert [stage["machines"] for stage in json.loads(capsys.readouterr().out)["stages"]] == [["lathe"], ["saw"]]
