"""`kerfdraft draft`: layouts listed, shown as plan and side view, and as JSON."""

from __future__ import annotations

import json

import pytest

from tests.shops import placed_drops
from tui.command_line.command import main


@pytest.fixture
def shop(tmp_path):
    path = tmp_path / "shop.toml"
    path.write_text(placed_drops.TEXT)
    return str(path)


def test_one_layout_is_shown_as_plan_side_view_and_parts(shop, capsys):
    assert main(["draft", shop, "--show", "1"]) == 0
    told, err = capsys.readouterr()
    assert err == "" and max(map(len, told.splitlines())) <= 80
    assert "[C]" in told and "street door" in told and "looking north, west is left" in told and ": parts" in told


def test_the_layouts_as_json(shop, capsys):
    assert main(["draft", shop, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {"title", "reason", "standing", "sizes"} == set(told["drafts"][0]) and told["drafts"][0]["sizes"]


@pytest.mark.parametrize(("options", "words"), [(["--show", "99"], "there is no proposal 99"), (["--show", "1", "--json"], "no use with --json")])
def test_what_cannot_be_shown_is_told_in_a_line(shop, capsys, options, words):
    assert main(["draft", shop, *options]) != 0
    told, err = capsys.readouterr()
    assert told == "" and words in err and err.count("\n") == 1
