"""`kerfdraft collector`: its text, its JSON, what it writes and what it refuses."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace

import pytest

from engine.files.design_file import load
from engine.report.searches.collectors import verdict
from engine.search.collectors import duties
from engine.units.words import share_text
from tests import SAVED_DESIGNS
from tui.command_line import main

DEMO = SAVED_DESIGNS / "signal_box_mended.toml"


def test_it_tells_what_to_take_to_a_dealer(capsys):
    assert main(["collector", str(DEMO)]) == 1
    told = capsys.readouterr().out
    assert "Your collector is too weak. Hardest is sander, bench gate helping" in told
    assert "To take to a dealer" in told and "Your choices, as each would serve with its filter loaded. Best first" in " ".join(told.split())
    assert max(map(len, told.splitlines())) <= 80


def test_its_json_holds_si_figures(capsys):
    main(["collector", str(DEMO), "--json", "--second", "--margin", "10"])
    told = json.loads(capsys.readouterr().out)
    planer = next(one for one in told["duties"] if one["gate_set"] == "planer alone")
    assert planer["flow"] == pytest.approx(1.1 * 820 / 3600, rel=1e-6)
    assert set(told["binding"]) <= {one["gate_set"] for one in told["duties"]}
    assert told["second"] and len(told["choices"]) == 3


def test_a_choice_is_written_as_a_design_of_its_own(tmp_path, capsys):
    shop, out = shutil.copy(DEMO, tmp_path / "shop.toml"), tmp_path / "out.toml"
    main(["collector", str(shop), "--take", "1", "--write", str(out)])
    assert "written to" in capsys.readouterr().out
    before, after = load(shop), load(out)
    assert after.collector.name in {one.id for one in before.collector_choices}
    assert before.collector.name in {one.id for one in after.collector_choices}


def test_a_margin_that_is_none_is_refused(capsys):
    assert main(["collector", str(DEMO), "--margin", "-5"]) == 2
    assert "--margin wants 0 to 100 per cent" in capsys.readouterr().err


@pytest.mark.parametrize(("more", "doubtful"), [(1.025, True), (1.205, False)])
def test_enough_is_said_of_needs_with_the_doubt_of_a_curve(more, doubtful):
    design = load(DEMO)
    told = verdict(design, [replace(one, has=more * one.loaded) for one in duties(design)])
    assert told.startswith("Your collector gives every machine at work its need.") and f"{share_text(more - 1.0)} more than that" in told
    assert ("A curve may be off by 5 %" in told) == doubtful and "chips" in told
