"""Stepping through stocked sizes in the piece pane: each is looked at, with what it would do, before one is taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.widget import Widget

from engine import edits
from engine.checks.assess import Assessment, assess
from engine.design.places import Place, whole
from tui.draw.lines import Line, packed, wrapped
from tui.work.fields import Field
from tui.work.size_preview import SizePreview, along, preview, stepped, why_no_size

if TYPE_CHECKING:
    from tui.app import KerfdraftApp

_STEPS = {"plus": 1, "equals_sign": 1, "minus": -1, "underscore": -1}


class SizeSteps:
    """A size under consideration; mixed into the pane that shows it."""

    app: KerfdraftApp
    _preview: SizePreview | None = None
    _along: dict[str, SizePreview] = {}
    _asked_from: Widget | None = None

    def action_step(self, by: int, asked_from: Widget | None = None) -> None:
        """Look at the next larger or smaller size of what is selected, or of its run; what asked for it has the focus again afterwards."""
        design, shown = self.app.document.design, self._preview
        place = shown.place if shown else self._sized_place()
        if why := why_no_size(design, place):
            self.app.flash(why)
            return
        ref = stepped(design, shown.ref if shown else edits.at(design, place).size, by)
        if ref is None:
            self.app.flash(f"no {'larger' if by > 0 else 'smaller'} size in {edits.at(design, place).size.partition('/')[0]}")
        elif shown and ref == shown.before:
            self.leave_preview()
        else:
            self._asked_from = asked_from or self._asked_from
            self._look(place, ref)

    def _look(self, place: Place, ref: str) -> None:
        document, assessment = self.app.document, self._assessed()
        document.seal()
        self._preview = preview(document.design, assessment, document.gate_set_index, place, ref)
        self._along = along(document.design, assessment, document.gate_set_index, self._preview)
        self.refresh_bindings()
        self.redraw()

    def _assessed(self) -> Assessment:
        """The assessment of the design as it now is: a key can come before the news of a change."""
        design, known = self.app.document.design, self.app.assessment
        return known if known is not None and known.design is design else assess(design, known)

    def _sized_place(self) -> Place:
        """Where the size stands that is stepped: that of the thing with a field for it, else of the run; the design's for none."""
        held = self.sized_fields()
        field = next((field for field in held if field.text), held[0] if held else None)
        return field.place if field else whole(self.app.document.selection)

    def sized_fields(self) -> list[Field]:
        """The fields that hold a stock size, the one in use first."""
        raise NotImplementedError

    def preview_takes(self, key: str) -> bool:
        """Whether a key means something to the size under consideration."""
        return self._preview is not None and (key in _STEPS or key in ("enter", "escape") or key.upper() in self._along)

    def preview_key(self, key: str) -> None:
        """Carry out a key that `preview_takes`."""
        if key in _STEPS:
            self.action_step(_STEPS[key])
        elif key == "escape":
            self.leave_preview()
        else:
            self._take(self._preview if key == "enter" else self._along[key.upper()])

    def _take(self, shown: SizePreview) -> None:
        self.leave_preview()
        if self.app.attempt(lambda: self.app.document.apply(shown.name, shown.design)):
            self.app.flash(f"{shown.name}{'' if shown.in_store else ', not in store'}; u takes it back")

    def leave_preview(self) -> None:
        """Let the size be as it was, and give the focus back."""
        asked_from = self._asked_from
        if self.drop_preview() and asked_from is not None and asked_from.is_attached:
            asked_from.focus()

    def drop_preview(self) -> bool:
        """Let the size be as it was; whether there was one to let be."""
        there_was = self._preview is not None
        self.forget_preview()
        if there_was:
            self.refresh_bindings()
            self.redraw()
        return there_was

    def forget_preview(self) -> None:
        """There is no size under consideration, whatever is drawn."""
        self._preview, self._along, self._asked_from = None, {}, None

    @property
    def considering(self) -> bool:
        """Whether a size is under consideration."""
        return self._preview is not None

    def preview_entries(self) -> tuple[tuple[str, str], ...]:
        """What the key line shows meanwhile."""
        more = tuple((key, shown.label) for key, shown in self._along.items())
        return (("Enter", self._preview.label), *more, ("+ -", "sizes"), ("Esc", "leave it"))

    def preview_lines(self, width: int) -> list[Line]:
        """The size, what it would do here, and what it would do where more runs take it."""
        shown = self._preview
        if shown is None:
            return []
        lines = packed([f"? {shown.before} -> {shown.ref}", *([] if shown.in_store else ["not in store"])], width, "changed")
        lines += packed(shown.effect, width, "note")
        for key, more in self._along.items():
            lines += wrapped(f"{key} {more.label}, {len(more.runs)} runs: {more.outcome}", width, "note")
        return lines
