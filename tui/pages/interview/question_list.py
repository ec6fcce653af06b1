"""The questions of the interview, each with the answer so far."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType

from engine.units.printable import printable
from tui.draw.lines import Line, cut, fit, line, restyle
from tui.pages.interview.answering import ANSWER_KEYS, Interview, row_keys
from tui.pages.interview.questions import Question, progress
from tui.panes.pane import Content, Pane, more_note, window

_LABEL_CELLS = 13
_ROLES = {"given": "value", "offered": "dim", "wanted": "caution"}


class QuestionList(Pane, inherit_bindings=False):
    """The list on the left: j and k move between questions, Enter answers the present one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *row_keys("question", "question"),
        Binding("enter", "answer", "answer"),
        Binding("e,l,right", "answer", "answer", show=False),
        *ANSWER_KEYS,
    ]
    help_text = (
        "Every question with its answer; one in parentheses holds until you answer. Answers are kept as you go: "
        "leave with Esc or q, and N goes on where you were."
    )
    only_own_keys = True

    def __init__(self, interview: Interview) -> None:
        super().__init__()
        self._interview = interview
        self._questions: tuple[Question, ...] = ()
        self._at = 0
        self._top = 0

    def show_questions(self, questions: tuple[Question, ...], present: str) -> None:
        """Show these questions, one of them the present one."""
        self._questions = questions
        self._at = next((at for at, question in enumerate(questions) if question.key == present), 0)
        self.redraw()

    def content(self, width: int, height: int) -> Content:
        """The rows around the present question."""
        count, glyphs = len(self._questions), self.session.glyphs
        self._top = window(self._top, self._at, self._at, height, count)
        labels = min(max((len(q.label) + 2 * (q.row is not None) for q in self._questions), default=0), _LABEL_CELLS)
        body = [self._line(at, labels, width) for at in range(self._top, min(self._top + height, count))]
        return Content(self.titled(f"questions, {progress(self._questions)}"), body, more_note(self._top, height, count, self._at, glyphs))

    def _line(self, at: int, labels: int, width: int) -> Line:
        question, glyphs = self._questions[at], self.session.glyphs
        label = cut(printable("  " * (question.row is not None) + question.label), labels, glyphs)
        answer = f"({question.answer})" if question.state == "offered" else question.answer
        mark = "!" if question.state == "wanted" else " "
        shown = cut(printable(answer), width - labels - 3, glyphs)
        row = fit(line((mark, "caution"), f"{label:<{labels}}  ", (shown, _ROLES[question.state])), width)
        return restyle(row, "cursor" if self.has_focus else "chosen") if at == self._at else row

    @property
    def question(self) -> Question:
        """The present question."""
        return self._questions[self._at]

    def action_move(self, by: int) -> None:
        """Go to another question."""
        self._interview.go_to(self._questions[min(max(self._at + by, 0), len(self._questions) - 1)].key)

    def action_answer(self) -> None:
        """Answer the present question."""
        self._interview.answer()

    def action_remove(self) -> None:
        """Take the present machine away."""
        kind, _, row = self.question.key.partition(" ")
        if kind == "machine":
            self._interview.remove_machine(int(row))
        else:
            self.session.flash("x takes a machine away: go to one first", trouble=True)

    def action_go_on(self) -> None:
        """Take what is offered and go to the next question."""
        self._interview.go_on()

    def action_go_before(self) -> None:
        """Go to the question before."""
        self._interview.go_before()

    def action_take_back(self, by: int) -> None:
        """Undo or redo."""
        self._interview.take_back(by)

    def on_click(self, event: events.Click) -> None:
        """Go to the question that was clicked."""
        at = self._top + event.y - 1
        if event.y and at < len(self._questions):
            self._interview.go_to(self._questions[at].key)
