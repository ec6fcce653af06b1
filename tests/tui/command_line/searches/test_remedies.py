"""`kerfdraft remedies` and `kerfdraft throttle`: what they print, what they write, their exit status."""

from __future__ import annotations

import json

import pytest

from engine import load
from engine.checks.assess import assess
from tests import SAVED_DESIGNS
from tui.command_line.command import main

DEMOS = SAVED_DESIGNS
FLAWED, MENDED, SHED = (str(DEMOS / f"{name}.toml") for name in ("signal_box", "signal_box_mended", "boat_shed"))


@pytest.mark.parametrize("path", [FLAWED, MENDED])
def test_remedies_have_the_status_of_the_design(path, capsys):
    assert main(["remedies", path]) == (1 if assess(load(path)).count("fault") else 0)
    out, err = capsys.readouterr()
    assert err == "" and max(map(len, out.splitlines())) <= 80
    assert (" filter cleaned " in out) == (path == FLAWED)  # in the mended shop it would make the lathe drop too fast


def test_a_remedy_is_written(tmp_path, capsys):
    assert main(["remedies", FLAWED, "--json", "--pairs"]) == 1
    found = json.loads(capsys.readouterr().out)["remedies"]
    out = tmp_path / "out.toml"
    assert main(["remedies", FLAWED, "--pairs", "--take", "3", "--write", str(out)]) == 1
    printed = capsys.readouterr().out
    assert "with remedy 3" in printed
    flat = " ".join(printed.split())
    assert f"3. {found[2]['title']}: {found[2]['reason']}" in flat and f" 1. {found[0]['title']}" not in flat
    assert assess(load(out)).count("fault") == found[2]["standing"]["faults"]


def test_throttled_gates_are_written(tmp_path, capsys):
    out = tmp_path / "out.toml"
    assert main(["throttle", FLAWED, "router and bench", "--write", str(out)]) == 0
    assert "bench gate" in capsys.readouterr().out
    [written] = [one for one in load(out).gate_sets if one.throttle]
    assert written.name == "router and bench" and assess(load(out)).neediest(assess(load(out)).sets[5])[1] >= 1.0


def test_throttle_all_sets_and_even(capsys):
    assert main(["throttle", MENDED]) == 1
    assert "no: even with every other gate throttled, arching bench/downdraft" in capsys.readouterr().out
    assert main(["throttle", SHED, "--even", "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["gate_sets"]) == 10


def test_nothing_to_write_says_so(tmp_path, capsys):
    out = tmp_path / "out.toml"
    assert main(["throttle", FLAWED, "saw and sander", "--write", str(out)]) == 0
    assert "is not written" in capsys.readouterr().err and not out.exists()


@pytest.mark.parametrize("arguments", [
    ["remedies", "none.toml"], ["throttle", "none.toml"], ["remedies"], ["throttle", FLAWED, "no such set"],
    ["remedies", FLAWED, "--take", "2"], ["remedies", FLAWED, "--take", "999", "--write", "out.toml"],
    ["remedies", FLAWED, "--take", "0", "--write", "out.toml"], ["remedies", FLAWED, "--take", "x"],
    ["remedies", FLAWED, "--json", "--write", "no/such/folder/out.toml"],
    ["throttle", SHED, "shaping", "--json", "--write", "no/such/folder/out.toml"],
])  # fmt: skip
def test_wrong_use_is_one_line_and_status_2(arguments, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(arguments) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1 and err.startswith("kerfdraft: ") and list(tmp_path.iterdir()) == []
