"""`kerfdraft causes`: what is wrong by the readings, in words and as JSON. Readings are invented."""

from __future__ import annotations

import json

import pytest

from engine import load
from engine.field.built import mark_of_ducts
from tests import SAVED_DESIGNS
from tui.command_line import main

BOX = SAVED_DESIGNS / "signal_box_mended.toml"
TABLE = '\n[[reading]]\ngate_set = "planer alone"\nwhat = "{}"\nvalue = "{}"\ndate = {}\nfilter = "used"\nbaseline = {}\n'
BASELINE = TABLE.format("inlet suction", "1560 Pa", "2026-03-01", "true") + TABLE.format("filter drop", "160 Pa", "2026-03-01", "true")


@pytest.fixture
def box(tmp_path):
    def written(text: str):
        path = tmp_path / "box.toml"
        path.write_text(BOX.read_text("utf-8") + text, "utf-8")
        return path

    return written


def readings(suction: str, drop: str) -> str:
    return TABLE.format("inlet suction", suction, "2026-05-01", "false") + TABLE.format("filter drop", drop, "2026-05-01", "false")


def test_json_is_what_was_agreed_on(box, capsys):
    path = box(BASELINE + readings("1200 Pa", "390 Pa"))
    assert main(["causes", str(path), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert found.keys() == {"format", "causes", "next", "design", "notes"} and found["design"] == mark_of_ducts(load(path))
    first, *others = found["causes"]
    assert first.keys() == {"cause", "where", "severity", "probability", "with"}
    assert first["cause"] == "filter loaded" and first["where"] == [] and first["with"] is None and first["severity"].endswith("% of its drop")
    assert first["probability"] >= max((other["probability"] for other in others), default=0.0)
    assert found["next"] is None  # nothing on the sheet would tell more
    assert "2 readings since 2026-03-01, 2 readings of the baseline" in found["notes"]


def test_text_says_what_it_rests_on_and_what_to_heed_before_each_thing_to_look_at(box, capsys):
    assert main(["causes", str(box(BASELINE + readings("1200 Pa", "390 Pa")))]) == 1
    printed = capsys.readouterr().out
    assert max(map(len, printed.splitlines())) <= 80
    told = " ".join(printed.split())
    assert "filter loaded: it takes" in told and "1200 Pa" in told and "Where to read next:" in told
    look = told[told.index("What to look at") : told.index("Where to read next")]
    assert "1. filter loaded, 15 min. Before: Lock off before you open; Wood dust causes cancer and asthma." in look
    for title in ("Lock off before you open: Switch off", "Measuring on a ladder: The fan runs"):
        assert title in told


def test_health_has_status_0_and_one_reading_says_it_is_one(box, capsys):
    path = box(BASELINE + TABLE.format("inlet suction", "1550 Pa", "2026-05-01", "false"))
    assert main(["causes", str(path)]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "% nothing wrong" in told and "one reading alone fits several causes" in told


def test_without_a_baseline_and_without_readings_it_says_so(box, capsys):
    assert main(["causes", str(box("")), "--json"]) == 0
    following = json.loads(capsys.readouterr().out)["next"]
    assert following.keys() == {"gate_set", "what", "at", "from_collector", "why"} and "with nothing wrong about" in following["why"]
    assert main(["causes", str(box(""))]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "there is no baseline: the design stands for it" in told and "nothing was read" in told and "Where to read next" in told


def test_readings_at_odds_are_named(box, capsys):
    # A reading of the same day would take the place of the first.
    twice = readings("1560 Pa", "160 Pa") + TABLE.format("inlet suction", "700 Pa", "2026-05-02", "false")
    assert main(["causes", str(box(BASELINE + twice))]) in (0, 1)
    told = " ".join(capsys.readouterr().out.split())
    assert "no single cause fits: best" in told and "at odds with it" in told and "700 Pa at collector" in told


def test_readings_that_are_left_out_are_named(box, capsys):
    assert main(["causes", str(box(TABLE.format("inlet suction", "90 kPa", "2026-05-01", "false"))), "--json"]) == 0
    assert any("not used, inlet suction" in note and "collector can give" in note for note in json.loads(capsys.readouterr().out)["notes"])


def test_wrong_use_gets_one_line(box, tmp_path, capsys):
    assert main(["causes", str(box("")), "--since", "March"]) == 2
    assert "is not a date" in capsys.readouterr().err
    text = BOX.read_text("utf-8")
    bare = tmp_path / "bare.toml"
    bare.write_text(text[: text.index("[[run]]")], "utf-8")
    assert main(["causes", str(bare)]) == 2
    assert capsys.readouterr().err.count("\n") == 1
