"""What is said and written when the session ends on an error of its own."""

from __future__ import annotations

from pathlib import Path

from tests.document.small_shop import design
from tests.document.test_document import set_length
from tui import crash, recovery
from tui.document import Document


def failed(document: Document | None) -> list[str]:
    return crash.report(document, ZeroDivisionError("the cause")).splitlines()


def test_the_report_is_written_and_the_work_kept_and_both_are_named(tmp_path):
    document = Document(design())
    document.save_as(tmp_path / "shop.toml")
    set_length(document, "2.5 m")
    first, second = failed(document)
    assert "ZeroDivisionError: the cause" in Path(first.rpartition(" ")[2]).read_text()
    assert str(tmp_path / ".shop.toml.unsaved") in second
    assert recovery.find(document.path).design == document.design


def test_with_nothing_unsaved_only_the_report_is_named():
    assert len(failed(None)) == 1
    assert len(failed(Document(design(), on_file=design()))) == 1


def test_work_that_cannot_be_kept_is_said_to_be_lost_and_nothing_is_raised(monkeypatch):
    def broken(document):
        raise RuntimeError("keeping is what failed")

    document = Document(design())
    set_length(document, "2.5 m")
    monkeypatch.setattr(recovery, "keep", broken)
    assert "could not be kept" in failed(document)[1]
