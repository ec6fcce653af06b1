"""`kerfdraft check FILE --all-sets`: what it prints and its exit status."""

from __future__ import annotations

import json

import pytest

from tests import SAVED_DESIGNS
from tui.command_line.command import main


@pytest.mark.parametrize(("name", "status"), [("signal_box", 1), ("signal_box_mended", 0)])
def test_status_1_where_a_machine_passes_in_no_set(name, status, capsys):
    assert main(["check", str(SAVED_DESIGNS / f"{name}.toml"), "--all-sets"]) == status
    out, err = capsys.readouterr()
    assert err == "" and "which machines may work together" in out
    assert ("passes in none of these sets" in out) == bool(status)


def test_json(capsys):
    assert main(["check", "--all-sets", "--json", str(SAVED_DESIGNS / "signal_box_mended.toml")]) == 0
    assert json.loads(capsys.readouterr().out)["sets"] == {"count": 31, "most_machines": 5, "complete": True}


def test_an_unreadable_file_is_status_2(tmp_path, capsys):
    assert main(["check", str(tmp_path / "none.toml"), "--all-sets"]) == 2
    assert capsys.readouterr().out == ""
