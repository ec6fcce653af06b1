"""The command line where no terminal is needed: what it prints, where, and its exit status."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests import DEMO_FILES
from tests.shops.one_drop import TEXT
from tests.tui.terminal.pty_session import environment, run_command
from tui.command_line.command import main

FINE = TEXT.replace('needs = "600 m3/h"', 'needs = "900 m3/h"')
DEMOS = DEMO_FILES


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    (tmp_path / "shop.toml").write_text(FINE)
    return tmp_path / "shop.toml"


def test_a_sound_design_is_status_0_and_a_faulty_one_1(shop, capsys):
    assert main(["check", str(shop)]) == 0
    shop.write_text(TEXT.replace('needs = "600 m3/h"', 'needs = "3000 m3/h"'))
    assert main(["check", str(shop)]) == 1
    assert "fault: starved-machine" in capsys.readouterr().out


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_text_report_fits_80_columns_and_says_what_matters(path, capsys):
    main(["check", str(path)])
    out, err = capsys.readouterr()
    assert err == ""
    assert max(map(len, out.splitlines())) <= 80
    for wanted in ("air", "collector", "slowest run", "needed", "Findings", "Health and safety", "source"):
        assert wanted in out


def test_the_json_report_is_in_the_documented_shape_and_si(shop, capsys):
    assert main(["check", str(shop), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert list(report) == ["format", "design", "air", "gate_sets", "findings"]
    assert report["format"] == 1 and report["design"] == "small shop"
    (gate_set,) = report["gate_sets"]
    assert list(gate_set) == ["name", "open", "flow", "collector_pressure", "runs", "ports"]
    assert [set(run) for run in gate_set["runs"]] == [{"id", "flow", "velocity", "loss", "suction_near", "suction_far"}] * 2
    (port,) = gate_set["ports"]
    assert port["port"] == "saw/hood" and port["needs"] == pytest.approx(900 / 3600)
    assert port["flow"] == pytest.approx(gate_set["flow"], rel=1e-9)
    assert {"code", "severity", "where", "gate_set", "message", "source"} <= set(report["findings"][0])


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["check"], "FILE"),
        (["check", "missing.toml"], "no such file"),
        (["check", "bad.toml"], "bad.toml"),
        (["check", "."], "directory"),
        (["check", "bad.toml", "--nonsense"], "--nonsense"),
        (["bad.toml", "extra"], "extra"),
        (["chek", "bad.toml"], "no command 'chek'; wanted one of check, "),
        (["--glyphs", "emoji"], "emoji"),
    ],
)
def test_wrong_use_and_unreadable_files_are_status_2_with_one_line_each(tmp_path, monkeypatch, capsys, arguments, words):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bad.toml").write_bytes(b"format = 1\nname = \xff\n")
    assert main(arguments) == 2
    out, err = capsys.readouterr()
    assert out == "" and words in err.replace("Is a d", "is a d")
    assert err.count("\n") == 1 and err.startswith("kerfdraft")


def test_every_mistake_of_a_file_is_a_line(tmp_path, capsys):
    (tmp_path / "bad.toml").write_text(TEXT.replace('size = "pipe/150"', 'size = "pipe/151"').replace('ends = "saw/hood"', 'ends = "saw/hod"'))
    assert main(["check", str(tmp_path / "bad.toml")]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 3 and all("bad.toml" in line for line in lines)
    assert "(nearest: pipe/150)" in lines[0] + lines[1] and lines[-1].endswith("these are all 2 mistakes")


def test_without_a_terminal_the_session_is_refused_in_one_line(tmp_path):
    done = run_command("any.toml", home=tmp_path)
    assert done.returncode == 2 and done.stdout == ""
    assert done.stderr.count("\n") == 1 and "terminal" in done.stderr


def test_help_is_status_0(capsys):
    assert main(["--help"]) == 0
    assert main(["check", "--help"]) == 0
    assert "exit status" in capsys.readouterr().out


def test_check_loads_neither_the_screen_nor_what_searches_and_sheets_want(tmp_path):
    shutil.copy(DEMOS[0], tmp_path / "demo.toml")
    code = (
        "import sys; from tui.command_line.command import main; main(['check', 'demo.toml']);"
        "sys.exit(bool(sys.modules.keys() & {'textual', 'rich', 'scipy.optimize', 'jinja2'}))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, env=environment(tmp_path), capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_a_reader_that_stops_reading_gets_no_traceback(tmp_path):
    shutil.copy(DEMOS[0], tmp_path / "demo.toml")
    command = f"{sys.executable} -m tui check demo.toml --json | head -c 10"
    done = subprocess.run(["bash", "-c", command], cwd=tmp_path, env=environment(tmp_path), capture_output=True, text=True, check=False)
    assert done.stderr == "" and len(done.stdout) == 10
