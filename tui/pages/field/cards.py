"""The quick cards: from anywhere, with or without a design. Digits, Enter and arrows are all they want."""

from __future__ import annotations

from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult

from engine.design import Site
from engine.field.cards import Answer
from engine.parts.tape import tape_text
from engine.report.cards import figure_text
from engine.units import show, unit_name
from tui import commands
from tui.commands.look import StepOut
from tui.draw.big import ROWS, big
from tui.draw.line_view import LineView
from tui.draw.lines import Line, fit, line, shorten, spread, wrapped_to
from tui.draw.text_edit import TextEdit
from tui.pages.field.card_blanks import CardRow, Filling
from tui.pages.frame.frame import SMALL_ENOUGH, FrameScreen
from tui.work.session import session_of

_NAME, _TYPED = 11, 9
_REMARKS = 3
# Keys that leave the page for another, and are never part of a value.
_NOT_TYPED = "?:"


class CardSheet(LineView, can_focus=True):
    """One card: its blanks, and what comes of them."""

    help_text = (
        "Fill in what you know; the answer stands below as soon as there is one. A number without a unit is in the units shown. "
        "kerfdraft convert answers the same."
    )
    key_entries: ClassVar[tuple[tuple[str, str], ...]] = (("Enter", "next"), ("Left Right", "card"), ("Esc", "back"))
    only_own_keys = True

    def __init__(self, units: str, site: Site) -> None:
        super().__init__()
        self.filling = Filling(units, site)

    def on_mount(self) -> None:
        """Begin."""
        self._take(self.filling)

    def on_resize(self) -> None:
        """Lay it out anew."""
        self._take(self.filling)

    def check_consume_key(self, _key: str, character: str | None) -> bool:
        """Whether the key is typed into the blank."""
        return character is not None and character.isprintable() and character not in _NOT_TYPED

    def on_key(self, event: events.Key) -> None:
        """Move, turn, or type."""
        moves = {"enter": 1, "down": 1, "up": -1}
        turns = {"right": 1, "left": -1}
        if event.key in moves:
            self._take(self.filling.moved(moves[event.key]))
        elif event.key in turns:
            self._take(self.filling.turned(turns[event.key]))
        elif event.character in tuple(_NOT_TYPED) or (edit := self.filling.edit.typed(event.key, event.character)) is None:
            return
        else:
            self._type(edit)
        event.stop()
        event.prevent_default()

    def on_paste(self, event: events.Paste) -> None:
        """Put in what is pasted."""
        event.stop()
        self._type(self.filling.edit.insert(event.text))

    def _type(self, edit: TextEdit) -> None:
        self._take(self.filling.typed(edit))

    def _take(self, filling: Filling) -> None:
        self.filling = filling
        if self.size.width:
            self.show(self._drawn(self.size.width, self.size.height))

    def _drawn(self, width: int, height: int) -> list[Line]:
        """The card's title, as many of its rows as there is room for, and what comes of them."""
        foot = self._outcome(width, height)
        rows = [self._row(index, row, width) for index, row in enumerate(self.filling.rows)]
        room = max(height - len(foot) - 1, 1)
        first = min(max(self.filling.row - room // 2, 0), max(len(rows) - room, 0))
        shown = rows[first : first + room]
        glyphs = session_of(self).glyphs
        density = self.filling.density()
        air = line((f" air {show(density, 'density', self.filling.units)} ", "dim")) if density else ()
        title = spread(line(" ", (self.filling.card.name, "title-focus"), (f"  {self.filling.card.title}", "dim")), air, width, glyphs)
        return [title, *shown, *[()] * (room - len(shown)), *foot]

    def _row(self, index: int, row: CardRow, width: int) -> Line:
        here = index == self.filling.row
        usual = row.blank.usual if not row.text else ""
        typed = self.filling.edit.shown(_TYPED) if here else line((row.text, "value"), (usual, "dim"))
        depth = self.filling.depth(row)
        name = row.blank.name + (f" {row.index + 1}" if row.blank.most > 1 else "")
        if depth and depth[1] > 1:
            name = f"way {depth[1]:.0f}, {depth[2]:.0f}"
        unit = unit_name(row.blank.dimension, self.filling.units) if row.blank.dimension else ""
        remark = f"{tape_text(depth[0], self.filling.units)} in" if depth else row.blank.words
        mark = ">" if here else " "
        told = line(f"{mark}{name:<{_NAME}}", *fit(typed, _TYPED), (f" {unit:<6} ", "dim"), (remark, "note" if depth else "dim"))
        return shorten(told, width, session_of(self).glyphs)

    def _outcome(self, width: int, height: int) -> list[Line]:
        """The answer, its first figure large; or what is wanted still."""
        glyphs, found = session_of(self).glyphs, self.filling.outcome()
        if not isinstance(found, Answer):
            return wrapped_to(found, width - 1, 2, glyphs, "caution")
        first, *others = found.figures
        large = [line(" ", (row, "value")) for row in big(f"{figure_text(first, self.filling.units)} {first.name}")]
        rest = "  ".join(f"{figure.name} {figure_text(figure, self.filling.units)}" for figure in others)
        remarks = "; ".join(found.remarks)
        room = height - ROWS - 6
        lines = [*large, *(wrapped_to(rest, width - 1, 2, glyphs) if rest else [])]
        return lines + (wrapped_to(remarks, width - 1, min(room, _REMARKS), glyphs, "dim") if remarks and room > 0 else [])


class CardsScreen(FrameScreen):
    """The page."""

    page_title = "quick cards"
    page_commands = (StepOut, *commands.ALWAYS)
    smallest = SMALL_ENOUGH
    AUTO_FOCUS = "CardSheet"

    def __init__(self, units: str, site: Site) -> None:
        super().__init__()
        self._sheet = CardSheet(units, site)

    def compose_body(self) -> ComposeResult:
        """The one card."""
        yield self._sheet

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the screen before, with what came of the card."""
        command.stop()
        self.session.card_figures = self._sheet.filling.to_carry()
        self.dismiss()
