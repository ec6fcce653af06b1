"""Questions asked in the status row's place: one key, or one line of text. Neither holds the user captive."""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Input

from engine.units.printable import printable
from tui.draw.glyphs import Glyphs
from tui.draw.line_view import LineView
from tui.draw.lines import Line, cut, line, shorten, width_of, wrapped_to
from tui.work.asking import Prompt, Question
from tui.work.session import session_of

_ROOM_TO_MEND = 24  # columns kept for the text of a prompt beside a reason
_ROWS = 3  # rows that a question may take, its answers included


class QuestionLine(Horizontal):
    """The row that asks. One question at a time: a new one dismisses the one before."""

    DEFAULT_CSS = """
    QuestionLine { height: auto; display: none; }
    QuestionLine.-asks { display: block; }
    QuestionLine > Choices { width: 1fr; height: 1; }
    QuestionLine.-text > Choices { width: auto; }
    QuestionLine > TextAnswer { width: 1fr; display: none; border: none; height: 1; padding: 0; background: transparent; }
    QuestionLine.-text > TextAnswer { display: block; }
    """

    class Closed(Message):
        """The question is gone, answered or not."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: Question | Prompt | None = None

    def compose(self) -> ComposeResult:
        """The text of the question, and the line that answers a prompt."""
        yield Choices()
        yield TextAnswer()

    def ask(self, question: Question | Prompt) -> None:
        """Show a question and take the focus."""
        self.dismiss()
        self.asked = question
        self.add_class("-asks")
        self.set_class(isinstance(question, Prompt), "-text")
        choices, answer = self.query_one(Choices), self.query_one(TextAnswer)
        self._draw(question)
        if isinstance(question, Prompt):
            with answer.prevent(Input.Changed):
                answer.value = printable(question.value)
            answer.focus()
            answer.action_select_all()
        else:
            choices.focus()

    def on_resize(self) -> None:
        """Draw the question anew: its answers stay in sight."""
        if self.asked is not None:
            self._draw(self.asked)

    def _draw(self, asked: Question | Prompt) -> None:
        choices, width, glyphs = self.query_one(Choices), self.app.size.width, session_of(self).glyphs
        rows = [prompt_line(asked, width, glyphs)] if isinstance(asked, Prompt) else question_rows(asked, width, glyphs)
        choices.styles.width = width_of(rows[0]) if isinstance(asked, Prompt) else "1fr"
        choices.styles.height = len(rows)
        choices.show(rows)

    def answer(self, text: str) -> None:
        """Close and hand the answer over; a text that will not do stays, with the reason."""
        asked = self.asked
        if isinstance(asked, Prompt):
            if text == printable(asked.value):  # left as it stood, also where some of its letters cannot be shown
                text = asked.value
            if asked.check and (why := asked.check(text)):
                self._explain(why)
                return
        self._close()
        if asked is not None:
            asked.answered(text)

    def _explain(self, why: str) -> None:
        """Put the reason where the question stood, with room left for the text; a long one in the status row above."""
        told = printable(why)
        if len(told) > max(self.size.width - _ROOM_TO_MEND, 8):
            self.screen.add_class("-explains")
            session_of(self).flash(told, trouble=True)
            return
        choices = self.query_one(Choices)
        choices.show([line(" ", (told, "fault"), ": ")])
        choices.styles.width = len(told) + 3

    def dismiss(self) -> None:
        """Close without an answer."""
        asked = self.asked
        self._close()
        if asked is not None and asked.dismissed:
            asked.dismissed()

    def _close(self) -> None:
        if self.asked is not None:
            self.asked = None
            self.remove_class("-asks")
            self.screen.remove_class("-explains")
            self.post_message(self.Closed())


class Choices(LineView, can_focus=True):
    """The text of a question, and the keys that answer it."""

    key_entries = (("Esc", "leave it"),)
    only_own_keys = True

    @property
    def asked(self) -> Question | None:
        """The question that keys answer here."""
        asked = self.parent.asked if isinstance(self.parent, QuestionLine) else None
        return asked if isinstance(asked, Question) else None

    def check_consume_key(self, key: str, character: str | None) -> bool:  # noqa: ARG002  # as Textual asks
        """Whether the key ends here: every one does while a question stands, lest it act on the design unseen."""
        return self.asked is not None

    def on_key(self, event: events.Key) -> None:
        """Answer, or leave the question."""
        line_of = self.parent
        if self.asked is None or not isinstance(line_of, QuestionLine):
            return
        event.stop()
        event.prevent_default()
        if event.key == "escape":
            line_of.dismiss()
        elif any(event.character == choice for choice, _ in self.asked.choices):
            line_of.answer(event.character or "")

    def on_blur(self) -> None:
        """A question out of focus is a question left."""
        if self.asked is not None and isinstance(self.parent, QuestionLine):
            self.parent.dismiss()


class TextAnswer(Input):
    """The line of text that answers a prompt."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", show=False)]
    key_entries = (("Enter", "accept"), ("Esc", "leave it"))

    def __init__(self) -> None:
        super().__init__(compact=True, select_on_focus=True)
        self.cursor_blink = False

    def on_input_changed(self, event: Input.Changed) -> None:
        """Tell who asked what is typed."""
        event.stop()
        asked = self.parent.asked if isinstance(self.parent, QuestionLine) else None
        if isinstance(asked, Prompt) and asked.typed:
            asked.typed(event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Answer."""
        event.stop()
        if isinstance(self.parent, QuestionLine):
            self.parent.answer(event.value)

    def action_leave(self) -> None:
        """Leave the prompt unanswered."""
        if isinstance(self.parent, QuestionLine):
            self.parent.dismiss()

    def on_blur(self) -> None:
        """A prompt out of focus is a prompt left."""
        if isinstance(self.parent, QuestionLine) and isinstance(self.parent.asked, Prompt):
            self.parent.dismiss()


def prompt_line(prompt: Prompt, width: int, glyphs: Glyphs) -> Line:
    """A prompt as it is drawn in `width` cells; where it is long its text gives way, not the room for an answer."""
    return line(" ", (cut(printable(prompt.text), max(width - _ROOM_TO_MEND, 8), glyphs), "label"), " ")


def question_rows(question: Question, width: int, glyphs: Glyphs) -> list[Line]:
    """A question as it is drawn in `width` cells, its answers last; where it is long it takes more rows, and its text gives way, not they."""
    answers = line(*(part for key, label in question.choices for part in ("  ", (key, "key"), f" {label}")))
    text = printable(question.text)
    if cell_len(text) + width_of(answers) + 1 <= width:
        return [line(" ", (text, "value"), *answers)]
    rows = wrapped_to(text, width - 2, _ROWS, glyphs, "value")
    if len(rows) < _ROWS and width_of(rows[-1]) + width_of(answers) + 1 > width:
        rows.append(())
    room = width - width_of(answers) - 1
    return [*(line(" ", *row) for row in rows[:-1]), line(" ", *shorten(rows[-1], room, glyphs), *answers)]
