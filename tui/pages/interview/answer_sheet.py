"""The present question of the interview in full: what is asked, and rows to type into or to choose."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType

from engine.units.printable import printable
from tui.draw.lines import Line, cut, fit, line, restyle, wrapped_to
from tui.draw.text_edit import TextEdit
from tui.pages.interview.answering import ANSWER_KEYS, Interview, row_keys
from tui.pages.interview.rows import Row, radio
from tui.pages.interview.sheets.sheet import Sheet
from tui.panes.form.lines import field_line, label_cells
from tui.panes.form.typing import Editing
from tui.panes.pane import Content, Pane, hold, more_note, window
from tui.work.fields.fields import Field
from tui.work.fields.values import cycled

_ABOUT_LINES = 5
_DONE = {"enter": 1, "down": 1, "up": -1, "tab": 1, "shift+tab": -1}
_PAGES = ("pagedown", "pageup")
_TURNS = {"left": -1, "right": 1}


class AnswerSheet(Pane, inherit_bindings=False):
    """The pane on the right. A row to type into is typed into as soon as it is reached; Esc leads back to the list."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *row_keys("move", "row"),
        Binding("enter", "choose", "choose"),
        Binding("space,e,l,right", "choose", "choose", show=False),
        Binding("h,left", "go_back", "to the questions", show=False),
        *ANSWER_KEYS,
    ]
    _HELP = (
        "Type an answer and Enter, or choose a row with Enter: it leads to the next row, and behind the last one to the next question. "
        "Page Down takes the rest of a page as it is offered. "
        "A plain number is in the unit shown: 6in, 1'6, 150 mm and 1,5 m are understood too. Esc goes back to the questions."
    )
    only_own_keys = True

    def __init__(self, interview: Interview) -> None:
        super().__init__()
        self._interview = interview
        self._sheet = Sheet("", "", ())
        self._at = 0
        self._top = 0
        self._first = 0
        self._editing: Editing | None = None

    @property
    def help_text(self) -> str:  # type: ignore[override]  # a pane's is mostly the same all along
        """What can be done here, what is asked, and what each row of it means."""
        told = dict.fromkeys(f"{row.label}: {row.about}" for row in self._sheet.rows if row.about)
        return "\n".join((self._HELP, "", f"{self._sheet.title}: {self._sheet.words}", *told))

    # What it shows

    def show_sheet(self, sheet: Sheet, *, start: bool) -> None:
        """Show a sheet, from where it starts or from the row in use."""
        self._sheet = sheet
        self._at = sheet.start if start else min(self._at, len(sheet.rows) - 1)
        self._edit(self.has_focus)

    def begin(self, *, back: bool = False) -> None:
        """Answer from where the sheet starts; who comes `back` to lines finds the last one said, not the empty one behind it."""
        start, rows = self._sheet.start, self._sheet.rows
        self._at = start - 1 if back and self._sheet.paste and start and rows[start - 1].line else start
        self._edit(True)

    def restore(self) -> None:
        """Leave the row being typed into as it was, and say what was left out."""
        if self._editing and self._row and self._row.line and self._editing.edit.text != self._row.line.field.text:
            self.session.flash(f"left as it was, without {self._editing.edit.text[:40]!r}")
        self._edit(False)

    def content(self, width: int, height: int) -> Content:
        """What is asked, the rows around the one in use, and what that one is about."""
        glyphs, rows = self.session.glyphs, self._sheet.rows
        warning = f"! {self._sheet.warning}" if self._sheet.warning else ""
        above = [*wrapped_to(self._sheet.words, width, 5, glyphs), *wrapped_to(warning, width, 5, glyphs, "caution"), ()]
        lines = max(_ABOUT_LINES, height - len(above) - len(rows) - 1)
        self._first, below = len(above), self._about(width, lines)
        room = max(height - len(above) - lines - 1, 2)
        self._top = window(self._top, self._at, self._at, room, len(rows))
        shown = range(self._top, min(self._top + room, len(rows)))
        labels = label_cells([row.line.field for row in rows if row.line])
        marks = min(max((len(row.label) for row in rows if not row.line and row.remark), default=0), 24)
        body = [*above, *(self._line(at, labels, marks, width) for at in shown)]
        body += [()] * (height - len(body) - len(below)) + below
        return Content(
            self.titled(cut(printable(self._sheet.title), width - 4, glyphs)), body, more_note(self._top, room, len(rows), self._at, glyphs)
        )

    def _line(self, at: int, labels: int, marks: int, width: int) -> Line:
        row, focused, glyphs = self._sheet.rows[at], self.has_focus and at == self._at, self.session.glyphs
        if row.line:
            return field_line(row.line.field, labels, width, glyphs, focused=focused, editing=self._editing if focused else None)
        label = f"{row.mark} {row.label}" if row.mark else row.label
        label = cut(printable(label), width, glyphs)
        label = f"{label:<{marks + len(row.mark) + bool(row.mark)}}  " if row.remark else label
        made = fit(line(label, (cut(printable(row.remark), width - len(label), glyphs), "dim")), width)
        return restyle(made, "cursor") if focused else made

    def _about(self, width: int, lines: int) -> list[Line]:
        """Why what is typed will not do, how it is understood, or what the row is about, in so many lines at most."""
        row = self._row
        if row is None:
            return []
        if self._editing and self._editing.trouble:
            return wrapped_to(f"! {self._editing.trouble}", width, lines, self.session.glyphs, "fault")
        if self._editing and self._editing.echo:
            return wrapped_to(f"= {self._editing.echo}", width, lines, self.session.glyphs, "note")
        return wrapped_to(row.about, width, lines, self.session.glyphs, "note")

    @property
    def _row(self) -> Row | None:
        return self._sheet.rows[self._at] if self._sheet.rows else None

    # Moving and choosing

    def on_focus(self) -> None:
        """Begin to type where there is something to type."""
        self._edit(True)

    def on_blur(self) -> None:
        """What was being typed is left out."""
        self._edit(False)

    def action_move(self, by: int) -> None:
        """Move to another row."""
        self._at = min(max(self._at + by, 0), len(self._sheet.rows) - 1)
        self._edit(True)

    def action_choose(self) -> None:
        """Do what the row is for."""
        row = self._row
        if row is None or row.line:
            return
        if row.pick:
            self._interview.take(row.pick())
        if row.one_of:
            self._go_past_choice()
        elif row.leads:
            self._interview.go_to(row.leads)
            self.begin()
        elif row.asks:
            self._interview.carry_out(row.asks)

    def _go_past_choice(self) -> None:
        """Go to the row below the one choice that is made of several; where there is none, on."""
        rows = self._sheet.rows
        below = next((at for at in range(self._at, len(rows)) if not rows[at].one_of), None)
        if below is None:
            self._interview.go_on()
        else:
            self.action_move(below - self._at)

    def action_go_back(self) -> None:
        """Go back to the questions."""
        self._interview.go_back()

    def action_remove(self) -> None:
        """Take the machine of this row away."""
        kind, _, index = (self._row.leads if self._row else "").partition(" ")
        if kind == "machine":
            self._interview.remove_machine(int(index))
        else:
            self.session.flash("x takes a machine away: go to one first", trouble=True)

    def action_go_on(self) -> None:
        """Take what is offered and go to the next question."""
        self._interview.go_on()

    def action_go_before(self) -> None:
        """Go to the question before."""
        self._interview.go_before()

    def action_take_back(self, by: int) -> None:
        """Undo or redo."""
        self._interview.take_back(by)

    # Typing

    def _edit(self, on: bool) -> None:
        row = self._row
        self._editing = Editing.of(row.line.field.text) if on and row and row.line else None
        self._interview.show_in_plan(row.marks if row else "")
        self.refresh_bindings()
        self.redraw()

    @property
    def key_entries(self) -> tuple[tuple[str, str], ...]:
        """What the key line shows while something is typed."""
        if self._editing is None:
            return ()
        turns = (("Left Right", "change"),) if self._turns else ()
        return (("Enter", "next row"), *turns, ("PgDn", "next question"), ("Up Down", "move"), ("Esc", "to the questions"))

    @property
    def _turns(self) -> Field | None:
        """The field being typed into where it has choices to turn to, as it stands there."""
        line = self._row.line if self._row else None
        return replace(line.field, text=self._editing.edit.text) if self._editing and line and line.field.choices else None

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether the row being typed into takes the key."""
        return self._editing is not None and (key in _DONE or key in _PAGES or self._editing.edit.typed(key, character) is not None)

    def on_key(self, event: events.Key) -> None:
        """Type into the row."""
        editing = self._editing
        if editing is None:
            return
        if event.key in _DONE:
            hold(event)
            self._commit(editing, _DONE[event.key], onward=event.key == "enter")
        elif event.key in _PAGES:
            hold(event)
            if self._taken(editing):
                self.action_go_on() if event.key == "pagedown" else self.action_go_before()
        elif event.key in _TURNS and (field := self._turns):
            hold(event)
            if (choice := cycled(field, _TURNS[event.key])) is not None:
                self._typed(editing, TextEdit.of(choice))
        elif (edit := editing.edit.typed(event.key, event.character)) is not None:
            hold(event)
            self._typed(editing, edit)

    def on_paste(self, event: events.Paste) -> None:
        """Paste into the row; several lines are a row each, where rows are lines."""
        event.stop()
        if self._editing is None:
            return
        if self._sheet.paste and len(event.text.strip().splitlines()) > 1:
            answers, left_out = self._sheet.paste(event.text)
            self._interview.take(answers, start=True)
            if left_out:
                self.session.flash(left_out, trouble=True)
        else:
            self._typed(self._editing, self._editing.edit.insert(event.text.strip("\r\n")))

    def _typed(self, editing: Editing, edit: TextEdit) -> None:
        row = self._row
        if row is not None and row.line is not None:
            self._editing = editing.after(edit, row.line.understood)
            if not self._editing.trouble and edit.text != row.line.field.text:
                self._interview.show_in_plan(row.marks, row.line.read(edit.text)[0])
            self.redraw()

    def _commit(self, editing: Editing, by: int, *, onward: bool) -> None:
        """Take what is typed and move on, with Enter behind the last row to the next question; what will not do stays."""
        row, count, text = self._row, len(self._sheet.rows), editing.edit.text
        if row is None or row.line is None or not self._taken(editing):
            return
        fewer, new = len(self._sheet.rows) < count, text and not row.line.field.text
        if onward and row.line.ends and not text:
            self._interview.go_on()
        elif onward and new and self._sheet.paste and self._sheet.start > self._at:  # on behind the last of what may be several lines
            self.action_move(self._sheet.start - self._at)
        elif not text and fewer:  # an emptied line is gone: the next one stands in its place
            self.action_move(0)
        elif onward and self._at + by >= len(self._sheet.rows):
            self._interview.go_on()
        else:
            self._move_to_answer(by) if onward else self.action_move(by)

    def _move_to_answer(self, by: int) -> None:
        """Move to another row; of several of which one is chosen to that one, so that Enter leaves it chosen."""
        rows = self._sheet.rows
        others = range(self._at + by, len(rows)) if rows[self._at + by].one_of else ()
        marked = next((at for at in others if rows[at].mark == radio(True)), self._at + by)
        self.action_move(marked - self._at)

    def _taken(self, editing: Editing) -> bool:
        """Whether what is typed will do; then it is taken."""
        line, text = self._row.line if self._row else None, editing.edit.text
        if editing.trouble:
            self.session.flash("this will not do yet; Esc leaves it as it was", trouble=True)
            return False
        if line and text != line.field.text:
            self._interview.take(line.read(text)[0])
        return True

    def on_click(self, event: events.Click) -> None:
        """Use the row that was clicked, unless what is being typed will not do."""
        at = self._top + event.y - 1 - self._first
        if self._first < event.y and at < len(self._sheet.rows) and (self._editing is None or self._taken(self._editing)):
            self._at = at
            self._edit(True)
