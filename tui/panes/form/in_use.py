"""The fields of what is selected, and which of them is in use."""

from __future__ import annotations

from engine import edits
from engine.design import Design
from engine.design.places import CURVE, DESIGN, CurvePointAt, EndOf, JointOf, Place, Rows
from tui.panes.item import Cells, Table
from tui.work.document import Document
from tui.work.fields.fields import Field, fields


class FieldsInUse:
    """Follows a document: which fields there are, and the index of the one in use."""

    def __init__(self) -> None:
        self.place: Place = DESIGN
        self.all: tuple[Field, ...] = ()
        self.at = 0
        self._design: Design | None = None

    def follow(self, document: Document) -> bool:
        """Take over the fields of what is selected now; whether there was anything to take over."""
        if document.selection == self.place and document.design is self._design:
            return False
        if document.selection != self.place:
            self.place, self.at = document.selection, 0
        self._design = document.design
        self.all = fields(document.design, document.selection)
        self.at = min(self.at, max(len(self.all) - 1, 0))
        return True

    @property
    def field(self) -> Field | None:
        """The field in use."""
        return self.all[self.at] if self.all else None

    def move(self, by: int) -> bool:
        """Use another field; whether there is one that way."""
        before = self.at
        self.at = min(max(self.at + by, 0), max(len(self.all) - 1, 0))
        return self.at != before

    @property
    def title(self) -> str:
        """What the fields are of."""
        if self._design is None:
            return ""
        name = edits.label(self._design, self.place)
        match self.place:
            case JointOf():
                return f"joint of {name}"
            case EndOf():
                return f"port of {name}"
            case Rows() if not self.all:
                return name.replace("_", " ")
        return name

    @property
    def on_curve(self) -> bool:
        """Whether they are of the collector's curve or a point of it."""
        return self.place == CURVE or isinstance(self.place, CurvePointAt)

    def row(self) -> Cells:
        """The value of the field in use, to copy; where it is empty, what then holds."""
        return (self.field.text or self.field.default or self.field.label,) if self.field else ()

    def table(self) -> Table:
        """Every field with its value, to copy."""
        return [(field.label, field.text or field.default) for field in self.all]
