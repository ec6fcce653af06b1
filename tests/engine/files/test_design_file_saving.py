"""Design files written: the same design and the same text come back, and no save loses a file."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from engine.design.rules.consistency import mistakes
from engine.files.design_file import DesignFileError, dumps, has_comments, load, loads, save
from engine.files.store_file import settled
from tests import DEMO_FILES
from tests.shops.design_strategies import designs
from tests.shops.design_texts import WHOLE, changed

DEMOS = DEMO_FILES
OTHER = changed(('altitude = "140 m"', 'altitude = "150 m"'))


def test_what_was_typed_is_written_back():
    assert dumps(loads(WHOLE)) == WHOLE


@pytest.mark.parametrize("path", DEMOS, ids=[path.stem for path in DEMOS])
def test_the_demo_designs_come_back(path):
    assert dumps(loads(path.read_text("utf-8"))) == path.read_text("utf-8")


def test_keys_in_another_order_and_layout_give_the_same_design():
    text = changed(
        ('format = 1\nname = "Lock-keeper\'s shed"\n', 'name = "Lock-keeper\\u0027s shed"\nformat = 0x1 # first\n'),
        ('[site]\naltitude = "140 m"\n', "[site]\n\"altitude\" = '140 m'\n"),
        (
            '{ elbow = "90 deg", toward = "west", radius = 2, make = "segmented", gores = 5 }',
            '{gores=5,radius=2,make="segmented",toward="west",elbow="90 deg"}',
        ),
    )
    assert dumps(loads(text)) == WHOLE


def test_empty_tables_and_lists_are_left_out():
    text = changed((WHOLE[WHOLE.index("[site]") : WHOLE.index("[conveying]")], "[site]\n"))
    assert "[site]" not in dumps(loads(text)) and loads(dumps(loads(text))) == loads(text)


@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(designs())
def test_any_design_comes_back(design):
    assert not mistakes(design)
    text = dumps(design)
    again = loads(text)
    assert again == settled(design)
    assert dumps(again) == text


def test_saving_keeps_the_version_before(tmp_path):
    path = tmp_path / "shop.toml"
    save(loads(WHOLE), path)
    assert path.read_text() == WHOLE and [file.name for file in tmp_path.iterdir()] == ["shop.toml"]
    save(loads(OTHER), path)
    assert path.read_text() == OTHER and (tmp_path / "shop.toml~").read_text() == WHOLE
    save(loads(OTHER), path)
    assert (tmp_path / "shop.toml~").read_text() == WHOLE
    assert sorted(file.name for file in tmp_path.iterdir()) == ["shop.toml", "shop.toml~"]


def test_a_new_file_has_the_usual_mode_and_an_old_one_keeps_its_own(tmp_path):
    path = tmp_path / "shop.toml"
    before = os.umask(0o027)
    try:
        save(loads(WHOLE), path)
        assert stat.S_IMODE(path.stat().st_mode) == 0o640
        path.chmod(0o604)
        save(loads(OTHER), path)
    finally:
        os.umask(before)
    assert stat.S_IMODE(path.stat().st_mode) == 0o604


def test_a_link_is_followed_to_the_file(tmp_path):
    (tmp_path / "real").mkdir()
    path, link = tmp_path / "real" / "shop.toml", tmp_path / "link.toml"
    save(loads(WHOLE), path)
    link.symlink_to(path)
    save(loads(OTHER), link)
    assert link.is_symlink() and path.read_text() == OTHER
    assert (tmp_path / "real" / "shop.toml~").read_text() == WHOLE


@pytest.mark.parametrize("call", ["replace", "fsync"])
@pytest.mark.parametrize("when", [1, 2])
def test_a_save_that_fails_leaves_the_file_and_nothing_else(tmp_path, monkeypatch, call, when):
    path, times = tmp_path / "shop.toml", 0
    save(loads(WHOLE), path)
    real = getattr(os, call)

    def full(*arguments):
        nonlocal times
        times += 1
        if times >= when:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(*arguments)

    monkeypatch.setattr(os, call, full)
    if call == "fsync" and when == 2:  # of the folder, when the file is already in its place
        save(loads(OTHER), path)
        assert path.read_text() == OTHER
        return
    with pytest.raises(DesignFileError, match=r"not saved: .*no space left on device"):
        save(loads(OTHER), path)
    assert path.read_text() == WHOLE
    assert {file.name for file in tmp_path.iterdir()} <= {"shop.toml", "shop.toml~"}


def test_a_save_lasts_through_a_power_cut(tmp_path, monkeypatch):
    """The file is on the disk before it takes its name, and its name after."""
    path, done = tmp_path / "shop.toml", []
    save(loads(WHOLE), path)
    fsync, take_place = os.fsync, os.replace

    def synced(handle):
        done.append("folder" if os.path.samestat(os.fstat(handle), tmp_path.stat()) else os.fstat(handle).st_size)
        fsync(handle)

    def named(new, name):
        done.append(Path(name).name)
        take_place(new, name)

    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(os, "replace", named)
    save(loads(OTHER), path)
    assert done == [len(OTHER.encode()), "shop.toml~", "shop.toml", "folder"]


def test_a_file_stays_its_owners_and_its_groups(tmp_path, monkeypatch):
    path, given = tmp_path / "shop.toml", []
    save(loads(WHOLE), path)
    monkeypatch.setattr(os, "fchown", lambda handle, user, group: given.append((os.fstat(handle).st_ino, user, group)))
    save(loads(OTHER), path)
    assert given == [(path.stat().st_ino, path.stat().st_uid, path.stat().st_gid)]


def test_who_may_not_give_a_file_away_leaves_it_to_its_group(tmp_path, monkeypatch):
    path, given = tmp_path / "shop.toml", []

    def own(_handle, user, group):
        if user != -1:
            raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))
        given.append(group)

    save(loads(WHOLE), path)
    monkeypatch.setattr(os, "fchown", own)
    save(loads(OTHER), path)
    assert given == [path.stat().st_gid]


def test_where_a_file_system_has_no_links_the_version_before_is_a_copy(tmp_path, monkeypatch):
    def refused(*_):
        raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", refused)
    path = tmp_path / "shop.toml"
    for text in (WHOLE, OTHER):
        save(loads(text), path)
    assert (tmp_path / "shop.toml~").read_text() == WHOLE


def test_a_protected_file_is_left_alone(tmp_path, monkeypatch):
    path = tmp_path / "shop.toml"
    save(loads(WHOLE), path)
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(DesignFileError, match=r"^not saved: the file is protected against writing; wanted: "):
        save(loads(OTHER), path)
    assert path.read_text() == WHOLE and [file.name for file in tmp_path.iterdir()] == ["shop.toml"]


def test_a_version_before_that_is_the_same_file_is_no_trouble(tmp_path):
    """As a save leaves it that was killed between its two steps."""
    path = tmp_path / "shop.toml"
    save(loads(WHOLE), path)
    os.link(path, tmp_path / "shop.toml~")
    save(loads(OTHER), path)
    assert path.read_text() == OTHER and (tmp_path / "shop.toml~").read_text() == WHOLE
    assert len(list(tmp_path.iterdir())) == 2


def test_places_that_cannot_be_written_to(tmp_path):
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "kept.toml~").mkdir()
    (tmp_path / "kept.toml~" / "x").touch()
    os.mkfifo(tmp_path / "pipe.toml")
    save(loads(WHOLE), tmp_path / "kept.toml")
    for name in ("folder.toml", "none/shop.toml", "pipe.toml", "kept.toml", "x" * 300, "a\0b"):
        before = sorted(tmp_path.iterdir())
        with pytest.raises(DesignFileError) as caught:
            save(loads(OTHER), tmp_path / name)
        (mistake,) = caught.value.mistakes
        assert "not saved" in str(mistake) and str(mistake).isprintable()
        assert sorted(tmp_path.iterdir()) == before
    assert load(tmp_path / "kept.toml") == loads(WHOLE)


def test_comments_are_told_from_what_looks_like_them(tmp_path):
    path = tmp_path / "shop.toml"
    for text, has in [
        (WHOLE, False),
        (WHOLE + "# thanks\n", True),
        (changed(('notes = ""', 'notes = """a\n# b"""')), False),
        (changed(("Lock-keeper's shed", "shed #2")), False),
        (changed(('{ cleanout = "by the door" },', '{ cleanout = "by the # door" }, # low point')), True),
    ]:
        path.write_text(text)
        assert has_comments(path) is has, text
    assert has_comments(tmp_path / "none.toml") is False
