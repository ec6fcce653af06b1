"""Stepping through stocked sizes in the piece pane: each is looked at, with what it would do, before one is taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engine import edits
from tui.size_preview import ALL, MAIN, ONE, SizePreview, preview, scopes, stepped
from tui.widgets.form_fields import Field
from tui.widgets.lines import Line, wrapped

if TYPE_CHECKING:
    from tui.app import KerfdraftApp

_STEPS = {"plus": 1, "equals_sign": 1, "minus": -1, "underscore": -1}
_LABELS = {MAIN: "whole main", ALL: "all of its size"}


class SizeSteps:
    """A size under consideration; mixed into the pane that shows it."""

    app: KerfdraftApp
    _preview: SizePreview | None = None

    def action_step(self, by: int) -> None:
        """Look at the next larger or smaller size of what is selected, or of its run."""
        document, shown = self.app.document, self._preview
        place = shown.place if shown else self._sized_place()
        if place is None:
            self.app.flash("no stock size to step here")
            return
        ref = stepped(document.design, shown.ref if shown else edits.at(document.design, place).size, by)
        if ref is None:
            self.app.flash(f"no {'larger' if by > 0 else 'smaller'} size in this stock")
        elif shown and ref == shown.before:
            self.leave_preview()
        else:
            self._look(place, ref)

    def _look(self, place: tuple, ref: str, scope: str = ONE) -> None:
        document = self.app.document
        document.seal()
        self._preview = preview(document.design, self.app.assessment, document.gate_set_index, place, ref, scope)
        self.refresh_bindings()
        self.redraw()

    def _sized_place(self) -> tuple | None:
        """Where the size stands that is stepped: that of the field's thing, else of the run."""
        place = next((field.place for field in self.sized_fields() if field.text), self.app.document.selection[:2])
        item = edits.at(self.app.document.design, place) if place else None
        return place if getattr(item, "size", None) else None

    def sized_fields(self) -> list[Field]:
        """The fields that hold a stock size, the one in use first."""
        raise NotImplementedError

    def preview_takes(self, key: str) -> bool:
        """Whether a key means something to the size under consideration."""
        return self._preview is not None and (key in _STEPS or key in ("enter", "escape") or key in self._scopes())

    def _scopes(self) -> dict[str, str]:
        return scopes(self.app.document.design, self._preview.place) if self._preview else {}

    def preview_key(self, key: str) -> None:
        """Carry out a key that `preview_takes`."""
        if key in _STEPS:
            self.action_step(_STEPS[key])
        elif key == "enter":
            self._take(self._preview)
        elif key == "escape":
            self.leave_preview()
        else:
            document, shown = self.app.document, self._preview
            self._take(preview(document.design, self.app.assessment, document.gate_set_index, shown.place, shown.ref, self._scopes()[key]))

    def _take(self, shown: SizePreview) -> None:
        self.leave_preview()
        if self.app.attempt(lambda: self.app.document.apply(shown.name, shown.design)):
            self.app.flash(f"{shown.name}{'' if shown.in_store else ', which the store has not'}; u takes it back")

    def leave_preview(self) -> None:
        """Let the size be as it was."""
        if self._preview is not None:
            self._preview = None
            self.refresh_bindings()
            self.redraw()

    def preview_entries(self) -> tuple[tuple[str, str], ...]:
        """What the key line shows meanwhile."""
        along = tuple((key, _LABELS[scope]) for key, scope in self._scopes().items())
        return (("Enter", "take"), *along, ("+ -", "sizes"), ("Esc", "leave it"))

    def preview_lines(self, width: int) -> list[Line]:
        """The size, and what it would do at this run alone."""
        shown = self._preview
        if shown is None:
            return []
        store = "" if shown.in_store else ", not in the store"
        return [*wrapped(f"? {shown.before} -> {shown.ref}{store}", width, "changed"), *wrapped(shown.effect, width, "note")]
