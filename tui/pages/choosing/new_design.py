"""How to start a new design: by an interview, one left unfinished or a new one, or from a small example."""

from __future__ import annotations

import errno
from pathlib import Path

from engine.design import Design
from engine.design.places import RunAt
from engine.survey.answers import blank
from engine.units.printable import printable
from tui.pages.choosing.choose import ChooseScreen
from tui.pages.interview import files
from tui.pages.interview.files import InterviewFile, Unfinished
from tui.pages.interview.questions import progress, questions
from tui.pages.interview.screen import InterviewScreen
from tui.work.asking import Choice, Question
from tui.work.document import Document
from tui.work.first_design import design_name

_ANEW, _EXAMPLE = "anew", "example"


class NewDesignScreen(ChooseScreen):
    """Choose how to start; interviews left unfinished come first, but behind the start of a file that was asked for."""

    def __init__(self, path: Path | None = None) -> None:
        """`path`: the file, not there yet, that the design is to go to."""
        kept = [Choice(f"go on with {found.answers.shop.name}", found, _progress(found)) for found in files.unfinished()]
        anew = Choice("an interview", _ANEW, "questions about your shop, then a first draft; leave it when you like")
        example = Choice("a small example", _EXAMPLE, "one machine and its duct, to be changed")
        title = f"{printable(path.name)} does not exist: a new design begins" if path else "new design"
        super().__init__(title, [anew, example, *kept] if path else [*kept, anew, example], self._start)
        self._path = path

    def _start(self, chosen: Unfinished | str) -> None:
        if chosen == _EXAMPLE:
            self.session.work_on(Document.new(self._path))
        elif isinstance(chosen, Unfinished):
            self._go_on(chosen)
        else:
            answers = blank(design_name(self._path), str(self._path.absolute().parent)) if self._path else None
            self.app.push_screen(InterviewScreen(self._draft_made, answers))

    def _go_on(self, left: Unfinished) -> None:
        """Go on with an interview that no other session has; with a copy of it, when asked to, where one may."""

        def interview_in(file: InterviewFile) -> None:
            self.app.push_screen(InterviewScreen(self._draft_made, left.answers, file))

        try:
            interview_in(InterviewFile(left.path))
        except OSError as error:
            if error.errno != errno.ENOLCK:
                self.session.flash(f"this interview cannot be gone on with: {error.strerror}", trouble=True)
                return
            asked = "another session may be at this interview; go on with a copy of it?"
            self.session.ask(Question(asked, lambda key: interview_in(InterviewFile()) if key == "y" else None))

    def _draft_made(self, shop: Design, draft: Design) -> bool:
        """Work on the shop with its ducts put in as a step, so that the draft is unsaved work and can be taken back; whether it is kept."""

        def work_on_draft() -> None:
            document = Document(shop, self._path)
            document.apply("first draft", draft, RunAt(0))
            self.session.work_on(document, "a first draft, to be edited: check every length, height and bore")

        return self.session.attempt(work_on_draft) and self.session.kept


def _progress(found: Unfinished) -> str:
    return f"{progress(questions(found.answers))}, left {found.when:%d %b %H:%M}"
