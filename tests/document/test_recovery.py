"""Unsaved work is kept, found again, and gone once it is saved."""

from __future__ import annotations

from tests.document.small_shop import design
from tests.document.test_document import set_length
from tui import recovery
from tui.document import Document


def opened(tmp_path) -> Document:
    (tmp_path / "shop").mkdir()
    Document(design()).save_as(tmp_path / "shop" / "a.toml")
    return Document.open(tmp_path / "shop" / "a.toml")


def test_nothing_unsaved_is_nothing_kept(tmp_path):
    document = opened(tmp_path)
    assert recovery.keep(document) is None
    assert recovery.find(document.path) is None


def test_unsaved_work_is_kept_beside_the_design_and_leaves_it_alone(tmp_path):
    document = opened(tmp_path)
    saved = document.path.read_text()
    set_length(document, "2.5 m")
    kept = recovery.keep(document)
    assert kept == tmp_path / "shop" / ".a.toml.unsaved"
    assert document.path.read_text() == saved
    assert recovery.find(document.path).design == document.design


def test_saving_or_undoing_everything_forgets_it(tmp_path):
    document = opened(tmp_path)
    set_length(document, "2.5 m")
    recovery.keep(document)
    document.undo()
    recovery.keep(document)
    assert recovery.find(document.path) is None


def test_a_design_without_a_file_is_kept_in_the_state_folder(tmp_path):
    document = Document(design())
    set_length(document, "2.5 m")
    kept = recovery.keep(document)
    assert kept.parent == recovery.state_folder()
    assert recovery.find(None).design == document.design
    recovery.forget(document)
    assert recovery.find(None) is None


def test_a_folder_that_cannot_be_written_to_falls_back_to_the_state_folder(tmp_path, monkeypatch):
    document = opened(tmp_path)
    set_length(document, "2.5 m")
    write = recovery._write

    def only_state(path, text):
        if path.parent == document.path.parent:
            raise PermissionError(13, "Permission denied")
        return write(path, text)

    monkeypatch.setattr(recovery, "_write", only_state)
    assert recovery.keep(document).parent == recovery.state_folder()
    assert recovery.find(document.path).design == document.design


def test_a_damaged_recovery_file_is_passed_over(tmp_path):
    document = opened(tmp_path)
    recovery.place_of(document.path).write_bytes(b"format = 1\nname")
    assert recovery.find(document.path) is None


def test_set_aside_work_is_not_overwritten(tmp_path):
    document = opened(tmp_path)
    set_length(document, "2.5 m")
    recovery.keep(document)
    aside = recovery.set_aside(recovery.find(document.path))
    assert aside.name == ".a.toml.unsaved~"
    set_length(document, "3.5 m")
    recovery.keep(document)
    assert "2.5 m" in aside.read_text()
