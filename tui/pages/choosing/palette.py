"""The command palette: every command by its name, with its keys, and why it cannot be used now."""

from __future__ import annotations

from collections.abc import Iterable

from tui.commands.base import Command, keys_text
from tui.commands.pages import Palette
from tui.pages.choosing.choose import ChooseScreen
from tui.pages.frame.frame import FrameScreen
from tui.work.asking import Choice
from tui.work.document import Document


class PaletteScreen(ChooseScreen):
    """The commands of the page it was asked from; what is chosen is sent there as its key would send it."""

    def __init__(self, asked_from: FrameScreen) -> None:
        super().__init__("commands", palette_choices(asked_from.page_commands, asked_from.session.opened), self._send)
        self._asked_from = asked_from

    def _send(self, name: str) -> None:
        self.app.call_after_refresh(self._asked_from.action_command, name)


def palette_choices(listed: Iterable[type[Command]], document: Document | None) -> list[Choice]:
    """A row for every command that has a name; those that can be used first."""
    rows = [(command, command.why_not(document)) for command in listed if command.title and command is not Palette]
    rows.sort(key=lambda row: row[1] is not None)
    return [
        Choice(command.title, command.__name__, f"not now: {why}" if why else keys_text(command) if command.keys else "", also=command.also)
        for command, why in rows
    ]
