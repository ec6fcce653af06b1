"""What a command is, and what bindings, key line, palette and help make of one."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message

from tui.commands.key_names import key_name
from tui.work.document import Document
from tui.work.session import Session


class Command(Message):
    """What a key asks for. The docstring of each command is its help.

    The widget that has the focus gets it first; from there it goes up to its
    page and the session, until one of them takes it.
    """

    keys: ClassVar[tuple[str, ...]] = ()
    label: ClassVar[str] = ""
    title: ClassVar[str] = ""
    also: ClassVar[str] = ""
    """Other words that the palette finds it by."""
    group: ClassVar[str] = ""
    panes: ClassVar[tuple[str, ...]] = ("ducts", "piece", "results")

    def __init_subclass__(cls) -> None:
        super().__init_subclass__(namespace="command")

    @staticmethod
    def why_not(document: Document | None) -> str | None:
        """Why the command cannot be used now, in one line; None when it can."""

    def do(self, session: Session) -> None:
        """Carry it out where no pane and no page took it. Raises Refused, with the reason, where it cannot be done."""
        raise NotImplementedError

    def carry_out(self, session: Session) -> None:
        """Do it; what is refused is said in the status row. A key that came just before may have changed what this one was meant for."""
        if why := self.why_not(session.opened):
            session.flash(why, trouble=True)
        else:
            session.attempt(lambda: self.do(session))


class OfPanes(Command):
    """A command for what has the focus: a pane or its page takes it. Where none does, it has no meaning there."""

    def do(self, session: Session) -> None:
        """Nothing is left to do."""


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


def action_of(command: type[Command]) -> str:
    """The action that sends a command from a screen."""
    return f"command('{command.__name__}')"


def bindings(commands: tuple[type[Command], ...]) -> list[BindingType]:
    """The bindings that send commands from a screen, of those with a key."""
    return [Binding(",".join(command.keys), action_of(command), command.label, show=False) for command in commands if command.keys]


def keys_text(command: type[Command]) -> str:
    """All keys of a command, as written in help."""
    return " ".join(map(key_name, command.keys)) or "in the palette"


def help_of(command: type[Command]) -> str:
    """What a command does, as its docstring says it."""
    return " ".join((command.__doc__ or "").split())
