"""Typing into a field of a document: what is in the design meanwhile, and what is left of it."""

from __future__ import annotations

import pytest

from engine.design.places import COLLECTOR, PieceAt, RunAt
from tests.shops import two_drops
from tui.draw.text_edit import TextEdit
from tui.panes.form.in_use import FieldsInUse
from tui.panes.form.typing import Editing, Typing
from tui.work.document import Document


@pytest.fixture
def document(tmp_path) -> Document:
    path = tmp_path / "shop.toml"
    path.write_text(two_drops.TEXT, encoding="utf-8")
    opened = Document.open(path)
    opened.select(PieceAt(0, 0))
    return opened


def shown(document: Document) -> FieldsInUse:
    in_use = FieldsInUse()
    assert in_use.follow(document) and not in_use.follow(document)
    return in_use


def length(document: Document) -> str:
    return document.design.runs[0].pieces[0].length.text


def test_a_value_is_in_the_design_as_typed_and_all_of_it_is_one_step(document):
    before = document.design
    typing = Typing(document, shown(document).field)
    for text in ("2", "2.", "2.5", "2.5 ", "2.5 f", "2.5 ft"):
        typing.take(TextEdit(text, len(text)))
    assert length(document) == "2.5 ft" and not typing.editing.trouble
    document.undo()
    assert document.design is before


def test_what_is_no_value_leaves_the_last_good_one_and_a_reason(document):
    typing = Typing(document, shown(document).field)
    typing.take(TextEdit("3 m", 3))
    typing.take(TextEdit("3 mx", 4))
    assert length(document) == "3 m" and typing.editing.trouble
    typing.restore()
    assert length(document) == "1.2 m"


def test_a_move_of_the_cursor_reads_nothing_anew():
    typed = Editing.of("6in").after(TextEdit("6in x", 5), lambda text: f"read {text}")
    moved = typed.after(TextEdit("6in x", 0), lambda _: pytest.fail("read again"))
    assert moved.echo == "read 6in x" and moved.edit.at == 0


def test_the_fields_follow_the_selection_and_start_at_the_first(document):
    document.select(RunAt(0))
    in_use = shown(document)
    assert in_use.title == "main" and in_use.move(1) and in_use.at == 1
    document.select(COLLECTOR)
    assert in_use.follow(document) and in_use.at == 0 and in_use.title == "collector"
    assert not in_use.move(-1) and len(in_use.table()) == len(in_use.all)
