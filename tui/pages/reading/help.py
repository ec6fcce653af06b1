"""The help page: what the focus was in, the keys that work there, then every command."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from textwrap import wrap
from typing import Any

from textual import events, on
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Input, OptionList, Static

from engine.design.names import label
from engine.units.printable import printable
from tui.commands.base import GROUPS, Command, help_of, keys_text
from tui.commands.pages import Help
from tui.pages.frame.frame import FrameScreen
from tui.pages.frame.key_line import own_entries, pane_of
from tui.pages.reading.text import PageScreen

# Cells that the page's frame takes; columns of the keys and of the widest text, and from which width on there is room for both.
_MARGIN, _NAMES, _NAMES_NARROW, _TEXT, _WIDE = 4, 12, 6, 62, 56
_INTRO = (
    "Every change is computed at once and can be undone. Findings say what is wrong and what helps; "
    "they never stand in the way. No figure here is a sign-off: see H, health and safety."
)


class HelpScreen(PageScreen):
    """Help, made for the screen it was asked from."""

    page_title = "help"

    def __init__(self, asked_from: FrameScreen) -> None:
        super().__init__()
        self._about = f"{about(asked_from)} {position(asked_from)}".rstrip()
        self._own, self._listed = _own_keys(asked_from), asked_from.page_commands

    def text(self) -> Content:
        """Help, as wide as the terminal."""
        return help_text(self._about, self._own, self._listed, self.app.size.width - _MARGIN)

    @on(events.Resize)
    def lay_out(self) -> None:
        """Lay it out anew."""
        self.query_one("PageText > Static", Static).update(self.text())

    @on(Help)
    def leave_by_its_key(self, command: Help) -> None:
        """Go back by the key that opened it, too."""
        command.stop()
        self.dismiss()


def position(screen: FrameScreen) -> str:
    """Where the user is: the page, or the pane with what is selected and the gates that are shown; "" where nothing tells."""
    document = screen.session.opened
    if screen.page_title or document is None:
        return f"You are at: {screen.page_title}." if screen.page_title else ""
    pane, selected = pane_of(screen), label(document.design, document.selection)
    return f"You are in the {pane or 'main page'}, at {printable(selected)}; gates: {printable(document.gate_set.name)}."


def _own_keys(screen: Screen[Any]) -> list[tuple[str, str]]:
    """The keys of what has the focus; of a list and of what filters it, and while a size is under consideration, those that it shows alone."""
    focused = screen.focused
    shown = isinstance(focused, (Input, OptionList)) or getattr(focused, "considering", False)
    return list(getattr(focused, "key_entries", ())) if shown else own_entries(screen, hidden=True)


def about(screen: Screen[Any]) -> str:
    """What the focused widget, or its pane, says of itself."""
    nodes = screen.focused.ancestors_with_self if screen.focused else (screen,)
    return next((text for node in nodes if (text := getattr(node, "help_text", ""))), _INTRO)


def help_text(intro: str, own: list[tuple[str, str]], listed: Iterable[type[Command]], width: int) -> Content:
    """Help as styled text in lines of at most `width` cells; no text in it is read as markup."""
    parts: list[Content | str] = [intro, "\n"]
    if own:
        parts += ["\n", Content.styled("here", "bold"), "\n"]
        parts += [row(keys, label, width) for keys, label in own]
    ordered = sorted(listed, key=lambda command: GROUPS.index(command.group))
    for group, members in groupby(ordered, key=lambda command: command.group):
        parts += ["\n", Content.styled(group, "bold"), "\n"]
        parts += [row(keys_text(command), f"{command.title}: {help_of(command)}", width) for command in members]
    return Content.assemble(*parts)


def row(keys: str, text: str, width: int) -> Content:
    """A line of help, its text hanging beside its keys; in a narrow terminal below them."""
    names = _NAMES if width >= _WIDE else _NAMES_NARROW
    first, *rest = wrap(text, min(width - names, _TEXT)) or [""]
    lines = [first, *(" " * names + line for line in rest)]
    if len(keys) >= names:
        lines = ["", " " * names + first, *lines[1:]]
    return Content.assemble(Content.styled(f"{keys:<{names}}", "bold"), "\n".join(lines), "\n")
