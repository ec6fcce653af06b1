"""The piece pane: a form for what is selected. A change applies as it is typed, as one step that can be undone."""

from __future__ import annotations

from typing import Any, ClassVar

from textual import events, on
from textual.binding import Binding, BindingType
from textual.widget import Widget

from engine import edits
from engine.units.printable import printable
from tui.commands.edit import EditValue
from tui.commands.files import Save, SaveAs
from tui.draw.lines import Line, cut
from tui.panes.form.facts import facts
from tui.panes.form.in_use import FieldsInUse
from tui.panes.form.lines import echo_lines, fact_lines, field_line, label_cells, meaning_lines, trouble_lines
from tui.panes.form.plan_below import with_plan
from tui.panes.form.steps import SizeSteps, sized_place
from tui.panes.form.typing import Typing, is_of_value, put_in, why_not_begun
from tui.panes.item import Cells, Table
from tui.panes.pane import ROW_KEYS, Content, Pane, asks_for_help, hold, more_note, window
from tui.work.document import Refused
from tui.work.fields.fields import Field
from tui.work.fields.values import cycled, echo, read, waits

_BELOW, _DONE = 2, {"enter": 1, "down": 1, "up": -1}


class PieceForm(Pane):
    """Fields of what is selected, the meaning of the one in use, and what follows in the air."""

    pane_name = "piece"
    help_text = (
        "The values of what is selected; one in parentheses holds while the field is empty. A figure typed on a field begins its value, "
        "e edits the old one; a change applies as it is typed: 6in, 1'6, 150mm, 1,5 m, 2 x 1.2 m; a plain number is in the unit shown. "
        "Elsewhere + and - look at other stocked sizes before one is taken."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left_square_bracket", "cycle(-1)", "choose"),
        Binding("right_square_bracket", "cycle(1)", "choose"),
        Binding("plus", "step(1)", "size"),
        Binding("minus", "step(-1)", "size"),
        Binding("equals_sign", "step(1)", show=False),
        Binding("underscore", "step(-1)", show=False),
        Binding("space", "turn", "toggle", show=False),
        Binding("backspace", "clear", "empty the field", show=False),
        *ROW_KEYS,
        Binding("h,left", "cycle(-1)", "choice before", show=False),
        Binding("l,right", "cycle(1)", "next choice", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._fields = FieldsInUse()
        self._facts: list[str] = []
        self._top = 0
        self._refusal = ""
        self._typing: Typing | None = None
        self._sizes = SizeSteps(self)

    # What it shows

    def update_form(self) -> None:
        """Take over the selection, the design and its results."""
        document = self.session.document
        self._facts = facts(self.session.assessment, document.gate_set_index, document.selection) if self.session.up_to_date else []
        self.redraw()

    def redraw(self) -> None:
        """Draw the form anew."""
        self._follow()
        super().redraw()

    def _follow(self) -> None:
        """Take over the fields of what is selected now: a key can come before the news of a change."""
        place = self._fields.place
        if not self._fields.follow(self.session.document):
            return
        self._sizes.forget()
        self._refusal = ""
        field = self._fields.field
        if self._typing and (self._fields.place != place or field is None or field.name != self._typing.field.name):
            self._stop_typing()

    def content(self, width: int, height: int) -> Content:
        """The fields around the one in use, its meaning, and the facts."""
        glyphs, at, count = self.session.glyphs, self._fields.at, len(self._fields.all)
        labels, editing = label_cells(self._fields.all), self._typing.editing if self._typing else None
        considered = self._sizes.shown.lines(width) if self._sizes.shown else []
        below = considered or trouble_lines(editing.trouble if editing else self._refusal, width) or echo_lines(editing, labels, width)
        meaning = max(len(below), _BELOW) if count and self.has_focus else 0
        spare = max(height - count - meaning, 0 if below else _BELOW)
        rows = max(height - meaning - spare, 0 if considered else 1)
        self._top = window(self._top, at, at, rows, count)
        body = [self._line(row, labels, width) for row in range(self._top, min(self._top + rows, count))]
        body += below or meaning_lines(self._fields.field if self.has_focus else None, width, meaning, glyphs)
        body += [()] * (rows + meaning - len(body)) if below else []
        told = fact_lines(self._facts, width, min(spare, height - len(body)), glyphs)
        told = told[: max((at for at, row in enumerate(told, 1) if row), default=0)]
        body = with_plan([*body, *told], self.session, width, height, height - count - _BELOW - len(told) - 1)
        title = self.titled(f"2 {cut(printable(self._fields.title), width - 6, glyphs)}")
        return Content(title, body, more_note(self._top, rows, count, at, glyphs))

    def _line(self, at: int, labels: int, width: int) -> Line:
        field, focused = self._fields.all[at], self.has_focus and at == self._fields.at
        editing = self._typing.editing if self._typing and focused else None
        value = getattr(edits.at(self.session.document.design, field.place), field.name)
        shown = echo(field, value, field.text, self.session.document.system)
        return field_line(field, labels, width, self.session.glyphs, focused=focused, editing=editing, echo=shown)

    # Moving, choosing, stepping

    @property
    def field(self) -> Field | None:
        """The field in use."""
        self._follow()
        return self._fields.field

    def action_move(self, by: int) -> None:
        """Move to another field."""
        if self._fields.move(by):
            self.session.document.seal()
            self.redraw()

    def action_cycle(self, by: int) -> None:
        """Take the next choice."""
        field = self.field
        if field is None or field.entry.kind == "names" or waits(field) or (wanted := cycled(field, by)) is None:
            said = "nothing to choose from here" if field is None else f"{field.label}: nothing to choose from; e edits it"
            self.session.flash(said)
            return
        self.apply(field, read(field, wanted, self.session.document.system))

    def action_turn(self) -> None:
        """Put a machine in or out of a gate set, or take the next choice."""
        field = self.field
        if field is not None and field.entry.kind == "names":
            self.apply(field, not field.text)
        else:
            self.action_cycle(1)

    def action_clear(self) -> None:
        """Empty a field, so that its default holds."""
        field = self.field
        if field is None or field.entry.required or field.entry.kind == "names":
            self.session.flash("this field cannot be empty", trouble=True)
        else:
            self.apply(field, None)

    def row(self) -> Cells:
        """The value of the field in use."""
        self._follow()
        return self._fields.row()

    def table(self) -> Table:
        """Every field with its value."""
        return self._fields.table()

    def apply(self, field: Field, value: Any) -> None:
        """One change from one key; keys on the same field are one step."""
        try:
            put_in(self.session.document, field, value, self.session.document.design)
        except Refused as reason:
            self.refuse(str(reason))

    def refuse(self, reason: str, said: str = "") -> None:
        """Say why not: in the status row, which may have to cut it, and whole below the fields until the next key."""
        self._follow()
        self._refusal = reason
        self.session.flash(said or reason, trouble=True)
        self.redraw()

    # Keys

    @property
    def key_entries(self) -> tuple[tuple[str, str], ...]:
        """What the key line shows while a field is being edited or a size considered."""
        if self._sizes.shown:
            return self._sizes.shown.entries
        return (("Enter", "accept"), ("Esc", "restore")) if self._typing else ()

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether an edit under way, or a size under consideration, takes the key."""
        if self._typing is None:
            return self._sizes.takes(key) or (self.field is not None and is_of_value(self.field, character))
        return key == "escape" or key in _DONE or self._typing.editing.edit.takes(key, character)

    def on_key(self, event: events.Key) -> None:
        """Type into the field being edited; a key that says nothing to a size under consideration leaves it, but help is read beside it."""
        if self._refusal:
            self._refusal = ""
            self.redraw()
        if self._sizes.shown is not None and not asks_for_help(event):
            takes = self._sizes.takes(event.key)
            if takes or self._sizes.lends_focus:  # a key that it does not take was meant for what has the focus again
                hold(event)
            self._sizes.carry_out(event.key) if takes else self._sizes.leave()
        elif self._typing is not None and self.check_consume_key(event.key, event.character):
            hold(event)
            self._type(event.key, event.character, self._typing)
        elif (field := self.field) and is_of_value(field, event.character):
            hold(event)
            if why := why_not_begun(field):
                self.session.flash(why)
                return
            self._typing = Typing(self.session.document, field)
            self._type(event.key, event.character, self._typing)
            self.refresh_bindings()

    def on_paste(self, event: events.Paste) -> None:
        """Paste into the field being edited; several lines over the curve or a point of it are its points."""
        if self._typing is None:
            return
        if self._fields.on_curve and len(event.text.strip().splitlines()) > 1:
            self._restore(self._typing)
        else:
            event.stop()
            self._typing.take(self._typing.editing.edit.insert(event.text))
            self.redraw()

    def on_blur(self) -> None:
        """An edit out of focus is done, or given up where it will not do; a size not taken is left."""
        self._sizes.drop()
        if (typing := self._typing) is not None:
            self._stop_typing()
            if typing.editing.trouble:
                self.session.attempt(typing.restore)
            self.session.document.seal()

    def on_click(self, event: events.Click) -> None:
        """Use the field that was clicked."""
        at = self._top + event.y - 1
        if event.y >= 1 and at < len(self._fields.all):
            self.action_move(at - self._fields.at)

    # Editing in place

    @on(EditValue)
    def edit_value(self, event: EditValue) -> None:
        """Edit the field in use."""
        event.stop()
        self.begin()

    @on(Save)
    @on(SaveAs)
    def hold_save(self, message: Save | SaveAs) -> None:
        """Half a value is nothing to save: it is finished or left first."""
        if self._typing is not None and self._typing.editing.trouble:
            message.stop()
            self.session.flash(f"not saved: {self._typing.editing.trouble}", trouble=True)

    def begin(self) -> None:
        """Edit the field in use with its value selected; what is in or out, or yes or no, changes at once."""
        field = self.field
        if field is None:
            self.session.flash("nothing to edit here; a adds one")
        elif field.entry.kind in ("names", "flag"):
            self.action_turn()
        else:
            self._typing = Typing(self.session.document, field)
            self.refresh_bindings()
            self.redraw()

    def _type(self, key: str, character: str | None, typing: Typing) -> None:
        if key == "escape":
            self._restore(typing)
        elif key == "enter" and typing.editing.trouble:
            self.session.flash("this will not do yet; Esc puts back what was there", trouble=True)
        elif key in _DONE:
            self._commit(typing, _DONE[key])
        elif (edit := typing.editing.edit.typed(key, character)) is not None:
            typing.take(edit)
            self.redraw()

    def _commit(self, typing: Typing, by: int) -> None:
        """Leave the field with what it holds and move on; what will not do gives way to what the field held before, and is said."""
        self._stop_typing()
        trouble = typing.editing.trouble
        try:
            self.session.flash(typing.restore() if trouble else typing.finish())
        except Refused as reason:
            self.refuse(str(reason))
        field = self.field
        self.action_move(by)
        if trouble:
            self.refuse(trouble, f"kept {(field and field.text) or 'the default'}: {trouble}")
        self.redraw()

    def _restore(self, typing: Typing) -> None:
        self._stop_typing()
        self.session.attempt(typing.restore)
        self.redraw()

    def _stop_typing(self) -> None:
        """Leave the field with what it holds."""
        if self._typing is not None:
            self._typing = None
            self.refresh_bindings()

    @property
    def considering(self) -> bool:
        """Whether a size is under consideration."""
        return self._sizes.shown is not None

    def action_step(self, by: int, asked_from: Widget | None = None) -> None:
        """Look at the next larger or smaller size of what is selected, or of its run; what asked for it has the focus again afterwards."""
        self._sizes.step(by, sized_place(self.session.document, self.field, self._fields.all), asked_from)
