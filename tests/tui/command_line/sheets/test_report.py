"""`kerfdraft report`: where it writes, and how it refuses. Designs are invented."""

from __future__ import annotations

import csv
import errno
import os
from pathlib import Path

import pytest

from engine.files import safe_files
from tests.shops.parts_shop import TEXT
from tui.command_line import main


@pytest.fixture
def loft(tmp_path) -> Path:
    path = tmp_path / "loft.toml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_the_page_is_written_and_told_where_it_lies(loft, tmp_path, capsys, monkeypatch):
    monkeypatch.setenv("SSH_CONNECTION", "192.0.2.7 50514 192.0.2.1 22")
    assert main(["report", str(loft), "-o", str(tmp_path / "a wall.html"), "--pages", "gates"]) == 0
    told = capsys.readouterr().out
    assert str(tmp_path / "a wall.html") in told and "scp '" in told and "@192.0.2.1:" in told
    assert (tmp_path / "a wall.html").read_text().startswith("<!DOCTYPE html>")


def test_text_and_tables_go_to_the_output(loft, capsys):
    assert main(["report", str(loft), "--text", "--pages", "parts"]) == 0
    assert "What to buy" in capsys.readouterr().out
    assert main(["report", str(loft), "--csv", "--pages", "parts"]) == 0
    assert ["count", "what", "each", "price"] in [*csv.reader(capsys.readouterr().out.splitlines())]


def test_a_file_that_is_there_is_replaced_by_force_alone_and_kept(loft, tmp_path, capsys):
    out = tmp_path / "wall.txt"
    out.write_text("mine")
    assert main(["report", str(loft), "--text", "-o", str(out)]) == 2
    assert out.read_text() == "mine" and "--force" in capsys.readouterr().err
    assert main(["report", str(loft), "--text", "-o", str(out), "--pages", "gates", "--force"]) == 0
    assert "Gate cards" in out.read_text() and (tmp_path / "wall.txt~").read_text() == "mine"


def test_the_design_is_never_replaced_by_its_page(loft, capsys):
    assert main(["report", str(loft), "-o", str(loft), "--force"]) == 2
    assert loft.read_text() == TEXT and "the design itself" in capsys.readouterr().err


def test_a_full_disk_leaves_nothing_behind_and_is_told_in_one_line(loft, tmp_path, capsys, monkeypatch):
    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(safe_files, "fill", full)
    out = tmp_path / "wall.html"
    assert main(["report", str(loft), "-o", str(out), "--pages", "gates"]) == 2
    assert capsys.readouterr().err == f"kerfdraft: {out}: not written: no space left on device\n"
    assert [path.name for path in tmp_path.iterdir()] == ["loft.toml"]


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ([], "wanted: -o OUT.html"),
        (["--text", "--csv"], "not allowed with"),
        (["--text", "--pages", "doors"], "no sheet 'doors'; wanted: some of cautions,"),
        (["--text", "--force"], "wanted with -o OUT"),
        (["-o", "/nowhere/at/all.html"], "there is no folder /nowhere/at"),
    ],
)
def test_what_cannot_be_done_is_told_in_one_line(loft, capsys, options, told):
    assert main(["report", str(loft), *options]) == 2
    said = capsys.readouterr().err
    assert told in said and said.count("\n") == 1
