"""Stepping through stocked sizes: each is looked at, with what it would do, before one is taken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from textual.widget import Widget

from engine import edits
from engine.checks.assess import Assessment, assess
from engine.design import Design
from engine.design.places import Place, whole
from engine.values import dataclass
from tui.draw.lines import Line, packed, wrapped
from tui.panes.pane import Pane
from tui.work.document import Document, Refused
from tui.work.fields.fields import Field
from tui.work.fields.size_preview import SizePreview, along, preview, stepped, why_no_size

_STEPS = {"plus": 1, "equals_sign": 1, "minus": -1, "underscore": -1}


@dataclass(frozen=True, slots=True)
class Considered:
    """A size under consideration: what it would do here, and by the key that takes it so, where more runs take it along."""

    size: SizePreview
    along: Mapping[str, SizePreview]

    def takes(self, key: str) -> bool:
        """Whether a key means something to it."""
        return key in _STEPS or key in ("enter", "escape") or key.upper() in self.along

    def chosen(self, key: str) -> SizePreview:
        """What Enter or the key of more runs takes."""
        return self.size if key == "enter" else self.along[key.upper()]

    @property
    def entries(self) -> tuple[tuple[str, str], ...]:
        """What the key line shows meanwhile."""
        more = tuple((key, shown.label) for key, shown in self.along.items())
        return (("Enter", self.size.label), *more, ("+ -", "sizes"), ("Esc", "leave it"))

    def lines(self, width: int) -> list[Line]:
        """The size, what it would do here, and what it would do where more runs take it."""
        shown = self.size
        lines = packed([f"? {shown.before} -> {shown.ref}", *([] if shown.in_store else ["not in store"])], width, "changed")
        lines += packed(shown.effect, width, "note")
        for key, more in self.along.items():
            lines += wrapped(f"{key} {more.label}, {len(more.runs)} runs: {more.outcome}", width, "note")
        return lines


class SizeSteps:
    """Steps through sizes in a pane: the size under consideration, if there is one, and what has the focus again after it."""

    def __init__(self, pane: Pane) -> None:
        self._pane = pane
        self._shown: Considered | None = None
        self._asked_from: Widget | None = None

    @property
    def shown(self) -> Considered | None:
        """The size under consideration."""
        return self._shown

    def takes(self, key: str) -> bool:
        """Whether a key means something to the size under consideration."""
        return self._shown is not None and self._shown.takes(key)

    @property
    def lends_focus(self) -> bool:
        """Whether something else has the focus again afterwards."""
        return self._asked_from is not None

    def step(self, by: int, place: Place, asked_from: Widget | None = None) -> None:
        """Look at the next larger (1) or smaller (-1) size, at first of what is at `place`; back at the size there is nothing is considered."""
        document, shown = self._pane.session.document, self._shown
        try:
            ref = _next_size(document.design, place, shown, by)
        except Refused as reason:
            self._pane.session.flash(str(reason))
            return
        if shown and ref == shown.size.before:
            self.leave()
            return
        document.seal()
        assessment, index = self._assessed(), document.gate_set_index
        size = preview(document.design, assessment, index, shown.size.place if shown else place, ref)
        self._shown = Considered(size, along(document.design, assessment, index, size))
        self._asked_from = asked_from or self._asked_from
        self._show()

    def _assessed(self) -> Assessment:
        """The assessment of the design as it now is: a key can come before the news of a change."""
        session = self._pane.session
        return session.assessment if session.up_to_date else assess(session.document.design, session.assessment)

    def carry_out(self, key: str) -> None:
        """Carry out a key that the size under consideration takes."""
        shown = self._shown
        if shown is None:
            return
        if key in _STEPS:
            self.step(_STEPS[key], shown.size.place)
            return
        self.leave()
        if key != "escape":
            self._take(shown.chosen(key))

    def _take(self, size: SizePreview) -> None:
        session = self._pane.session
        if session.attempt(lambda: session.document.apply(size.name, size.design)):
            session.flash(f"{size.name}{'' if size.in_store else ', not in store'}; u takes it back")

    def leave(self) -> None:
        """Let the size be as it was, and give the focus back."""
        asked_from = self._asked_from
        if self.drop() and asked_from is not None and asked_from.is_attached:
            asked_from.focus()

    def drop(self) -> bool:
        """Let the size be as it was; whether there was one to let be."""
        there_was = self._shown is not None
        self.forget()
        if there_was:
            self._show()
        return there_was

    def forget(self) -> None:
        """There is no size under consideration, whatever is drawn."""
        self._shown, self._asked_from = None, None

    def _show(self) -> None:
        self._pane.refresh_bindings()
        self._pane.redraw()


def _next_size(design: Design, place: Place, shown: Considered | None, by: int) -> str:
    """The next size after the one considered, or the one at a place. Raises Refused where there is none."""
    if shown is None and (why := why_no_size(design, place)):
        raise Refused(why)
    present = shown.size.ref if shown else edits.at(design, place).size
    ref = stepped(design, present, by)
    if ref is None:
        raise Refused(f"no {'larger' if by > 0 else 'smaller'} size in {present.partition('/')[0]}")
    return ref


def sized_place(document: Document, used: Field | None, fields: Sequence[Field]) -> Place:
    """Where the size is that is stepped: of the thing with a field for it, the one in use first, else of the whole that is selected."""
    held = [field for field in (used, *fields) if field and field.entry.refers_to == "stock size"]
    field = next((field for field in held if field.text), held[0] if held else None)
    return field.place if field else whole(document.selection)
