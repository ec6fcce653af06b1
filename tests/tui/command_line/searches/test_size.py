"""`kerfdraft size`: what it prints and writes, and how it refuses. Designs are invented."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from engine import load
from engine.checks.assess import assess
from tests import SAVED_DESIGNS
from tui.command_line.command import main

DEMOS = SAVED_DESIGNS


@pytest.fixture
def mended(tmp_path) -> Path:
    """With the stores that it names beside it."""
    return shutil.copytree(DEMOS, tmp_path / "shops") / "signal_box_mended.toml"


def test_it_prints_the_sizes_found_and_writes_those_taken(mended, capsys):
    out = mended.with_name("out.toml")
    assert main(["size", str(mended), "--take", "2", "--write", str(out)]) == 0
    printed = capsys.readouterr().out
    assert "today's" in printed and "cheapest" in printed and "proposal 2" in printed
    assert assess(load(out)).count("fault") == 0
    assert [run.size for run in load(out).runs] != [run.size for run in load(mended).runs]


def test_json_is_in_si_units_and_alone_on_the_output(mended, capsys):
    assert main(["size", str(mended), "--json", "--without", "spiral/125"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["proposals"] and 1.0 < told["proposals"][0]["speeds"][0]["before"] < 60.0


def test_it_stops_after_the_seconds_given(capsys):
    assert main(["size", str(DEMOS / "boat_shed.toml"), "--seconds", "0.01"]) == 0
    assert "today's" in capsys.readouterr().out


def test_a_margin_is_given_to_every_machine(mended, capsys):
    assert main(["size", str(mended), "--margin", "5", "--json"]) == 0
    [first, *_] = json.loads(capsys.readouterr().out)["proposals"]
    assert first["standing"]["share"] >= 1.05 or "no faults" in first["title"]


def test_a_chart_names_the_run_and_its_bores(mended, capsys):
    assert main(["size", str(mended), "--chart", "main"]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("main, main: good from") and ">spiral/125" in printed


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (["nonesuch.toml"], "no such file"),
        (["{}", "--without", "spiral/999"], "is no size of the stock"),
        (["{}", "--chart", "mian"], "only 'main'"),
        (["{}", "--take", "9", "--write", "out.toml"], "there is no proposal 9"),
        (["{}", "--take", "1"], "--take says which proposal --write OUT writes"),
        (["{}", "--seconds", "0"], "--seconds wants more than 0"),
        (["{}", "--margin", "-1"], "--margin wants 0 to 100 per cent"),
        (["{}", "--margin", "nan"], "--margin wants 0 to 100 per cent"),
        (["{}", "--margin", "5", "--without", "spiral/125"], "--margin has no use with --without"),
        (["{}", "--margin", "5", "--chart", "main"], "--margin has no use with --chart"),
        (["{}", "--write", "/nonesuch/out.toml"], "/nonesuch/out.toml"),
    ],
)
def test_what_cannot_be_done_is_one_line_and_status_2(mended, arguments, wanted, capsys):
    assert main(["size", *(text.format(mended) for text in arguments)]) == 2
    told = capsys.readouterr().err
    assert wanted in told and told.count("\n") == 1
