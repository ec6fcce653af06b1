"""Typing into a field: how what is typed is understood, and putting it into the design, all of it as one step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from engine import edits
from engine.design import Design
from engine.values import dataclass
from tui.draw.text_edit import TextEdit
from tui.work.document import Document, Refused
from tui.work.fields.fields import Field
from tui.work.fields.values import BadValue, changed, echo, read, waits

# What a value may begin with that is no letter; a sign begins figures alone, elsewhere it steps sizes.
_BEGINNINGS, _SIGNS, _OF_FIGURES = frozenset("0123456789.,("), frozenset("+-"), ("quantity", "number", "count")
_NAMES = ("id", "name")


def is_of_value(field: Field, character: str | None) -> bool:
    """Whether a key on a field is one that values begin with, and so no command, whether this field's can or not."""
    return character in _BEGINNINGS or (character in _SIGNS and field.entry.kind in _OF_FIGURES)


def why_not_begun(field: Field) -> str:
    """Why such a key does not begin the value of a field that holds a name, yes or no; "" for one that may hold figures."""
    if field.entry.kind in ("names", "flag"):
        key = "Space turns it"
    elif field.name in _NAMES:
        key = "e edits it"
    else:
        return ""
    return f"{field.label}: {key}; Esc leads to the ducts, from where 1 2 3 go to the panes"


@dataclass(frozen=True, slots=True)
class Editing:
    """A field being edited: what is typed, how it was understood, and why it will not do ("" when it does)."""

    edit: TextEdit
    echo: str = ""
    trouble: str = ""

    @classmethod
    def of(cls, text: str) -> Editing:
        """Start with the text selected."""
        return cls(TextEdit.of(text))

    def after(self, edit: TextEdit, understood: Callable[[str], str]) -> Editing:
        """With what is typed now; another text is understood anew, by a function that tells how, or raises BadValue or Refused."""
        if edit.text == self.edit.text:
            return replace(self, edit=edit)
        try:
            return Editing(edit, understood(edit.text))
        except (BadValue, Refused) as reason:
            return Editing(edit, trouble=str(reason))


class Typing:
    """A field of a document's design being typed into: a value is in the design as soon as it is typed."""

    def __init__(self, document: Document, field: Field) -> None:
        document.seal()
        self.field = field
        self.editing = Editing.of(field.text)
        self._document, self._before = document, document.design

    def take(self, edit: TextEdit) -> None:
        """What is typed now; while it is no value the design keeps the last good one."""
        self.editing = self.editing.after(edit, self._put_in)

    def _put_in(self, text: str) -> str:
        value = read(self.field, text, self._document.system)
        if not waits(self.field):
            put_in(self._document, self.field, value, self._before)
        return echo(self.field, value, text, self._document.system)

    def finish(self) -> str:
        """Put in what is only put in once all of it is typed; what comes next is a step of its own. What it did to work. Raises Refused."""
        document, text = self._document, self.editing.edit.text
        try:
            if waits(self.field) and not self.editing.trouble:
                put_in(document, self.field, read(self.field, text, document.system), document.design)
        finally:
            document.seal()
        return "" if document.design is self._before else document.touched

    def restore(self) -> str:
        """Put back what the field held; what comes next is a step of its own. Nothing is then done to work. Raises Refused."""
        try:
            self._document.apply("restored", self._before, merge_key=_step_of(self.field))
        finally:
            self._document.seal()
        return ""


def put_in(document: Document, field: Field, value: Any, design: Design) -> None:
    """Make `design`, with a value in a field of it, the document's; changes of the same field are one step. Raises Refused."""
    thing = edits.label(design, field.place)
    what = field.member or (field.name if thing.startswith(field.label) else field.label)
    try:
        after, place = changed(design, field, value)
    except edits.EditError as reason:
        raise Refused(str(reason)) from None
    document.apply(f"{what} of {thing}", after, None if place == field.place else place, merge_key=_step_of(field))


def _step_of(field: Field) -> tuple[object, ...]:
    """What tells one step from another."""
    return field.place, field.name, field.member
