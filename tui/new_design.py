"""Starting a new design: by an interview, new or left unfinished, or from a small example."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engine.design import Design
from tui import interview, interview_files
from tui.document import Document
from tui.interview_files import InterviewFile, Unfinished

if TYPE_CHECKING:
    from tui.app import KerfdraftApp

ANEW = "anew"
EXAMPLE = "example"


def begin(app: KerfdraftApp) -> None:
    """Offer to go on with what was left unfinished; without any, begin an interview."""
    kept = interview_files.unfinished()
    if not kept:
        _interview(app, ANEW)
        return
    from tui.screens.choose import ChooseScreen, Choice

    choices = [Choice(f"go on with {found.answers.shop.name}", found, _stands(found)) for found in kept]
    choices += [Choice("a new interview", ANEW), Choice("a small example to change", EXAMPLE)]
    app.push_screen(ChooseScreen("new design", choices, lambda chosen: start_example(app) if chosen == EXAMPLE else _interview(app, chosen)))


def start_example(app: KerfdraftApp) -> None:
    """Work on the small example."""
    app.work_on(Document.new())


def _interview(app: KerfdraftApp, chosen: Unfinished | str) -> None:
    from tui.screens.interview import InterviewScreen

    def made(shop: Design, draft: Design) -> None:
        app.attempt(lambda: _work_on_draft(app, shop, draft))

    if isinstance(chosen, Unfinished):
        app.push_screen(InterviewScreen(made, chosen.answers, InterviewFile(chosen.path)))
    else:
        app.push_screen(InterviewScreen(made))


def _work_on_draft(app: KerfdraftApp, shop: Design, draft: Design) -> None:
    """Open the shop and put the ducts in as a step, so that the draft is unsaved work and can be taken back."""
    app.work_on(Document(shop))
    app.document.apply("first draft", draft, ("runs", 0))
    app.flash("a first draft, to be edited: check every length, height and bore")


def _stands(found: Unfinished) -> str:
    questions = interview.questions(found.answers)
    answered = sum(question.state == "given" for question in questions)
    return f"{answered} of {len(questions)} answered, left {found.when:%d %b %H:%M}"
