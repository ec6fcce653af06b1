"""What is said and written when the session ends on an error of its own."""

from __future__ import annotations

from pathlib import Path

from engine.files import design_file
from tests.shops.one_drop import design, set_length
from tui.keep import crash
from tui.keep.journal import Journal
from tui.work.document import Document


def failed(journal: Journal | None) -> list[str]:
    return crash.report(journal, ZeroDivisionError("the cause")).splitlines()


def test_the_report_is_written_and_the_work_kept_and_both_are_named(tmp_path):
    document = Document(design())
    document.save_as(tmp_path / "shop.toml")
    set_length(document, "2.5 m")
    journal = Journal(document)
    first, second = failed(journal)
    assert "ZeroDivisionError: the cause" in Path(first.rpartition(" ")[2]).read_text()
    assert str(journal.path) in second and str(document.path) in second
    assert design_file.load(journal.path) == document.design


def test_with_nothing_unsaved_only_the_report_is_named_and_no_journal_stays(tmp_path):
    Document(design()).save_as(tmp_path / "shop.toml")
    journal = Journal(Document.open(tmp_path / "shop.toml"))
    journal.keep()
    assert len(failed(journal)) == len(failed(None)) == 1
    assert not list(tmp_path.glob(".*"))


def test_work_that_cannot_be_kept_is_said_to_be_lost_and_nothing_is_raised(monkeypatch):
    def broken(_):
        raise RuntimeError("keeping is what failed")

    document = Document(design())
    set_length(document, "2.5 m")
    monkeypatch.setattr(Journal, "keep", broken)
    assert "could not be kept" in failed(Journal(document))[1]
