"""What somebody planted where the session keeps its files: nothing hangs, nothing is redirected, nothing of theirs is taken for ours."""

from __future__ import annotations

import os
import stat
from datetime import datetime
from pathlib import Path

import pytest

from engine.files.design_file import load
from tests.shops.one_drop import TEXT
from tests.tui.keep.sessions import killed, left, session
from tests.waiting import no_block
from tui.keep import crash, first_days, journal, locked_files
from tui.work.document import Document

_OTHERS_ID = 12345


def _pipe(at: Path, _: Path) -> None:
    os.mkfifo(at)


def _link_to_device(at: Path, _: Path) -> None:
    at.symlink_to("/dev/zero")


def _link_elsewhere(at: Path, elsewhere: Path) -> None:
    at.symlink_to(elsewhere)


def _folder(at: Path, _: Path) -> None:
    at.mkdir()


def _huge(at: Path, _: Path) -> None:
    with at.open("wb") as file:
        file.truncate(1 << 40)


PLANTED = (_pipe, _link_to_device, _link_elsewhere, _folder, _huge)


@pytest.mark.parametrize("plant", PLANTED)
@pytest.mark.parametrize("ending", ["", ".new"])
def test_what_is_planted_as_a_journal_neither_hangs_the_session_nor_is_written_to(path, tmp_path, plant, ending, monkeypatch):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_text(TEXT)
    monkeypatch.setattr(journal.secrets, "token_hex", lambda _: "0123abcd")
    plant(path.with_name(f".{path.name}.0123abcd.unsaved{ending}"), elsewhere)
    plant(path.with_name(f".{path.name}.99999999.unsaved{ending}"), elsewhere)
    with no_block():
        one = session(path, "2.5 m")
        assert one.others().left == ()
    assert load(one.path) == one.document.design and not one.path.is_symlink()
    assert elsewhere.read_text() == TEXT


def test_a_journal_is_its_owners_from_the_first_byte(path, monkeypatch):
    path.chmod(0o600)
    seen = []
    monkeypatch.setattr(locked_files, "fill", lambda handle, *_, **__: seen.append(stat.S_IMODE(os.fstat(handle).st_mode)))
    before = os.umask(0)
    try:
        locked_files.replaced(path.with_name("x"), "text", None, lasting=False)
    finally:
        os.umask(before)
    assert seen == [0o600]


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may give files away")
def test_a_journal_of_somebody_else_is_not_taken_for_ours(path):
    planted = killed(session(path, "2.5 m"))
    os.chown(planted, _OTHERS_ID, _OTHERS_ID)
    assert left(path) == () and planted.exists()


@pytest.mark.parametrize("seconds", [253402300800 + 10**6, -(10**11)])
def test_work_whose_time_no_calendar_has_is_offered_all_the_same(path, seconds, monkeypatch):
    kept = killed(session(path, "2.5 m"))
    real = Path.lstat

    def lstat(self: Path) -> os.stat_result:
        found = real(self)
        return os.stat_result((*found[:7], seconds, seconds, seconds)) if self == kept else found

    monkeypatch.setattr(Path, "lstat", lstat)
    assert [one.path for one in session(path).others().left] == [kept]


def test_a_design_whose_time_no_calendar_has_is_opened(path):
    document = Document.open(path)
    document._seen = document._seen._replace(written=(253402300800 + 10**6) * 10**9) if document._seen else None
    assert document.written == datetime.max


# Reports and counts


@pytest.mark.parametrize("umask", [0, 0o077])
def test_a_report_is_its_owners_alone(tmp_path, monkeypatch, umask):
    monkeypatch.setattr(crash, "state_folder", lambda: tmp_path)
    before = os.umask(umask)
    try:
        for _ in range(2):
            crash.report(None, ZeroDivisionError("cause"))
    finally:
        os.umask(before)
    reports = list(tmp_path.iterdir())
    assert len(reports) == 2
    assert all(stat.S_IMODE(one.stat().st_mode) == 0o600 and "cause" in one.read_text() for one in reports)


@pytest.mark.parametrize("plant", PLANTED)
def test_a_report_is_written_into_nothing_planted(tmp_path, monkeypatch, plant):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_text(TEXT)
    monkeypatch.setattr(crash, "state_folder", lambda: tmp_path)
    monkeypatch.setattr(crash, "token_hex", lambda _: "00ff")
    monkeypatch.setattr(crash, "datetime", type("Noon", (), {"now": staticmethod(lambda: datetime(2025, 6, 3, 12))}))
    plant(tmp_path / "error-20250603-120000-00ff.txt", elsewhere)
    with no_block():
        said = crash.report(None, ZeroDivisionError("cause"))
    assert said == "kerfdraft: stopped by an error of its own" and elsewhere.read_text() == TEXT


@pytest.mark.parametrize("plant", PLANTED)
def test_what_is_planted_as_the_count_of_sessions_neither_hangs_nor_is_written_to(tmp_path, monkeypatch, plant):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.write_text("1\n")
    monkeypatch.setattr(locked_files, "state_folder", lambda: tmp_path)
    plant(tmp_path / "sessions", elsewhere)
    with no_block():
        assert first_days.greeting() == ""
    assert elsewhere.read_text() == "1\n"
