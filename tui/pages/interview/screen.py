"""A new design as an interview: the questions with their answers on the left, the present one on the right."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.events import ScreenResume
from textual.getters import query_one
from textual.message import Message
from textual.types import CSSPathType

from engine import catalog
from engine.catalog.kinds import usual_first
from engine.design import Design
from engine.design.typed import BadValue
from engine.survey.answers import MOST_MACHINES, Answers, as_kind, blank, finished, untouched, wanted, with_machines, without_machine
from engine.survey.store import read_again, with_store_made
from engine.values import dataclass
from tui.commands.look import StepOut
from tui.pages.frame.frame import FRAME_CSS, FrameScreen
from tui.pages.interview.answer_sheet import AnswerSheet
from tui.pages.interview.files import InterviewFile
from tui.pages.interview.floor_plan import FloorPlan
from tui.pages.interview.question_list import QuestionList
from tui.pages.interview.questions import before, following, questions
from tui.pages.interview.sheets.all_sheets import drafting, sheet
from tui.terminal.beside import Beside, Dropped
from tui.work.asking import Choice, Prompt, Question
from tui.work.edits.additions import about, flows

_LEAVE = (("k", "keep for later"), ("d", "drop"))


class InterviewScreen(FrameScreen):
    """Asks, keeps every answer at once, and hands over the shop and its draft. It can be left at any point."""

    CSS_PATH: ClassVar[CSSPathType | None] = [FRAME_CSS, "interview.tcss"]
    AUTO_FOCUS = "AnswerSheet"
    page_title = "new design: an interview"

    listed = query_one(QuestionList)
    sheet = query_one(AnswerSheet)
    plan = query_one(FloorPlan)

    @dataclass
    class Drafted(Message):
        """The ducts that some answers make; while they are being drafted what is `said` of it."""

        answers: Answers
        design: Design
        said: str = ""

    def __init__(self, made: Callable[[Design, Design], bool], answers: Answers | None = None, file: InterviewFile | None = None) -> None:
        """`made` takes the shop without ducts and the draft, and says whether the draft is kept.

        `answers` and `file` are those of an interview to go on with.
        """
        super().__init__()
        self.answers = answers or blank(folder=str(Path.cwd()))
        self._file = file or InterviewFile()
        self._made = made
        self._before: list[Answers] = []
        self._after: list[Answers] = []
        self._beside = Beside()
        self._drafting: Answers | None = None
        self._waiting: InterviewScreen.Drafted | None = None

    def compose_body(self) -> ComposeResult:
        """The questions above the plan, and the answer beside them."""
        with Container(id="interview"):
            with Vertical(id="asked"):
                yield QuestionList(self)
                yield FloorPlan()
            yield AnswerSheet(self)

    def on_mount(self) -> None:
        """Show where the interview stands."""
        self.show()

    def on_unmount(self) -> None:
        """However it is left, note where, and let another session go on with it; nobody waits for a draft any more."""
        self._beside.drop()
        if self._file.holds:
            with suppress(OSError):
                self._file.keep(self.answers)
            self._file.leave()

    def show(self, *, start: bool = True) -> None:
        """Draw both panes anew; `start` at the first row of the question."""
        listed = questions(self.answers)
        if self.answers.at not in {question.key for question in listed}:
            self.answers = replace(self.answers, at="machines")
        self.listed.show_questions(listed, self.answers.at)
        self.sheet.show_sheet(sheet(self.answers, self.answers.at), start=start)

    # Moving between questions

    def go_to(self, key: str) -> None:
        """Make a question the present one."""
        if key != self.answers.at:
            self.answers = replace(self.answers, at=key)
            self.show()

    def answer(self) -> None:
        """Answer the present question."""
        self.sheet.begin()
        self.sheet.focus()

    def go_back(self) -> None:
        """Go back to the questions."""
        self.listed.focus()

    def go_on(self) -> None:
        """Take the question as answered, where it is, and go to the next one."""
        if self.answers.at not in wanted(self.answers):
            self.take(self.answers.with_given(self.answers.at), start=False)
        onward = following(self.answers, self.answers.at)
        if onward == self.answers.at:
            self.listed.focus()
            return
        self.go_to(onward)
        self.sheet.begin()

    def go_before(self) -> None:
        """Go to the question before."""
        self.go_to(before(self.answers, self.answers.at))
        self.sheet.begin(back=True)

    def show_in_plan(self, marks: str, answers: Answers | None = None) -> None:
        """Show the room with what is being answered marked in it; as it would be with other answers, where these are given."""
        self.plan.show_plan(answers or self.answers, self.answers.at, marks)

    # Taking answers

    def take(self, answers: Answers, *, start: bool = False) -> None:
        """Take a change, as one step that can be taken back, and keep it."""
        if answers == self.answers:
            return
        self._before.append(self.answers)
        self._after.clear()
        self._put(answers, start=start)

    def take_back(self, by: int) -> None:
        """Take the last change back (-1), or bring it back (1)."""
        source, target = (self._before, self._after) if by < 0 else (self._after, self._before)
        if not source:
            self.session.flash("nothing to undo" if by < 0 else "nothing to redo", trouble=True)
            return
        target.append(self.answers)
        taken = source.pop()
        self._put(replace(taken, shop=read_again(taken.shop, Path(taken.folder))), start=True)

    def _put(self, answers: Answers, *, start: bool) -> None:
        self.answers = answers
        try:
            self._file.keep(answers)
        except OSError as error:
            self.session.flash(f"the answers cannot be kept: {error.strerror}", trouble=True)
        self.show(start=start)

    def remove_machine(self, index: int) -> None:
        """Take a machine away."""
        name = self.answers.shop.machines[index].id
        self.take(without_machine(self.answers, index))
        self.session.flash(f"without {name}; u brings it back")

    def carry_out(self, asked: str) -> None:
        """Do what a row asks for."""
        if asked == "next":
            self.go_on()
        elif asked == "draft":
            self._draft()
        elif asked == "store file":
            self._make_store()
        elif asked == "catalog":
            self._choose_kind(self._ask_how_many, own=True)
        else:
            index = int(asked.partition(" ")[2])
            self._choose_kind(lambda kind: self.take(as_kind(self.answers, index, kind)) if kind else None, own=False)

    def _make_store(self) -> None:
        """Write what is marked in the store to its file, for other designs too."""
        try:
            shop = with_store_made(self.answers.shop, Path(self.answers.folder))
        except BadValue as reason:
            self.session.flash(str(reason), trouble=True)
            return
        self.take(self.answers.with_shop(shop))
        self.session.flash(f"{shop.store} is written; other designs in its folder may name it too")

    def _choose_kind(self, chosen: Callable[[catalog.MachineKind | None], None], *, own: bool) -> None:
        known = usual_first(catalog.machine_kinds(), self.answers.units)
        kinds = [Choice(kind.name, kind, flows(kind), about(kind), kind.system) for kind in known]
        if own:
            kinds.append(Choice("a machine with figures of your own", None, "a port of usual size, to be changed", group="your own"))
        self.session.choose("machines of the catalog", kinds, chosen)

    def _ask_how_many(self, kind: catalog.MachineKind | None) -> None:
        most = MOST_MACHINES - len(self.answers.shop.machines)

        def check(text: str) -> str | None:
            good = text.strip().isascii() and text.strip().isdigit() and len(text.strip()) < 4 and 1 <= int(text) <= most
            return None if good else f"wanted a whole number from 1 to {most}"

        name = kind.name if kind else "machines"
        self.ask(Prompt(f"how many? {name}", "1", lambda text: self.take(with_machines(self.answers, kind, int(text)), start=True), check))

    def _draft(self) -> None:
        """Draft beside the session: the layouts of a large shop take some seconds."""
        answers = self.answers
        if answers != self._drafting:
            self._drafting = answers
            self.session.flash("drafting: a moment; any change drops it")
            self._beside.begin(lambda dropped: self._made_ducts(answers, dropped), self.fail)

    def _made_ducts(self, answers: Answers, dropped: Dropped) -> None:
        design = answers.shop
        for design, said in drafting(answers):
            if dropped():
                return
            if said:
                self.post_message(self.Drafted(answers, design, said))
        self.post_message(self.Drafted(answers, design))

    @on(Drafted)
    def _drafted(self, event: Drafted) -> None:
        """Tell how far drafting has come, and leave with what it has come to, unless the answers are others by now."""
        event.stop()
        if event.answers != self.answers:
            return
        if event.said:
            self.session.flash(f"drafting: {event.said}")
        elif self.is_current:
            self._leave_with(event)
        else:
            self._waiting = event

    @on(ScreenResume)
    def _draft_waits(self) -> None:
        """What was drafted while another page stood in front is taken once that is left."""
        waiting, self._waiting = self._waiting, None
        if waiting and waiting.answers == self.answers:
            self._leave_with(waiting)

    def _leave_with(self, made: Drafted) -> None:
        self.dismiss()
        self.app.call_later(self._hand_over, finished(made.answers), made.design)

    def _hand_over(self, shop: Design, design: Design) -> None:
        """The answers stay until the draft is kept."""
        if self._made(shop, design):
            self._file.drop()

    # Leaving

    @on(StepOut)
    def step_out(self, command: StepOut) -> None:
        """From the answer to the list, and from the list out: the answers are kept, or dropped when asked to."""
        command.stop()
        if self.focused is self.sheet:
            self.sheet.restore()
            self.listed.focus()
        elif untouched(self.answers):
            self._leave("")
        else:
            self.ask(Question("leave the interview:", self._leave, _LEAVE))

    def _leave(self, key: str) -> None:
        if key == "d":
            self._file.drop()
        elif key == "k":
            self.session.flash("the answers are kept: N goes on with them")
        self.dismiss()
