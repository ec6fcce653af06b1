"""The piece pane: a form for what is selected. A change applies as it is typed, as one step that can be undone."""

from __future__ import annotations

from typing import Any

from textual import events, on
from textual.binding import Binding

from engine import edits
from engine.design import Design
from engine.design.places import DESIGN, CurvePointAt, EndOf, JointOf, Place, Rows
from tui import commands
from tui.draw.lines import cut, line, printable
from tui.panes.form.facts import facts
from tui.panes.form.lines import echo_lines, fact_lines, field_line, label_cells, meaning_lines, trouble_lines
from tui.panes.form.steps import SizeSteps
from tui.panes.form.typing import Typing
from tui.panes.pane import Content, Pane, more_note, window
from tui.work.document import Refused
from tui.work.fields import CURVE, Field, fields
from tui.work.values import changed, cycled, echo, read, waits

_BELOW = 2


class PieceForm(SizeSteps, Typing, Pane):
    """Fields of what is selected, the meaning of the one in use, and what follows in the air."""

    pane_name = "piece"
    help_text = (
        "The values of what is selected; one in parentheses holds while the field is empty. "
        "A change applies as it is typed: 6in, 1'6, 150mm, 1,5 m, 2 x 1.2 m, 2.4 + 0.6; a plain number is in the unit shown. "
        "+ and - look at other stocked sizes before one is taken."
    )
    BINDINGS = [
        Binding("left_square_bracket", "cycle(-1)", "choose"),
        Binding("right_square_bracket", "cycle(1)", "choose"),
        Binding("plus", "step(1)", "size"),
        Binding("minus", "step(-1)", "size"),
        Binding("equals_sign", "step(1)", show=False),
        Binding("underscore", "step(-1)", show=False),
        Binding("space", "toggle", "toggle", show=False),
        Binding("backspace", "clear", "empty the field", show=False),
        Binding("j,down", "move(1)", "down", show=False),
        Binding("k,up", "move(-1)", "up", show=False),
        Binding("g,home", "move(-999)", "first", show=False),
        Binding("G,end", "move(999)", "last", show=False),
        Binding("h,left", "cycle(-1)", "choice before", show=False),
        Binding("l,right", "cycle(1)", "next choice", show=False),
    ]

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._place: Place | None = None
        self._design: Design | None = None
        self._fields: tuple[Field, ...] = ()
        self._facts: list[str] = []
        self._at = 0
        self._top = 0
        self._refusal = ""

    # What it shows

    def update_form(self) -> None:
        """Take over the selection, the design and its results."""
        document = self.app.document
        self._facts = facts(document.design, self.app.assessment, document.gate_set_index, document.selection)
        self.redraw()

    def redraw(self) -> None:
        """Draw the form anew."""
        self._follow()
        super().redraw()

    def _follow(self) -> None:
        """Take over the fields of what is selected now: a key can come before the news of a change."""
        document = self.app.document
        if document.selection == self._place and document.design is self._design:
            return
        self.forget_preview()
        self._refusal = ""
        if document.selection != self._place:
            self._place, self._at, self._top = document.selection, 0, 0
            self.stop_typing()
        self._design = document.design
        self._fields = fields(document.design, document.selection)
        self._at = min(self._at, max(len(self._fields) - 1, 0))
        if self._edit and (not self._fields or self._fields[self._at].name != self._edit.field.name):
            self.stop_typing()

    def content(self, width: int, height: int) -> Content:
        """The fields around the one in use, its meaning, and the facts."""
        glyphs, count = self.app.glyphs, len(self._fields)
        labels, typing = label_cells(self._fields), self._edit and self._edit.state
        trouble = typing.trouble if typing else self._refusal
        below = self.preview_lines(width) or trouble_lines(trouble, width) or echo_lines(typing, labels, width)
        meaning = max(len(below), _BELOW) if count and self.has_focus else 0
        spare = max(height - count - meaning, 0 if below else _BELOW)
        rows = max(height - meaning - spare, 0 if self.considering else 1)
        self._top = window(self._top, self._at, self._at, rows, count)
        body = [self._line(at, labels, width) for at in range(self._top, min(self._top + rows, count))]
        field = self._fields[self._at] if self._fields and self.has_focus else None
        body += below or meaning_lines(field, width, meaning, glyphs)
        body += [()] * (rows + meaning - len(body)) if below else []
        body += fact_lines(self._facts, width, min(spare, height - len(body)), glyphs)
        title = line(" ", (f"2 {cut(printable(self._title()), width - 6, glyphs)}", "title-focus" if self.has_focus else "title"), " ")
        return Content(title, body, more_note(self._top, rows, count, self._at, glyphs))

    def _line(self, at: int, labels: int, width: int):
        field, focused = self._fields[at], self.has_focus and at == self._at
        editing = self._edit.state if self._edit and focused else None
        value = getattr(edits.at(self.app.document.design, field.place), field.name)
        shown = echo(field, value, field.text, self.app.document.system)
        return field_line(field, labels, width, self.app.glyphs, focused=focused, editing=editing, echo=shown)

    def _title(self) -> str:
        place, name = self._place or DESIGN, edits.label(self.app.document.design, self._place or DESIGN)
        match place:
            case JointOf():
                return f"joint of {name}"
            case EndOf():
                return f"port of {name}"
            case Rows() if not self._fields:
                return name.replace("_", " ")
        return name

    # Moving, choosing, stepping

    @property
    def field(self) -> Field | None:
        """The field in use."""
        self._follow()
        return self._fields[self._at] if self._fields else None

    def action_move(self, by: int) -> None:
        """Move to another field."""
        at = min(max(self._at + by, 0), max(len(self._fields) - 1, 0))
        if at != self._at:
            self._at = at
            self.app.document.seal()
            self.redraw()

    def action_cycle(self, by: int) -> None:
        """Take the next choice."""
        field = self.field
        if field is None or field.entry.kind == "names" or waits(field) or (wanted := cycled(field, by)) is None:
            self.app.flash("nothing to choose from in this field; e edits it")
            return
        self.apply(field, read(field, wanted, self.app.document.system))

    def sized_fields(self) -> list[Field]:
        """The fields that hold a stock size, the one in use first."""
        return [field for field in (self.field, *self._fields) if field and field.entry.refers_to == "stock size"]

    def action_toggle(self) -> None:
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
            self.app.flash("this field cannot be empty", trouble=True)
        else:
            self.apply(field, None)

    def row(self) -> tuple[str, ...]:
        """The value of the field in use, to copy; where it is empty, what then holds."""
        field = self.field
        return ((field.text or field.default or field.label),) if field else ()

    def table(self) -> list[tuple[str, ...]]:
        """Every field with its value, to copy."""
        return [(field.label, field.text or field.default) for field in self._fields]

    def apply(self, field: Field, value: Any) -> None:
        """One change from one key; keys on the same field are one step."""
        try:
            self.change(field, value, self.app.document.design)
        except Refused as reason:
            self.refuse(str(reason))

    def refuse(self, reason: str, said: str = "") -> None:
        """Say why not: in the status row, which may have to cut it, and whole below the fields until the next key."""
        self._follow()
        self._refusal = reason
        self.app.flash(said or reason, trouble=True)
        self.redraw()

    def change(self, field: Field, value: Any, design: Design) -> None:
        document = self.app.document
        thing = edits.label(design, field.place)
        what = field.member or (field.name if thing.startswith(field.label) else field.label)
        try:
            after, place = changed(design, field, value)
        except edits.EditError as reason:
            raise Refused(str(reason)) from None
        moved = None if place == field.place else place
        document.apply(f"{what} of {thing}", after, moved, merge_key=(field.place, field.name, field.member))

    # Editing in place

    @on(commands.EditValue)
    def edit_value(self, event: commands.EditValue) -> None:
        """Edit the field in use."""
        event.stop()
        self.begin()

    @on(commands.Save)
    @on(commands.SaveAs)
    def hold_save(self, message: commands.Save | commands.SaveAs) -> None:
        """Half a value is nothing to save: it is finished or left first."""
        if self._edit is not None and self._edit.state.trouble:
            message.stop()
            self.app.flash(f"not saved: {self._edit.state.trouble}", trouble=True)

    def begin(self) -> None:
        """Edit the field in use with its value selected; what is in or out, or yes or no, changes at once."""
        field = self.field
        if field is None:
            self.app.flash("nothing to edit here; a adds one")
        elif field.entry.kind in ("names", "flag"):
            self.action_toggle()
        else:
            self.app.document.seal()
            self.begin_typing(field)

    @property
    def key_entries(self) -> tuple[tuple[str, str], ...]:
        """What the key line shows while a field is being edited or a size considered."""
        if self._preview:
            return self.preview_entries()
        return (("Enter", "accept"), ("Esc", "restore")) if self._edit else ()

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether an edit under way, or a size under consideration, takes the key."""
        if self._edit is None:
            return self.preview_takes(key)
        return self.typing_takes(key, character)

    def on_key(self, event: events.Key) -> None:
        """Type into the field being edited; a key that says nothing to a size under consideration leaves it."""
        if self._refusal:
            self._refusal = ""
            self.redraw()
        if self._preview is not None:
            if self.preview_takes(event.key):
                event.stop()
                event.prevent_default()
                self.preview_key(event.key)
            else:
                if self._asked_from is not None:  # the key was meant for what has the focus again
                    event.stop()
                    event.prevent_default()
                self.leave_preview()
            return
        if self._edit is None or not self.check_consume_key(event.key, event.character):
            return
        event.stop()
        event.prevent_default()
        self.type_key(event.key, event.character)

    def on_paste(self, event: events.Paste) -> None:
        """Paste into the field being edited; several lines over the curve or a point of it are its points."""
        if self._edit is None:
            return
        if (self._place == CURVE or isinstance(self._place, CurvePointAt)) and len(event.text.strip().splitlines()) > 1:
            self.restore()
        else:
            event.stop()
            self.typed(self._edit.state.edit.insert(event.text))

    def on_blur(self, event: events.Blur) -> None:
        """An edit out of focus is done, a size not taken is left."""
        self.drop_preview()
        if self._edit is not None:
            self.stop_typing()
            self.app.document.seal()

    def on_click(self, event: events.Click) -> None:
        """Use the field that was clicked."""
        at = self._top + event.y - 1
        if event.y >= 1 and at < len(self._fields):
            self.action_move(at - self._at)
