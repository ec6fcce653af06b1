"""No save loses a file, whatever fails or is killed in it; what is replaced keeps its access, its links and its version before."""

from __future__ import annotations

import errno
import os
import signal
import stat
import tempfile
import time
from collections.abc import Callable
from datetime import datetime
from itertools import count
from pathlib import Path

import pytest

from engine.files import safe_files
from engine.files.design_file import DesignFileError, dumps, load, loads, save
from engine.files.safe_files import opened, previous_name, time_of
from tests.shops.one_drop import TEXT
from tests.system_calls import failing_at, killed_before

OLD = loads(TEXT)
WHOLE = dumps(OLD)
OTHER = WHOLE.replace('"1 m"', '"1.5 m"')
NEW = loads(OTHER)
NOBODY, GROUP = 65534, 4242
as_root = pytest.mark.skipif(os.geteuid() != 0, reason="only root gives files away")


def hidden(folder: Path) -> list[str]:
    return [path.name for path in folder.glob(".*")]


def refused(*_: object, **__: object) -> None:
    raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))


def as_nobody(work: Callable[[], object]) -> int:
    """The exit status of a process that does the work as a user of no rights, in a group of its own."""
    process = os.fork()
    if process == 0:
        status = 1
        try:
            os.setgroups([])
            os.setgid(GROUP)
            os.setuid(NOBODY)
            work()
            status = 0
        finally:
            os._exit(status)
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


@pytest.fixture
def open_folder(tmp_path: Path):
    """A folder that everybody can reach and write to."""
    for folder in (tmp_path, *tmp_path.parents):
        if folder == Path(tempfile.gettempdir()):
            break
        folder.chmod(0o755)
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o777)
    return shared


# Whatever fails, or is killed


@pytest.fixture(params=["new", "replaced", "written into"])
def way(request, monkeypatch) -> str:
    """How a save is carried out: a new file, in place of one, or into one whose access no new file can be given."""
    if request.param == "written into":
        monkeypatch.setattr(os, "fchmod", refused)
    return request.param


def before_save(folder: Path, way: str) -> Path:
    path = folder / "shop.toml"
    folder.mkdir()
    if way != "new":
        path.write_text(WHOLE)
        path.chmod(0o640)
    return path


def test_every_call_of_a_save_fails_once_and_the_file_holds_the_old_text_or_the_new(tmp_path, way):
    told: list[str] = []
    refusals = stays = 0
    for call in count(1):
        path = before_save(tmp_path / str(call), way)
        try:
            if not failing_at(call, lambda: save(NEW, path)):
                break
        except DesignFileError as error:
            told.append(str(error))
        if told[refusals:]:
            assert not path.exists() if way == "new" else path.read_text() == WHOLE
        else:
            assert path.read_text() == OTHER
        refusals = len(told)
        stays += len(hidden(path.parent))  # a file that the system does not let go of is there until it is old
        assert not previous_name(path).exists() or previous_name(path).read_text() == WHOLE
        save(NEW, path)
        assert path.read_text() == OTHER
    assert len(told) > 5 and call > 15 and stays <= 2
    assert all(line.startswith("not saved: ") and "\n" not in line for line in told)


def test_every_call_of_a_save_is_the_last_once_and_a_whole_version_stays(tmp_path, way):
    left = []
    for call in count(1):
        path = before_save(tmp_path / str(call), way)
        if not killed_before(call, lambda: save(NEW, path)):
            break
        present = path.read_text() if path.exists() else ""
        left.append(present)
        kept = previous_name(path)
        assert not kept.exists() or kept.read_text() == WHOLE
        whole = present in (WHOLE, OTHER) or (way == "written into" and kept.exists()) or (way == "new" and not path.exists())
        assert whole, f"before call {call}: {present!r}"
        save(NEW, path)
        assert load(path) == NEW and (way == "new" or kept.read_text() == WHOLE)
    assert len(left) > 10 and left[-1] == OTHER


def test_what_does_not_read_back_takes_the_place_of_nothing(tmp_path, monkeypatch):
    path = tmp_path / "shop.toml"
    save(OLD, path)
    write = os.pwrite
    monkeypatch.setattr(os, "pwrite", lambda handle, data, at: write(handle, b"\0" * len(data), at))
    with pytest.raises(DesignFileError, match=r"^not saved: what was written does not read back; wanted: "):
        save(NEW, path)
    assert path.read_text() == WHOLE and hidden(tmp_path) == []


def test_what_a_killed_save_left_is_cleaned_once_it_is_nobodys(tmp_path):
    path = tmp_path / "shop.toml"
    old, ahead, fresh, other = (
        tmp_path / name for name in (".kerfdraft-0000000a.new", ".kerfdraft-0000000b.old", ".kerfdraft-0000000c.new", ".kerf-d.new")
    )
    for file, age in ((old, 3600), (ahead, -3600), (fresh, 0), (other, 3600)):
        file.write_text("x")
        os.utime(file, (time.time() - age,) * 2)
    save(OLD, path)
    assert sorted(hidden(tmp_path)) == sorted([fresh.name, other.name])


# The access of others


