"""A pane: a framed view with a title, a body and a note in its lower edge."""

from __future__ import annotations

from textual import events
from textual.binding import Binding
from textual.geometry import Region, Size
from textual.strip import Strip

from engine.values import dataclass
from tui.commands.pages import Help
from tui.draw.glyphs import Glyphs
from tui.draw.line_view import LineView
from tui.draw.lines import Line, Span, fit, line, shorten, width_of
from tui.panes.item import Cells, Table
from tui.work.session import Session, session_of

# From this width of the terminal on there is room for panes side by side.
WIDE = 110


# Keys that move a cursor by rows, for a pane that has `action_move`.
ROW_KEYS = (
    Binding("j,down", "move(1)", "down", show=False),
    Binding("k,up", "move(-1)", "up", show=False),
    Binding("g,home", "move(-99999)", "first", show=False),
    Binding("G,end", "move(99999)", "last", show=False),
)


@dataclass(frozen=True, slots=True)
class Content:
    """What a pane shows: its title, its rows, a note such as how much more there is, and heads of columns."""

    title: Line
    body: list[Line]
    note: str = ""
    heads: str = ""


def framed(content: Content, width: int, height: int, focused: bool, glyphs: Glyphs) -> list[Line]:
    """The rows of a pane of `width` by `height` cells; with the focus its frame is double."""
    top_left, top_right, low_right, low_left, flat, upright = glyphs.frames[focused]
    role = "frame-focus" if focused else "frame"
    title = shorten(content.title, width - 2, glyphs)
    note = shorten(line((content.note, "dim")), width - 3, glyphs)
    heads = content.heads if width_of(title) + len(content.heads) <= width - 2 else ""
    rule = flat * (width - 2 - width_of(title) - len(heads)) + heads.replace(" ", flat)
    rows: list[Line] = [line((top_left, role), *title, (rule + top_right, role))]
    for at in range(height - 2):
        body = content.body[at] if at < len(content.body) else ()
        rows.append(((upright, role), *fit(body, width - 2), (upright, role)))
    rows.append(line((low_left + flat * (width - 3 - width_of(note)), role), *note, (flat + low_right, role)))
    return rows


def window(top: int, first: int, last: int, height: int, count: int) -> int:
    """The first row to show of `count`, moved from `top` by as little as shows the rows `first` to `last`."""
    top = min(top, first)
    top = max(top, min(last - height + 1, first))
    return max(0, min(top, count - height))


def more_note(top: int, height: int, count: int, at: int, glyphs: Glyphs) -> str:
    """ "3 of 12 ▼" where not everything is shown; nothing where it is."""
    if count <= height:
        return ""
    above, below = glyphs.more
    arrows = (above if top else "") + (below if top + height < count else "")
    return f" {at + 1} of {count} {arrows} "


def hold(event: events.Key) -> None:
    """The key ends here."""
    event.stop()
    event.prevent_default()


def asks_for_help(event: events.Key) -> bool:
    """Whether a key is one of help's."""
    return not {event.key, event.character}.isdisjoint(Help.keys)


class Pane(LineView, can_focus=True):
    """A framed view that can have the focus. `pane_name` is its name on the key line and in help."""

    _drawn_for = Size(0, 0)
    pane_name = ""
    help_text = ""

    @property
    def session(self) -> Session:
        """The session that the pane is in."""
        return session_of(self)

    def content(self, width: int, height: int) -> Content:
        """What to show in a body of `width` by `height` cells."""
        raise NotImplementedError

    def titled(self, name: str, *rest: str | Span) -> Line:
        """A title for the upper edge: a name, bright with the focus, and the `rest` behind it."""
        return line(" ", (name, "title-focus" if self.has_focus else "title"), " ", *rest)

    def row(self) -> Cells:
        """The cells of the row under the cursor, to copy."""
        return ()

    def table(self) -> Table:
        """All rows of what is shown, to copy."""
        return []

    def redraw(self) -> None:
        """Draw the pane anew; only what differs is sent."""
        self.show(self._framed())

    def _framed(self) -> list[Line]:
        width, height = self._drawn_for = self.size
        if width <= 4 or height <= 2:
            return []
        return framed(self.content(width - 2, height - 2), width, height, self.has_focus, self.session.glyphs)

    def render_lines(self, crop: Region) -> list[Strip]:
        """Lines to paint; a size that is new is drawn here, as it is painted before anything tells of it."""
        if self._drawn_for != self.size:
            self._lines = self._framed()
        return super().render_lines(crop)

    def watch_has_focus(self, _has_focus: bool) -> None:
        """Show in the frame whether the pane has the focus."""
        self.redraw()

    def on_resize(self) -> None:
        """Fit the new size."""
        self.redraw()
