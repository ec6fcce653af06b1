"""The guides name files and folders that exist."""

from __future__ import annotations

import re

import pytest

from tests import ROOT

_PATH = re.compile(r"`((?:engine|tui|tests|saved_designs)(?:/[\w./]*)?|\.ci/run)`")


@pytest.mark.parametrize("guide", ["DEVELOPERS.md", "README.md"])
def test_every_path_of_a_guide_exists(guide):
    paths = _PATH.findall((ROOT / guide).read_text("utf-8"))
    assert paths, "the guide names no path any more: does the pattern still fit?"
    assert [path for path in paths if not (ROOT / path).exists()] == []


def test_every_layer_has_its_row_in_the_guide_for_contributors():
    rows = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    folders = [path.parent.relative_to(ROOT) for top in ("engine", "tui") for path in (ROOT / top).glob("*/__init__.py")]
    assert [str(folder) for folder in folders if f"| `{folder}` |" not in rows] == []
