"""What happened, as told to the screens; that the design has changed the app tells itself. None bubbles back to it."""

from __future__ import annotations

from textual.message import Message

from engine.checks.assess import Assessment
from engine.values import dataclass


@dataclass
class DesignChanged(Message, bubble=False):
    """The design is another one, and maybe the selection and the gate set too: to be assessed, for the results to be told."""

    def can_replace(self, message: Message) -> bool:
        """Changes that follow each other quickly are one."""
        return isinstance(message, DesignChanged)


@dataclass
class SelectionChanged(Message, bubble=False):
    """Something else is selected."""

    def can_replace(self, message: Message) -> bool:
        """Only the last selection counts."""
        return isinstance(message, SelectionChanged)


@dataclass
class GateSetChanged(Message, bubble=False):
    """Another gate set is shown."""

    def can_replace(self, message: Message) -> bool:
        """Only the last gate set counts."""
        return isinstance(message, GateSetChanged)


@dataclass
class FileChanged(Message, bubble=False):
    """The design was saved, or is kept in another file."""


@dataclass
class ResultsReady(Message, bubble=False):
    """The design as it now is has been assessed; `before` is the assessment shown until now, None where no change is to be marked."""

    assessment: Assessment
    before: Assessment | None

    def can_replace(self, message: Message) -> bool:
        """Only the last results count."""
        return isinstance(message, ResultsReady)


@dataclass
class KeyPressed(Message, bubble=False):
    """A key was pressed: what the last edit changed need not be marked any longer."""

    def can_replace(self, message: Message) -> bool:
        """One is as good as several."""
        return isinstance(message, KeyPressed)
