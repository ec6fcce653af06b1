"""How the command line is read: help that fits, options that contradict each other, and what is loaded for it."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests import SAVED_DESIGNS
from tests.tui.terminal.pty_session import environment
from tui.command_line import command, main

MENDED = str(SAVED_DESIGNS / "signal_box_mended.toml")
COMMANDS = ("check", "size", "remedies", "throttle", "draft", "placement", "parts", "cuts", "setting-out", "causes")
WITHOUT_FILE = ("survey",)


@pytest.mark.parametrize("name", ["", *COMMANDS, *WITHOUT_FILE])
def test_help_fits_80_columns_and_tells_every_option(name, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    assert main([name, "--help"] if name else ["--help"]) == 0
    out, err = capsys.readouterr()
    assert err == "" and max(map(len, out.splitlines())) <= 80
    assert out.startswith(f"usage: kerfdraft {name}".rstrip())
    if name:
        assert "exit status: 0" in out and ("FILE" in out) == (name in COMMANDS)
    else:
        assert all(f"\n  kerfdraft {one} FILE " in out for one in COMMANDS) and all(f"\n  kerfdraft {one} " in out for one in WITHOUT_FILE)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["draft", MENDED, "--take", "1", "--write", "a.toml", "--take", "2"], "--take is given twice, as 1 and as 2"),
        (["throttle", MENDED, "--write", "a.toml", "--write", "b.toml"], "--write is given twice"),
        (["--glyphs", "line", "--glyphs", "ascii"], "--glyphs is given twice, as line and as ascii"),
        (["size", MENDED, "--chart", "main", "--without", "spiral/125"], "not allowed with argument --chart"),
        (["size", MENDED, "--throttled", "--without", "spiral/125"], "not allowed with argument --throttled"),
        (["size", MENDED, "--chart", "main", "--json"], "--json has no use with --chart"),
        (["size", MENDED, "--chart", "main", "--write", "a.toml"], "--write has no use with --chart"),
        (["size", MENDED, "--chart", "main", "--seconds", "3"], "--seconds has no use with --chart"),
        (["size", MENDED, "--seconds", "nan"], "--seconds wants more than 0"),
        (["size", MENDED, "--chart", ""], "argument --chart: empty"),
        (["check", ""], "argument FILE: empty"),
        (["--glyphs", ""], "argument --glyphs: empty"),
        ([""], "argument FILE: empty"),
        (["throttle", MENDED, ""], "argument SET: empty"),
        (["check", MENDED, "--json", "--json"], "--json is given twice"),
        (["placement", MENDED, "--spacing", "3 m", "--spacing", "3 m"], "--spacing is given twice (see"),
        (["check", MENDED, "extra"], "extra (see kerfdraft check --help)"),
        (["throttle", MENDED, "--take", "1"], "--take"),
    ],
)
def test_what_contradicts_itself_or_has_no_use_is_refused_in_one_line(arguments, words, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(arguments) == 2
    out, err = capsys.readouterr()
    assert out == "" and words in err and err.count("\n") == 1 and err.startswith("kerfdraft: ")
    assert list(tmp_path.iterdir()) == []


def test_nothing_of_a_command_line_is_left_for_the_next():
    assert main(["placement", MENDED, "--json", "--spacing", "3 m"]) == 0
    assert main(["placement", MENDED, "--json", "--spacing", "2 m"]) == 0


@pytest.mark.parametrize(("arguments", "file"), [([], None), (["shop.toml"], "shop.toml"), (["./check"], "check"), (["--mouse", "off", "a"], "a")])
def test_without_a_subcommand_the_session_opens(arguments, file, monkeypatch):
    opened = []
    monkeypatch.setattr(command, "open_session", lambda options: opened.append(options.file) or 0)
    assert main(arguments) == 0
    assert [path and path.name for path in opened] == [file]


def test_nothing_heavy_is_loaded_before_it_is_wanted(tmp_path):
    code = (
        "import sys; from tui.command_line import main\n"
        "for line in ([], ['size']): main([*line, '--help'])\n"
        "main(['check', 'none.toml'])\n"
        "sys.exit(', '.join({name.partition('.')[0] for name in sys.modules} & {'textual', 'rich', 'numpy', 'scipy', 'fluids', 'pint'}))"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, cwd=tmp_path, env=environment(tmp_path), capture_output=True, text=True)
    complaint, loaded = done.stderr.splitlines()
    assert "no such file" in complaint and loaded == ""
