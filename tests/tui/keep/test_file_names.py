"""Names of design files."""

from pathlib import Path

import pytest

from tui.keep import file_names
from tui.keep.file_names import as_path, suggested


@pytest.mark.parametrize(
    ("name", "file"),
    [("Signal-box luthiery", "signal_box_luthiery.toml"), ("../../x", "x.toml"), ("…", "design.toml"), ("Ölmühle 2", "ölmühle_2.toml")],
)
def test_a_file_name_for_a_design(name, file):
    assert suggested(name) == file


def test_a_typed_name_gets_an_ending_unless_it_has_one():
    assert as_path(" shop ") == Path("shop.toml")
    assert as_path("shop.txt") == Path("shop.txt")


def test_a_tilde_is_the_shells_business(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert as_path("~/shop") == Path("~/shop.toml")
    assert as_path("~root.toml") == Path("~root.toml") and as_path("~nosuch/x.toml") == Path("~nosuch/x.toml")
    assert file_names.why_no_file("~/shop") == "there is no folder ~"


def test_a_file_whose_name_ends_in_a_space_is_meant_by_just_that_name(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("shop.toml ").touch()
    assert as_path("shop.toml ") == Path("shop.toml ")
    assert as_path("shop.toml  ") == Path("shop.toml")


def test_names_under_which_nothing_can_be_saved_are_refused_in_a_line(tmp_path):
    assert file_names.why_no_file("  ") == "a file name is wanted"
    assert "folder" in file_names.why_no_file(str(tmp_path))
    assert "no folder" in file_names.why_no_file(str(tmp_path / "missing" / "shop.toml"))
    assert "name" in file_names.why_no_file(str(tmp_path / ("x" * 300)))
    assert "name" in file_names.why_no_file("shop\0.toml")
    assert file_names.why_no_file(str(tmp_path / "shop")) is None
