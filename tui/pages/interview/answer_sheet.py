"""The present question of the interview in full: what is asked, and rows to type into or to choose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events
from textual.binding import Binding

from tui.draw.lines import Line, cut, fit, line, printable, restyle, wrapped_to
from tui.draw.text_edit import TextEdit
from tui.pages.interview.question_list import ANSWER_KEYS
from tui.pages.interview.rows import Row
from tui.pages.interview.sheets import Sheet
from tui.panes.form.lines import Editing, field_line, label_cells
from tui.panes.pane import Content, Pane, more_note, window
from tui.work.values import BadValue

if TYPE_CHECKING:
    from tui.pages.interview.screen import InterviewScreen

_ABOUT_LINES = 5
_DONE = {"enter": 1, "down": 1, "up": -1, "tab": 1, "shift+tab": -1}


class AnswerSheet(Pane, inherit_bindings=False):
    """The pane on the right. A row to type into is typed into as soon as it is reached; Esc leads back to the list."""

    BINDINGS = [
        Binding("j", "move(1)", "move"),
        Binding("k", "move(-1)", "move"),
        Binding("down", "move(1)", "move", show=False),
        Binding("up", "move(-1)", "move", show=False),
        Binding("enter", "choose", "choose"),
        Binding("space,e,l,right", "choose", "choose", show=False),
        Binding("h,left", "go_back", "to the questions", show=False),
        Binding("g,home", "move(-999)", "first row", show=False),
        Binding("G,end", "move(999)", "last row", show=False),
        *ANSWER_KEYS,
    ]
    help_text = (
        "Type a value and Enter, or choose a row with Enter; the interview goes on by itself. A plain number is in the unit shown: "
        "6in, 1'6, 150 mm and 1,5 m are understood too. Esc goes back to the questions."
    )
    only_own_keys = True
    screen: InterviewScreen

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._sheet = Sheet("", "", ())
        self._at = 0
        self._top = 0
        self._first = 0
        self._editing: Editing | None = None

    # What it shows

    def show_sheet(self, sheet: Sheet, *, start: bool) -> None:
        """Show a sheet, from where it starts or from the row in use."""
        self._sheet = sheet
        self._at = sheet.start if start else min(self._at, len(sheet.rows) - 1)
        self._edit(self.has_focus)

    def begin(self) -> None:
        """Answer from where the sheet starts."""
        self._at = self._sheet.start
        self._edit(True)

    def restore(self) -> None:
        """Leave the row being typed into as it was."""
        self._edit(False)

    def content(self, width: int, height: int) -> Content:
        """What is asked, the rows around the one in use, and what that one is about."""
        glyphs, rows = self.app.glyphs, self._sheet.rows
        warning = f"! {self._sheet.warning}" if self._sheet.warning else ""
        above = [*wrapped_to(self._sheet.words, width, 5, glyphs), *wrapped_to(warning, width, 5, glyphs, "caution"), ()]
        self._first, below = len(above), self._about(width)
        room = max(height - len(above) - _ABOUT_LINES - 1, 2)
        self._top = window(self._top, self._at, self._at, room, len(rows))
        shown = range(self._top, min(self._top + room, len(rows)))
        labels = label_cells([row.field for row in rows if row.field])
        marks = min(max((len(row.label) for row in rows if not row.field and row.remark), default=0), 24)
        body = [*above, *(self._line(at, labels, marks, width) for at in shown)]
        body += [()] * (height - len(body) - len(below)) + below
        title = line(" ", (cut(printable(self._sheet.title), width - 4, glyphs), "title-focus" if self.has_focus else "title"), " ")
        return Content(title, body, more_note(self._top, room, len(rows), self._at, glyphs))

    def _line(self, at: int, labels: int, marks: int, width: int) -> Line:
        row, focused, glyphs = self._sheet.rows[at], self.has_focus and at == self._at, self.app.glyphs
        if row.field:
            return field_line(row.field, labels, width, glyphs, focused=focused, editing=self._editing if focused else None)
        label = f"{row.mark} {row.label}" if row.mark else row.label
        remark = (f"  {row.remark}", "dim") if row.remark else ""
        label = f"{label:<{marks + len(row.mark) + bool(row.mark)}}" if row.remark else label
        made = fit(line(cut(printable(label), width - len(remark[0] if remark else ""), glyphs), remark), width)
        return restyle(made, "cursor") if focused else made

    def _about(self, width: int) -> list[Line]:
        """Why what is typed will not do, how it is understood, or what the row is about."""
        row = self._row
        if row is None:
            return []
        if self._editing and self._editing.trouble:
            return wrapped_to(f"! {self._editing.trouble}", width, _ABOUT_LINES, self.app.glyphs, "fault")
        if self._editing and self._editing.echo:
            return wrapped_to(f"= {self._editing.echo}", width, _ABOUT_LINES, self.app.glyphs, "note")
        return wrapped_to(row.about, width, _ABOUT_LINES, self.app.glyphs, "note")

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
        if row is None or row.field:
            return
        if row.pick:
            self.screen.take(row.pick())
        if row.onward:
            self.screen.go_on()
        elif row.leads:
            self.screen.go_to(row.leads)
            self.begin()
        elif row.asks:
            self.screen.carry_out(row.asks)

    def action_go_back(self) -> None:
        """Go back to the questions."""
        self.screen.listed.focus()

    def action_remove(self) -> None:
        """Take the machine of this row away."""
        kind, _, index = (self._row.leads if self._row else "").partition(" ")
        if kind == "machine":
            self.screen.remove_machine(int(index))
        else:
            self.app.flash("x takes a machine away: go to one first", trouble=True)

    def action_take_back(self, by: int) -> None:
        """Undo or redo."""
        self.screen.take_back(by)

    # Typing

    def _edit(self, on: bool) -> None:
        row = self._row
        self._editing = Editing(TextEdit.of(row.field.text)) if on and row and row.field else None
        self.refresh_bindings()
        self.redraw()

    @property
    def key_entries(self) -> tuple[tuple[str, str], ...]:
        """What the key line shows while something is typed."""
        return (("Enter", "accept"), ("Up Down", "move"), ("Esc", "to the questions")) if self._editing else ()

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether the row being typed into takes the key."""
        if self._editing is None:
            return False
        printable_key = character is not None and character.isprintable() and not key.startswith(("ctrl+", "alt+"))
        return printable_key or key in _DONE or self._editing.edit.key(key) is not None

    def on_key(self, event: events.Key) -> None:
        """Type into the row."""
        if self._editing is None or not self.check_consume_key(event.key, event.character):
            return
        event.stop()
        event.prevent_default()
        if event.key in _DONE:
            self._commit(_DONE[event.key], onward=event.key == "enter")
        else:
            self._typed(self._editing.edit.key(event.key) or self._editing.edit.insert(event.character or ""))

    def on_paste(self, event: events.Paste) -> None:
        """Paste into the row; several lines are a row each, where rows are lines."""
        event.stop()
        if self._editing is None:
            return
        if self._sheet.paste and len(event.text.strip().splitlines()) > 1:
            answers, left_out = self._sheet.paste(event.text)
            self.screen.take(answers, start=True)
            if left_out:
                self.app.flash(left_out, trouble=True)
        else:
            self._typed(self._editing.edit.insert(event.text.strip("\r\n")))

    def _typed(self, edit: TextEdit) -> None:
        self._editing = Editing(edit)
        if edit.text != self._row.field.text:
            try:
                self._editing = Editing(edit, self._row.read(edit.text)[1])
            except BadValue as reason:
                self._editing = Editing(edit, trouble=str(reason))
        self.redraw()

    def _commit(self, by: int, *, onward: bool) -> None:
        """Take what is typed and move on; past the last row the interview goes on."""
        row, editing, count = self._row, self._editing, len(self._sheet.rows)
        if editing.trouble:
            self.app.flash("this will not do yet; Esc leaves it as it was" if onward else f"left out: {editing.trouble}", trouble=True)
            if onward:
                return
        elif editing.edit.text != row.field.text:
            self.screen.take(row.read(editing.edit.text)[0])
            if len(self._sheet.rows) < count:  # an emptied line is gone: the next one stands in its place
                by = 0
        elif onward and row.ends:
            self.screen.go_on()
            return
        if onward and self._at + by >= len(self._sheet.rows):
            self.screen.go_on()
        else:
            self.action_move(by)

    def on_click(self, event: events.Click) -> None:
        """Use the row that was clicked."""
        at = self._top + event.y - 1 - self._first
        if self._first < event.y and at < len(self._sheet.rows):
            self._at = at
            self._edit(True)
