"""The last row: the keys that work where the focus is, next likely first. It only renders; it takes no focus and no mouse."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from typing import Any

from textual.screen import Screen
from textual.widget import Widget

from tui import commands
from tui.commands.base import Command, action_of
from tui.commands.key_names import key_name
from tui.commands.look import StepOut
from tui.draw.line_view import LineView
from tui.draw.lines import Line, width_of
from tui.terminal.textual_inside import bindings_of
from tui.work.document import Document

Entry = tuple[str, str]
_GAP, _ESC = "  ", "Esc"
# The pane that Esc leads to, and no further.
_OUTERMOST = "ducts"


class KeyLine(LineView):
    """The key line of a screen; `update_keys` draws it anew."""

    def update_keys(self, entries: Iterable[Entry], always: Iterable[Entry]) -> None:
        """Show entries by likelihood, and those that stay whatever the width."""
        self.show([key_line(entries, always, self.app.size.width)])


def key_line(entries: Iterable[Entry], always: Iterable[Entry], width: int) -> Line:
    """One line of `width` cells: entries, whole ones dropped from the right, and then `always`."""
    closing = _spans(always)
    room = width - width_of(closing) - 1
    kept: list[Entry] = []
    for entry in entries:
        room -= width_of(_spans([entry])) + len(_GAP)
        if room < 0:
            break
        kept.append(entry)
    return ((" ", "text"), *_spans(kept), *(((_GAP, "text"),) if kept else ()), *closing)


def _spans(entries: Iterable[Entry]) -> Line:
    spans: list[tuple[str, str]] = []
    for key, label in entries:
        spans += [(_GAP, "text")] * bool(spans) + [(key, "key"), (f" {label}", "text")]
    return tuple(spans)


def entries_of(screen: Screen[Any], takes: Callable[[type[Command]], bool], document: Document | None) -> tuple[Iterable[Entry], list[Entry]]:
    """What the key line of a screen shows, of the commands that it `takes` now: entries by likelihood, and those that always stay, Esc among them.

    Whether a command can be used is asked only of those that there is room for.
    """
    focused, pane = screen.focused, pane_of(screen)
    keys = {binding.binding.action: key for key, binding in reversed(screen.active_bindings.items())}

    def usable(among: Iterable[type[Command]]) -> Iterator[Entry]:
        for command in among:
            key = keys.get(action_of(command))
            if key and command.label and takes(command) and _reaches(key, focused) and command.why_not(document) is None:
                yield key_name(key), command.label

    own = list(getattr(focused, "key_entries", ())) or own_entries(screen)
    leaving = [entry for entry in own if entry[0] == _ESC]
    if pane != _OUTERMOST and not leaving:
        leaving = [*usable((StepOut,))]
    own, always = [entry for entry in own if entry not in leaving], [*leaving, *usable(commands.ALWAYS)]
    if getattr(focused, "only_own_keys", False):
        return own, always
    shown = {key for key, _ in (*own, *leaving)}
    here = (command for command in commands.WORKBENCH if command not in commands.ALWAYS and (pane is None or pane in command.panes))
    return chain(own, (entry for entry in usable(here) if entry[0] not in shown)), always


def own_entries(screen: Screen[Any], *, hidden: bool = False) -> list[Entry]:
    """Keys that the focused widget, its pane or the screen binds for itself, those of one description together.

    Without `hidden`, only those that ask to be shown.
    """
    found: dict[str, list[str]] = {}
    active = screen.active_bindings
    for node in screen.focused.ancestors_with_self if screen.focused else (screen,):
        for key, bound in bindings_of(node) if node is not screen.app else ():
            wanted = bound.description and not bound.action.startswith("command(") and (bound.show or hidden)
            if wanted and key in active and active[key].binding is bound:
                found.setdefault(bound.description, []).append(key_name(key))
    return [(" ".join(keys if hidden else keys[:2]), description) for description, keys in found.items()]


def pane_of(screen: Screen[Any]) -> str | None:
    """Name of the pane that has the focus."""
    names = (getattr(node, "pane_name", None) for node in (screen.focused.ancestors_with_self if screen.focused else ()))
    return next((name for name in names if name), None)


def _reaches(key: str, focused: Widget | None) -> bool:
    """Whether a key gets past the focused widget: Textual does not know "slash" and its like for characters."""
    character = key_name(key)
    return not (focused and len(character) == 1 and focused.check_consume_key(key, character))
