"""The piece pane as lines: its fields, what the focused one means, and what follows from it all."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, cut, fit, line, restyle, width_of, wrapped, wrapped_to
from tui.panes.form.typing import Editing
from tui.work.fields.fields import Field

_LABEL_CELLS = 14
_BOX_CELLS = 12


def label_cells(fields: Sequence[Field]) -> int:
    """Width of the labels' column."""
    return min(max((len(field.label) for field in fields), default=0), _LABEL_CELLS)


def field_line(
    field: Field, labels: int, width: int, glyphs: Glyphs, *, focused: bool = False, editing: Editing | None = None, echo: str = ""
) -> Line:
    """A field in `width` cells: label, value, and how the value reads in other units.

    [typed], < chosen >, [x] in or out; a value in parentheses is what holds while the field is empty.
    """
    if field.entry.kind == "names":
        row = fit(line(f"[{field.text or ' '}] ", cut(field.label, width - 4, glyphs)), width)
        return restyle(row, "field") if focused else row
    head = f"{cut(field.label, labels, glyphs):<{labels}} "
    text = field.text or (f"({field.default})" if field.default else "")
    if editing is not None:
        text, echo = editing.edit.text, "" if editing.trouble else editing.echo
    room = _room(field, text, width - len(head) - 2, typed=editing is not None)
    if editing is not None:
        middle = fit(editing.edit.shown(room), room, "edit")
    else:
        text = f" {text} " if field.toggles else text
        middle = fit(line((cut(text, room, glyphs), "value" if field.text else "dim")), room)
        middle = restyle(middle, "field") if focused else middle
    left, right = ("<", ">") if field.toggles and editing is None else ("[", "]")
    role = "fault" if editing and editing.trouble else "text"
    row = line((head, "label"), (left, role), *middle, (right, role))
    tail = cut(f" {echo}", width - width_of(row), glyphs) if echo else ""
    return fit(line(*row, (tail, "dim")), width)


def _room(field: Field, text: str, widest: int, *, typed: bool) -> int:
    """Cells for a value: a choice gets what it needs, a name the whole row, a measure leaves room for its echo."""
    if field.toggles and not typed:
        return min(cell_len(text) + 2, widest)
    if not field.entry.dimension and field.entry.kind not in ("number", "count"):
        return widest
    return min(max(_BOX_CELLS, cell_len(text) + 1), widest)


def meaning_lines(field: Field | None, width: int, count: int, glyphs: Glyphs) -> list[Line]:
    """What the focused field means, in exactly `count` lines."""
    lines = wrapped_to(_meaning(field), width, count, glyphs, "note") if field else []
    return [*lines, *[()] * (count - len(lines))]


def trouble_lines(trouble: str, width: int) -> list[Line]:
    """Why something will not do, in as many lines as that takes; none where it does."""
    return wrapped(f"! {trouble}", width, "fault") if trouble else []


def echo_lines(editing: Editing | None, labels: int, width: int) -> list[Line]:
    """How what is typed was understood, where there is no room for it beside what is typed."""
    if editing is None or not editing.echo or labels + cell_len(editing.edit.text) + cell_len(editing.echo) + 5 <= width:
        return []
    return wrapped(f"= {editing.echo}", width, "note")


def _meaning(field: Field) -> str:
    words = [word for word, _ in field.entry.words]
    return field.entry.meaning + (f"; or {' or '.join(words)}" if words else "")


def fact_lines(facts: Sequence[str], width: int, count: int, glyphs: Glyphs) -> list[Line]:
    """Facts in exactly `count` lines."""
    lines = [piece for fact in facts for piece in wrapped(fact, width, "text")]
    if len(lines) > count:
        lines = wrapped_to("; ".join(facts), width, count, glyphs) if count else []
    return [*lines, *[()] * (count - len(lines))]
