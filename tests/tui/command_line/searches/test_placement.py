"""`kerfdraft placement` and `kerfdraft draft`: what they print, what they write, their exit status."""

from __future__ import annotations

import json

import pytest

from engine import load
from engine.checks.assess import assess
from tests import SAVED_DESIGNS
from tui.command_line.command import main

MENDED = str(SAVED_DESIGNS / "signal_box_mended.toml")
WIDE = ["placement", MENDED, "--spacing", "2 m"]


def test_a_placement_is_mapped_and_written(tmp_path, capsys):
    out = tmp_path / "out.toml"
    assert main([*WIDE, "--take", "2", "--write", str(out)]) == 0
    told, err = capsys.readouterr()
    assert err == "" and max(map(len, told.splitlines())) <= 80 + len(str(out))
    assert "\n1. collector at" in told and f"written to {out}: collector at" in told
    assert load(out).collector.east != load(MENDED).collector.east and all(result.balance for result in assess(load(out)).sets)


def test_a_placement_as_json(capsys):
    assert main([*WIDE, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["today"]["east"] == pytest.approx(7.6) and told["grid"]["spots"]


def test_drafts_are_listed_and_written(tmp_path, capsys):
    out = tmp_path / "out.toml"
    assert main(["draft", MENDED, "--write", str(out)]) == 0
    told = capsys.readouterr().out
    assert "\n1. " in told and "\n2. " in told and "written to" in told
    assert load(out).runs != load(MENDED).runs


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["placement", "nowhere.toml"], "nowhere.toml"), (["draft", "nowhere.toml"], "nowhere.toml"),
        (["placement", MENDED, "--spacing", "ten"], "--spacing"), (["placement", MENDED, "--spacing", "0 m"], "--spacing"),
        ([*WIDE, "--take", "2"], "--take says which"), (["draft", MENDED, "--take", "99", "--write", "x.toml"], "there is no proposal 99"),
        (["draft", MENDED, "--write", "/nowhere/x.toml"], "not saved"), (["placement", MENDED, "--spacing", "90 m"], "no spot"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_one_line(arguments, words, capsys):
    assert main(arguments) == 2
    err = capsys.readouterr().err
    assert words in err and err.count("\n") == 1
