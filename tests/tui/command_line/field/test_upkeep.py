"""`kerfdraft upkeep`."""

from __future__ import annotations

import json

from tests import SAVED_DESIGNS
from tui.command_line import main


def test_it_tells_what_is_due(capsys):
    assert main(["upkeep", str(SAVED_DESIGNS / "signal_box.toml")]) == 0
    assert "examination" in capsys.readouterr().out
    assert main(["upkeep", str(SAVED_DESIGNS / "signal_box.toml"), "--json"]) == 0
    assert all(row["due"] for row in json.loads(capsys.readouterr().out)["due"])
