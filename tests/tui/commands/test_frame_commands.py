"""Commands and what is made from them: bindings, key line, palette, help."""

from __future__ import annotations

import inspect
from dataclasses import replace
from datetime import date

import pytest

from engine.design import AS_DESIGNED, Tuned
from tests.shops.one_drop import design
from tui import commands
from tui.commands import accepting, edit, files, look, pages, search
from tui.commands.base import GROUPS, Command, OfPanes, help_of, keys_text
from tui.commands.key_names import key_name
from tui.draw.glyphs import ASCII, LINE
from tui.draw.lines import text_of, width_of
from tui.pages.choosing.choose import matching
from tui.pages.choosing.palette import palette_choices
from tui.pages.frame.key_line import key_line
from tui.pages.frame.status_line import status_line
from tui.pages.reading.help import help_text
from tui.pages.workbench import Workbench
from tui.panes.tree.duct_tree import DuctTree
from tui.work.asking import Choice
from tui.work.document import Document
from tui.work.session import Status

EVERY = [
    thing for module in (accepting, edit, files, look, pages, search) for _, thing in inspect.getmembers(module, inspect.isclass)
    if issubclass(thing, Command) and thing.title
]  # fmt: skip


def test_every_command_is_on_the_workbench_and_has_a_name_a_group_and_help():
    assert set(EVERY) == set(commands.WORKBENCH) and len(set(commands.WORKBENCH)) == len(commands.WORKBENCH)
    for command in EVERY:
        assert command.title and command.group in GROUPS
        assert len(help_of(command)) > 10, command
    assert len({command.title for command in EVERY}) == len(EVERY)


def test_no_two_commands_share_a_key():
    keys = [key for command in EVERY for key in command.keys]
    assert len(keys) == len(set(keys))


def test_keys_are_ones_that_arrive():
    lost = {"ctrl+enter", "shift+enter", "ctrl+tab", "shift+f3", "ctrl+h", "ctrl+i", "ctrl+m", "ctrl+[", "ctrl+b", "ctrl+a"}
    assert not lost & {key for command in EVERY for key in command.keys}


def test_every_function_key_has_a_letter_twin():
    for command in EVERY:
        if any(key.startswith("f") and key[1:].isdigit() for key in command.keys):
            assert any(len(key) == 1 for key in command.keys), command


def test_every_command_is_carried_out_by_someone():
    taken = {command for taker in (Workbench, DuctTree) for command in vars(taker)["_decorated_handlers"]}
    for command in EVERY:
        assert command in taken if issubclass(command, OfPanes) else command.do is not Command.do, command


@pytest.mark.parametrize("document", [None, Document(design())], ids=["no design", "a design"])
def test_a_command_that_cannot_be_used_says_why_in_one_line(document):
    for command in EVERY:
        why = command.why_not(document)
        assert why is None or (why and "\n" not in why)
    assert edit.Undo.why_not(document) == "nothing to undo"


def test_the_palette_lists_every_command_with_its_keys_or_the_reason():
    rows = palette_choices(list(commands.WORKBENCH), Document(design()))
    assert {row.value for row in rows} == {command.__name__ for command in EVERY if command is not pages.Palette}
    remarks = {row.value: row.remark for row in rows}
    assert remarks["Save"] == "^s w"
    assert remarks["Undo"] == "not now: nothing to undo"
    for words in ("test", "ladder", "commission"):
        assert matching(rows, words)[0].value == pages.ReadingsPage.__name__
    assert {row.value for row in matching(rows, "measure")} >= {pages.ReadingsPage.__name__, pages.CardsPage.__name__}
    assert [row.remark.startswith("not now") for row in rows] == sorted(row.remark.startswith("not now") for row in rows)


def test_filtering_puts_what_begins_with_the_words_first():
    rows = (Choice("redo", 1), Choice("open", 2, "undo nothing"), Choice("undo", 3, "u"))
    assert [choice.value for choice in matching(rows, "UNDO")] == [3, 2]
    assert matching(rows, "nothing undo") == (rows[1],)
    assert matching(rows, "") == rows


def test_help_holds_every_command_with_its_keys():
    text = help_text("Intro [/x].", [("j", "down")], list(commands.WORKBENCH), 76).plain
    words = " ".join(text.split())
    assert words.startswith("Intro [/x].") and "j down" in words
    for command in EVERY:
        assert keys_text(command) in words and command.title in words
    assert max(map(len, text.splitlines())) <= 78


@pytest.mark.parametrize("width", range(24, 140, 7))
def test_the_key_line_drops_whole_entries_from_the_right_but_never_help_and_quit(width):
    entries = [(command.keys[0], command.label) for command in EVERY if command.label]
    always = [("?", "help"), ("q", "quit")]
    line = key_line(entries, always, width)
    text = text_of(line)
    assert width_of(line) <= width
    assert text.endswith("? help  q quit")
    shown = [part for part in text.removesuffix("? help  q quit").split("  ") if part.strip()]
    assert [part.strip() for part in shown] == [f"{key} {label}" for key, label in entries[: len(shown)]]


@pytest.mark.parametrize(
    ("key", "name"),
    [("ctrl+s", "^s"), ("escape", "Esc"), ("question_mark", "?"), ("?", "?"), ("f1", "F1"), ("shift+up", "Shift-Up"), ("equals_sign", "=")],
)
def test_keys_are_written_as_people_read_them(key, name):
    assert key_name(key) == name


class Counted:
    accepted = 0

    def __init__(self, tuned: Tuned = AS_DESIGNED) -> None:
        self.design = replace(design(), tuned=tuned)

    def count(self, severity: str) -> int:
        return 1 if severity == "fault" else 0


def test_a_long_message_takes_the_whole_status_row():
    status = Status(Counted(), "main speed 1 -> 2 m/s")
    assert text_of(status_line(status, 80, LINE)).startswith(" 1 fault · no cautions")
    assert "main speed 1 -> 2 m/s" in text_of(status_line(status, 80, LINE))
    assert "·" not in text_of(status_line(status, 80, ASCII))
    long = Status(Counted(), "", "x" * 70, True)
    assert text_of(status_line(long, 80, LINE)).strip() == "x" * 70


def test_the_status_row_tells_by_which_readings_figures_go():
    status = Status(Counted(Tuned(on=True, date=date(2026, 3, 14), collector=0.9)))
    for width, told in ((80, "tuned to readings of 2026-03-14"), (50, "tuned 2026-03-14"), (40, "tuned")):
        assert text_of(status_line(status, width, LINE)).rstrip().endswith(f"no cautions · {told}")
    message = replace(status, message="x" * 40)
    assert "no cautions · tuned" in text_of(status_line(message, 80, LINE)) and "x" * 40 in text_of(status_line(message, 80, LINE))
    off = Status(Counted(Tuned(on=False, date=date(2026, 3, 14), collector=0.9)))
    assert "tuned" not in text_of(status_line(off, 80, LINE))
