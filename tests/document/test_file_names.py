"""Names of design files."""

from pathlib import Path

import pytest

from tui.file_names import as_path, suggested


@pytest.mark.parametrize(
    ("name", "file"),
    [("Signal-box luthiery", "signal_box_luthiery.toml"), ("../../x", "x.toml"), ("…", "design.toml"), ("Ölmühle 2", "ölmühle_2.toml")],
)
def test_a_file_name_for_a_design(name, file):
    assert suggested(name) == file


def test_a_typed_name_gets_an_ending_unless_it_has_one():
    assert as_path(" shop ") == Path("shop.toml")
    assert as_path("shop.txt") == Path("shop.txt")
    assert as_path("~/shop") == Path.home() / "shop.toml"
