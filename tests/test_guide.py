"""The guides name files and folders that exist."""

from __future__ import annotations

import re

import pytest

from engine import load
from engine.field.expected import Task, task_of
from tests import ROOT, SAVED_DESIGNS

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


def test_the_example_of_a_reading_is_read_in_a_demo(tmp_path):
    (example,) = re.findall(r"\n\n(    \[\[test_point\]\]\n.*?)\n\n\S", (ROOT / "README.md").read_text("utf-8"), re.DOTALL)
    path = tmp_path / "shop.toml"
    path.write_text((SAVED_DESIGNS / "signal_box_mended.toml").read_text("utf-8") + "\n" + example, "utf-8")
    design = load(path)
    assert isinstance(task_of(design, design.readings[-1]), Task)
