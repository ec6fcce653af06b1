"""A journal that vanished, or its folder, or the folder the session was started in: the work is kept all the same, and said to be where it is."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from engine.files import design_file
from tests.shops.one_drop import set_length
from tests.tui.keep.sessions import killed, left, session
from tui.keep import crash, locked_files
from tui.keep.journal import Journal
from tui.work.document import Document


def named(line: str) -> Path:
    """The journal that the last words name."""
    return Path(line.removeprefix("kerfdraft: unsaved work is kept in ").partition(";")[0])


def overwritten(where: Path) -> None:
    where.write_text("# nothing\n")


def replaced_by_another(where: Path) -> None:
    text = where.read_text()
    where.unlink()
    where.write_text(text)


@pytest.mark.parametrize("loss", [Path.unlink, overwritten, replaced_by_another, lambda where: shutil.rmtree(where.parent)])
def test_a_journal_that_is_lost_is_written_elsewhere_at_the_next_look(path, loss):
    one = session(path, "2.5 m")
    loss(one.path)
    where = one.keep()
    assert where.parent == locked_files.state_folder()
    assert design_file.load(where) == one.document.design
    set_length(one.document, "3.5 m")
    assert one.keep() == where  # not in the folder that lost it


def test_the_last_words_name_a_file_that_is_there(path):
    one = session(path, "2.5 m")
    one.path.unlink()
    assert design_file.load(named(crash.kept(one))) == one.document.design


def test_where_nothing_can_be_kept_the_last_words_say_so(path, monkeypatch):
    one = session(path, "2.5 m")
    shutil.rmtree(path.parent)
    monkeypatch.setenv("XDG_STATE_HOME", str(path.parent / "none"))
    path.parent.write_text("a file stands where the folder was")
    assert crash.kept(one).startswith("kerfdraft: unsaved work could not be kept: ")


def test_what_does_not_read_back_is_not_said_to_be_kept(path, monkeypatch):
    one = session(path)
    set_length(one.document, "2.5 m")
    monkeypatch.setattr(design_file, "dumps_whole", lambda _: "format = 1\n")
    with pytest.raises(OSError, match="does not read back"):
        one.keep()


def test_a_relative_name_in_a_folder_that_is_removed_still_keeps_and_is_offered_by_the_same_name(path, monkeypatch):
    text = path.read_text()
    monkeypatch.chdir(path.parent)
    one = session(Path(path.name))
    shutil.rmtree(path.parent)
    set_length(one.document, "2.5 m")
    assert one.keep().parent == locked_files.state_folder()
    killed(one)
    path.parent.mkdir()
    path.write_text(text)
    assert [found.design for found in left(path)] == [one.document.design]


@pytest.mark.skipif(os.geteuid() != 0, reason="only root mounts")
def test_a_folder_that_is_unmounted_still_keeps(tmp_path, monkeypatch):
    folder = tmp_path / "stick"
    folder.mkdir()
    if subprocess.run(["mount", "-t", "tmpfs", "none", folder], capture_output=True, check=False).returncode:
        pytest.skip("nothing can be mounted here")
    try:
        Document(session(None).document.design).save_as(folder / "a.toml")
        monkeypatch.chdir(folder)
        one = Journal(Document.open(Path("a.toml")))
        set_length(one.document, "2.5 m")
        assert one.keep().parent == folder
    finally:
        subprocess.run(["umount", "-l", folder], check=True)
    assert one.keep().parent == locked_files.state_folder()
    set_length(one.document, "3.5 m")
    assert design_file.load(one.keep()) == one.document.design


# What is planted


@pytest.mark.parametrize("plant", [os.mkfifo, lambda where: where.symlink_to("/dev/zero"), lambda where: where.mkdir()])
def test_what_is_planted_under_the_name_of_a_journal_is_neither_waited_for_nor_offered(path, plant):
    plant(path.with_name(f".{path.name}.0000000a.unsaved"))
    plant(path.with_name(f".{path.name}.0000000b.unsaved.new"))
    assert left(path) == ()


def test_what_is_planted_in_the_way_of_a_journal_is_not_written_through(path, tmp_path):
    one = session(path)
    one.path.with_name(f"{one.path.name}.new").symlink_to(tmp_path / "theirs")
    set_length(one.document, "2.5 m")
    assert one.keep().parent == locked_files.state_folder()
    assert not (tmp_path / "theirs").exists()


@pytest.mark.skipif(os.geteuid() != 0, reason="only root gives files away")
def test_a_journal_of_somebody_elses_is_neither_offered_nor_removed(path):
    where = killed(session(path, "2.5 m"))
    os.chown(where, 65534, 65534)
    assert left(path) == () and where.exists()
