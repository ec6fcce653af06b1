"""What a command is, and what bindings, key line, palette and help make of one."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding
from textual.message import Message

from tui.commands.key_names import key_name
from tui.work.document import Document


class Command(Message):
    """What a key asks for. The docstring of each command is its help."""

    keys: ClassVar[tuple[str, ...]] = ()
    label: ClassVar[str] = ""
    title: ClassVar[str] = ""
    group: ClassVar[str] = ""
    panes: ClassVar[tuple[str, ...]] = ("ducts", "piece", "results")

    def __init_subclass__(cls) -> None:
        super().__init_subclass__(namespace="command")

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        """Why the command cannot be used now, in one line; None when it can."""
        return None


def action_of(command: type[Command]) -> str:
    """The action that sends a command from a screen."""
    return f"command('{command.__name__}')"


def binding(command: type[Command]) -> Binding:
    """The binding that sends a command from a screen."""
    return Binding(",".join(command.keys), action_of(command), command.label, show=False)


def bindings(commands: tuple[type[Command], ...]) -> list[Binding]:
    """Bindings of several commands, those with a key."""
    return [binding(command) for command in commands if command.keys]


def keys_text(command: type[Command]) -> str:
    """All keys of a command, as written in help."""
    return " ".join(map(key_name, command.keys)) or "in the palette"


def help_of(command: type[Command]) -> str:
    """What a command does, as its docstring says it."""
    return " ".join((command.__doc__ or "").split())


class Editing(Command):
    """A command that changes the design."""

    group = "change the design"


class Looking(Command):
    """A command that shows something."""

    group = "look"


class Filing(Command):
    """A command about files, or the end of the session."""

    group = "file"


GROUPS = tuple(kind.group for kind in (Editing, Looking, Filing))
