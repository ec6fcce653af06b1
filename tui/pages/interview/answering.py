"""What the panes of the interview share: what they may ask of the interview they are in, and their keys on the answers."""

from __future__ import annotations

from typing import Protocol

from textual.binding import Binding

from engine.survey.answers import Answers


class Interview(Protocol):
    """The interview that a pane is part of. What is taken or gone to shows in both panes at once."""

    def go_to(self, key: str) -> None:
        """Make a question the present one."""

    def go_on(self) -> None:
        """Take the question as answered, where it is, and go to the next one."""

    def go_before(self) -> None:
        """Go to the question before."""

    def answer(self) -> None:
        """Answer the present question."""

    def go_back(self) -> None:
        """Go back to the questions."""

    def show_in_plan(self, marks: str, answers: Answers | None = None) -> None:
        """Show the room with what is being answered marked in it; as it would be with other answers, where these are given."""

    def take(self, answers: Answers, *, start: bool = False) -> None:
        """Take a change; `start` at the first row of the question."""

    def take_back(self, by: int) -> None:
        """Take the last change back (-1), or bring it back (1)."""

    def remove_machine(self, index: int) -> None:
        """Take a machine away."""

    def carry_out(self, asked: str) -> None:
        """Do what a row asks for."""


def row_keys(rows: str, row: str) -> list[Binding]:
    """Keys that move among rows: how the key line calls them all, and help one of them."""
    return [
        Binding("j", "move(1)", rows),
        Binding("k", "move(-1)", rows),
        Binding("down", "move(1)", rows, show=False),
        Binding("up", "move(-1)", rows, show=False),
        Binding("g,home", "move(-999)", f"first {row}", show=False),
        Binding("G,end", "move(999)", f"last {row}", show=False),
    ]


# What both panes can do with the answers.
ANSWER_KEYS = [
    Binding("pagedown", "go_on", "next question"),
    Binding("pageup", "go_before", "question before", show=False),
    Binding("x", "remove", "take machine away"),
    Binding("u", "take_back(-1)", "undo"),
    Binding("ctrl+z", "take_back(-1)", "undo", show=False),
    Binding("U", "take_back(1)", "redo"),
    Binding("ctrl+y", "take_back(1)", "redo", show=False),
]
