"""Typing into a field of the piece pane: every value applies as it is typed, and all of it is one step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from engine.design import Design
from tui.draw.text_edit import TextEdit
from tui.panes.form.lines import Editing
from tui.work.document import Refused
from tui.work.fields import Field
from tui.work.values import BadValue, echo, read, waits

if TYPE_CHECKING:
    from tui.app import KerfdraftApp

_DONE = {"enter": 1, "down": 1, "up": -1}


@dataclass(slots=True)
class _Edit:
    """An edit under way: of which field, from which design, and what is typed."""

    field: Field
    before: Design
    state: Editing


class Typing:
    """A field being typed into; mixed into the pane that shows it, which says how a value is put in."""

    app: KerfdraftApp
    _edit: _Edit | None = None

    def begin_typing(self, field: Field) -> None:
        """Type into a field, its value selected."""
        self._edit = _Edit(field, self.app.document.design, Editing(TextEdit.of(field.text)))
        self.refresh_bindings()
        self.redraw()

    def typing_takes(self, key: str, character: str | None) -> bool:
        """Whether a key types, or ends the typing."""
        printable_key = character is not None and character.isprintable() and not key.startswith(("ctrl+", "alt+"))
        return printable_key or key == "escape" or key in _DONE or self._edit.state.edit.key(key) is not None

    def type_key(self, key: str, character: str | None) -> None:
        """Carry out a key that `typing_takes`."""
        if key == "escape":
            self.restore()
        elif key == "enter" and self._edit.state.trouble:
            self.app.flash("this will not do yet; Esc puts back what was there", trouble=True)
        elif key in _DONE:
            self._commit(_DONE[key])
        else:
            edit = self._edit.state.edit
            self.typed(edit.key(key) or edit.insert(character or ""))

    def change(self, field: Field, value: Any, design: Design) -> None:
        """Put a value into a field of `design`. Raises Refused."""
        raise NotImplementedError

    def apply(self, field: Field, value: Any) -> None:
        """Put a value into a field of the design as it is, and say so where it is refused."""
        raise NotImplementedError

    def refuse(self, reason: str, said: str = "") -> None:
        """Say why not."""
        raise NotImplementedError

    def typed(self, edit: TextEdit) -> None:
        """Apply what is typed when it is a value; the model keeps the last good one when it is not."""
        under_way = self._edit
        units = self.app.document.system
        if edit.text == under_way.state.edit.text:
            under_way.state = Editing(edit, under_way.state.echo, under_way.state.trouble)
        else:
            try:
                value = read(under_way.field, edit.text, units)
                if not waits(under_way.field):
                    self.change(under_way.field, value, under_way.before)
                under_way.state = Editing(edit, echo(under_way.field, value, edit.text, units))
            except (BadValue, Refused) as reason:
                under_way.state = Editing(edit, trouble=str(reason))
        self.redraw()

    def _commit(self, by: int) -> None:
        """Leave the field with what it holds and move on; what will not do is left out, and said."""
        under_way, trouble = self._edit, self._edit.state.trouble
        self.stop_typing()
        if waits(under_way.field) and not trouble:
            value = read(under_way.field, under_way.state.edit.text, self.app.document.system)
            self.apply(under_way.field, value)
        self.app.document.seal()
        kept = (self.field.text or "the default") if trouble else ""
        self.action_move(by)
        if trouble:
            self.refuse(trouble, f"kept {kept}: {trouble}")
        self.redraw()

    def restore(self) -> None:
        """Put back what the field held."""
        under_way = self._edit
        self.stop_typing()
        document, field = self.app.document, under_way.field
        self.app.attempt(lambda: document.apply("restored", under_way.before, merge_key=(field.place, field.name, field.member)))
        document.seal()
        self.redraw()

    def stop_typing(self) -> None:
        """Leave the field with what it holds."""
        if self._edit is not None:
            self._edit = None
            self.refresh_bindings()
