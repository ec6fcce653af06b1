"""Starting a new design: by an interview, one left unfinished or a new one, or from a small example."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from engine.design import Design
from engine.design.places import RunAt
from tui.draw.lines import printable
from tui.keep import file_names
from tui.pages.interview import files
from tui.pages.interview import questions as interview
from tui.pages.interview.files import InterviewFile, Unfinished
from tui.work.document import Document

if TYPE_CHECKING:
    from tui.app import KerfdraftApp

ANEW, EXAMPLE = "anew", "example"


def begin(app: KerfdraftApp, path: Path | None = None) -> None:
    """Ask how to start; interviews left unfinished come first. `path`: the file, not there yet, that the design is to go to."""
    from tui.pages.choose import Choice, ChooseScreen

    kept = [Choice(f"go on with {found.answers.shop.name}", found, _stands(found)) for found in files.unfinished()]
    fresh = Choice("an interview", ANEW, "questions about your shop, then a first draft; leave it when you like")
    example = Choice("a small example", EXAMPLE, "one machine and its duct, to be changed")
    title = f"{printable(path.name)} does not exist: a new design begins" if path else "new design"
    app.push_screen(ChooseScreen(title, [*kept, fresh, example], lambda chosen: _start(app, chosen, path)))


def _start(app: KerfdraftApp, chosen: Unfinished | str, path: Path | None) -> None:
    from tui.pages.interview.screen import InterviewScreen

    def made(shop: Design, draft: Design) -> None:
        app.attempt(lambda: _work_on_draft(app, shop, draft, path))

    if chosen == EXAMPLE:
        app.work_on(Document.new(path))
    elif isinstance(chosen, Unfinished):
        app.push_screen(InterviewScreen(made, chosen.answers, InterviewFile(chosen.path)))
    else:
        app.push_screen(InterviewScreen(made, interview.blank(file_names.design_name(path)) if path else None))


def _work_on_draft(app: KerfdraftApp, shop: Design, draft: Design, path: Path | None) -> None:
    """Open the shop with its ducts put in as a step, so that the draft is unsaved work and can be taken back."""
    document = Document(shop, path)
    document.apply("first draft", draft, RunAt(0))
    app.work_on(document)
    app.status = replace(app.status, message="a first draft, to be edited: check every length, height and bore")


def _stands(found: Unfinished) -> str:
    questions = interview.questions(found.answers)
    answered = sum(question.state == "given" for question in questions)
    return f"{answered} of {len(questions)} answered, left {found.when:%d %b %H:%M}"
