"""The list of designs: names are read from files of any kind, and none holds it up."""

from __future__ import annotations

import os

import pytest

from tests.shops import two_drops
from tests.waiting import no_hang
from tui.pages.choosing.files import SAVED, designs_in, file_choices


def names(folder) -> list[str]:
    return [found.name for found in designs_in(folder)]


def test_designs_of_the_folder_come_before_the_saved_ones(tmp_path):
    (tmp_path / SAVED).mkdir()
    (tmp_path / SAVED / "a.toml").write_text(two_drops.TEXT.replace("Lantern joinery [b]", "kept"))
    (tmp_path / "b.toml").write_text(two_drops.TEXT)
    assert names(tmp_path) == ["Lantern joinery [b]", "kept"]
    assert [choice.text for choice in file_choices(designs_in(tmp_path))][-2:] == ["new design", "a file elsewhere"]


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ('name = "shed"', "shed"), ("name = 'shed'  # mine", "shed"), ('name = "two \\"inch\\" shed"', 'two "inch" shed'),
        ('name = "caf\\u00e9"', "café"), ('name = "\\u001b[2Jshed"', "?[2Jshed"), ("name = 7", "shop"), ('name = ""', "shop"),
        ("name = ", "shop"), ('name = "never closed', "shop"), (f'name = "{"x" * 5000}"', "shop"), ("", "shop"),
    ],
)  # fmt: skip
def test_a_name_is_what_the_file_gives_else_that_of_the_file(tmp_path, line, name):
    (tmp_path / "shop.toml").write_text(f"format = 1\n{line}\n\n[collector]\nname = 'not this'\n")
    assert names(tmp_path) == [name]


@pytest.mark.parametrize("text", ["", "format = 1\n", "[collector]\nformat = 1\n", 'title = "x"\n[collector]\n', "formats = 1\n[collectors]\n"])
def test_other_toml_files_are_left_out(tmp_path, text):
    (tmp_path / "other.toml").write_text(text)
    assert names(tmp_path) == []


@pytest.mark.parametrize(
    "text",
    [
        "format = 1\n" + "a." * 200_000 + "b = 1\n[collector]\n", "format = 1\nname = " + "a." * 200_000 + "b\n[collector]\n",
        "format = 1\nname = " + "[" * 200_000 + "\n[collector]\n", " " * 1_000_000, "\n" * 1_000_000, "\t \n" * 300_000, "[" * 1_000_000,
        "format = 1\n" + "name\n" * 200_000, "format = 1\n[" + "a." * 400_000 + "b]\n",
    ],
    ids=range(9),
)  # fmt: skip
def test_no_file_holds_the_list_up(tmp_path, text):
    (tmp_path / "hostile.toml").write_text(text)
    with no_hang():
        names(tmp_path)


def test_what_is_no_plain_file_or_no_text_is_left_out(tmp_path):
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00" * 1000)
    (tmp_path / "large.toml").write_text(two_drops.TEXT + "#" * (1 << 20))
    (tmp_path / "gone.toml").symlink_to(tmp_path / "nowhere")
    os.mkfifo(tmp_path / "pipe.toml")
    assert names(tmp_path) == []