def access_list(*groups: int) -> bytes:
    """An access list as Linux keeps it: owner rw, owning group r, these groups rw, mask rw, others nothing."""
    rows = [(1, 6, 0xFFFFFFFF), (4, 4, 0xFFFFFFFF), *((8, 6, group) for group in groups), (16, 6, 0xFFFFFFFF), (32, 0, 0xFFFFFFFF)]
    return b"\x02\0\0\0" + b"".join(tag.to_bytes(2, "little") + may.to_bytes(2, "little") + who.to_bytes(4, "little") for tag, may, who in rows)


@as_root
def test_owner_group_mode_access_list_and_attributes_stay(tmp_path):
    path = tmp_path / "shop.toml"
    save(OLD, path)
    os.chown(path, NOBODY, GROUP)
    path.chmod(0o660)
    try:
        os.setxattr(path, "user.origin", b"the bench")
        os.setxattr(path, "system.posix_acl_access", access_list(1234))
    except OSError:
        pytest.skip("this file system keeps neither attributes nor access lists")
    before, inode = safe_files.access_to(path), path.stat().st_ino
    save(NEW, path)
    assert safe_files.access_to(path) == before and path.stat().st_ino != inode
    assert before.attributes.keys() == {"user.origin", "system.posix_acl_access"} and (before.owner, before.group) == (NOBODY, GROUP)


@as_root
def test_a_file_of_somebody_elses_is_written_into_and_stays_theirs(open_folder):
    path = open_folder / "shop.toml"
    save(OLD, path)
    os.chown(path, 0, GROUP)
    path.chmod(0o664)
    before, inode = safe_files.access_to(path), path.stat().st_ino
    assert as_nobody(lambda: save(NEW, path)) == 0
    assert (path.read_text(), previous_name(path).read_text()) == (OTHER, WHOLE)
    assert safe_files.access_to(path) == before and path.stat().st_ino == inode
    assert hidden(open_folder) == []


@as_root
def test_a_default_access_list_of_the_folder_gives_nobody_more_than_the_file_did(tmp_path):
    path = tmp_path / "shop.toml"
    save(OLD, path)
    path.chmod(0o600)
    try:
        os.setxattr(tmp_path, "system.posix_acl_default", access_list(1234))
    except OSError:
        pytest.skip("this file system keeps no access lists")
    save(NEW, path)
    assert safe_files.access_to(path).attributes == {} and stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_mode_that_the_system_does_not_let_change_refuses_no_save(tmp_path, monkeypatch):
    path = tmp_path / "shop.toml"
    save(OLD, path)
    path.chmod(0o640)
    monkeypatch.setattr(os, "fchmod", refused)
    save(NEW, path)
    assert (path.read_text(), previous_name(path).read_text()) == (OTHER, WHOLE) and stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_full_disk_while_a_file_is_written_into_gives_it_back_what_it_held(tmp_path, monkeypatch):
    path, writes = tmp_path / "shop.toml", 0
    save(OLD, path)
    path.chmod(0o640)
    monkeypatch.setattr(os, "fchmod", refused)
    write = os.pwrite

    def full_at_the_third(handle: int, data: bytes, at: int) -> int:
        nonlocal writes
        writes += 1  # the new file, the copy, and then into the file itself
        if writes == 4:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return write(handle, data[:300] if writes == 3 else data, at)

    monkeypatch.setattr(os, "pwrite", full_at_the_third)
    with pytest.raises(DesignFileError, match="no space left"):
        save(NEW, path)
    assert writes > 4 and path.read_text() == WHOLE and previous_name(path).read_text() == WHOLE


# Links and names


def test_other_names_of_a_file_are_said_to_hold_the_version_before(tmp_path):
    path, other = tmp_path / "shop.toml", tmp_path / "by another name.toml"
    save(OLD, path)
    os.link(path, other)
    assert save(NEW, path) == "1 other name of the file (a hard link) holds the version before"
    assert (path.read_text(), other.read_text()) == (OTHER, WHOLE)
    assert save(OLD, path) == ""


def test_a_link_that_leads_nowhere_is_not_followed(tmp_path):
    (tmp_path / "shop.toml").symlink_to(tmp_path / "planted.toml")
    with pytest.raises(DesignFileError, match="a link to a file that is not there"):
        save(OLD, tmp_path / "shop.toml")
    assert not (tmp_path / "planted.toml").exists()


@pytest.mark.parametrize("name", ["x" * 255, "é" * 127 + "x", "x" * 250 + ".toml", "shop.toml ", " shop", "~shop.toml", "a\nb.toml"])
def test_any_name_of_a_file_is_saved_and_saved_again(tmp_path, name):
    path = tmp_path / name
    save(OLD, path)
    save(NEW, path)
    assert (path.read_text(), previous_name(path).read_text()) == (OTHER, WHOLE)
    assert len(list(tmp_path.iterdir())) == 2 and previous_name(path).name.endswith("~")


@pytest.mark.parametrize(("seconds", "year"), [(1e18, datetime.max.year), (-1e18, datetime.min.year), (1e6, 1970)])
def test_a_time_that_no_calendar_has_is_the_last_or_the_first_of_ours(seconds, year):
    assert time_of(seconds).year == year


def test_a_pipe_that_nobody_writes_into_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    signal.alarm(30)  # ends a wait
    try:
        with pytest.raises(OSError, match="not a plain file"):
            opened(tmp_path / "pipe")
    finally:
        signal.alarm(0)
