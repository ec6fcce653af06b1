"""The command palette: every command by its name, with its keys, and why it cannot be used now."""

from __future__ import annotations

from collections.abc import Callable

from tui import commands
from tui.pages.choose import Choice, ChooseScreen
from tui.pages.frame.frame import FrameScreen
from tui.pages.help import listed_for
from tui.work.document import Document


class PaletteScreen(ChooseScreen):
    """The commands of the screen it was asked from."""

    def __init__(self, asked_from: FrameScreen, chosen: Callable[[str], None]) -> None:
        super().__init__("commands", palette_choices(listed_for(asked_from), asked_from.document), chosen)


def palette_choices(listed: list[type[commands.Command]], document: Document | None) -> list[Choice]:
    """A row for every command that has a name; those that can be used first."""
    rows = [(command, command.why_not(document)) for command in listed if command.title and command is not commands.Palette]
    rows.sort(key=lambda row: row[1] is not None)
    return [
        Choice(command.title, command.__name__, f"not now: {why}" if why else commands.keys_text(command) if command.keys else "")
        for command, why in rows
    ]
