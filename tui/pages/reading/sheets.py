"""The page that writes the sheets for the wall: it asks where to, writes beside the session, and says where they lie."""

from __future__ import annotations

import os
from pathlib import Path

from textual import on
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from engine.design import Design
from engine.files.safe_files import previous_name
from engine.values import dataclass
from tui.keep import file_names
from tui.pages.reading.text import PageScreen
from tui.terminal.beside import Beside, Dropped
from tui.terminal.over_ssh import where_it_lies
from tui.work.asking import Prompt, Question
from tui.work.document import Document, Refused
from tui.work.wall import write_sheets

_ENDING = ".html"
_ASKING = "One page to print: cautions, findings, plan, curves, air, parts, cuts, setting out, gate cards, test sheet, upkeep. Esc writes nothing."


class SheetsScreen(PageScreen):
    """Where the sheets lie, once they are written."""

    page_title = "sheets for the wall"
    help_text = (
        "Writes one page of HTML that loads nothing from anywhere and prints on A4 and Letter, of the design as it is now, and copies its path. "
        "kerfdraft report writes the same, as plain text and as tables too, or some of the sheets alone."
    )

    @dataclass
    class Written(Message):
        """The work is done: where the page lies, or why there is none."""

        path: Path
        trouble: str = ""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._design: Design = document.design
        self._own = document.path
        self._source = document.path.name if document.path else ""
        self._beside = Beside()

    def text(self) -> Content:
        """What the page is for."""
        return Content(_ASKING)

    def on_mount(self) -> None:
        """Ask, once the page is in front."""
        self.call_after_refresh(self._ask)

    def _ask(self) -> None:
        suggested = (self._own or Path(file_names.suggested(self._design.name))).with_suffix(_ENDING)
        self.session.ask(Prompt("write to", str(suggested), self._chosen, self._why_not, dismissed=self.dismiss))

    def _why_not(self, text: str) -> str | None:
        if why := file_names.why_no_file(text):
            return why
        path = _as_path(text)
        return "that is the design itself; another name is wanted" if self._own and path.exists() and path.samefile(self._own) else None

    def _chosen(self, text: str) -> None:
        path = _as_path(text)
        if path.exists():
            warning = f"replace {path.name}? it is kept as {previous_name(path).name}"
            self.session.ask(Question(warning, lambda key: self._begin(path) if key == "y" else self._ask(), dismissed=self.dismiss))
        else:
            self._begin(path)

    def _begin(self, path: Path) -> None:
        self._say(f"Writing {path.name}: the cuts of every size are being laid out; Esc leaves it unwritten.")

        def write(dropped: Dropped) -> None:
            try:
                write_sheets(self._design, self._source, path, dropped)
            except Refused as why:
                self.post_message(self.Written(path, str(why)))
            else:
                self.post_message(self.Written(path))

        self._beside.begin(write, self.fail)

    def on_unmount(self) -> None:
        """The page is left: what is not written yet stays unwritten."""
        self._beside.drop()

    @on(Written)
    def _tell(self, event: Written) -> None:
        event.stop()
        if event.trouble:
            self._say(_ASKING)
            self.session.flash(event.trouble, trouble=True)
            return
        lies = event.path.absolute()
        self._say("\n".join(["Written to", *where_it_lies(lies, os.environ)]))
        self.session.copy(str(lies), f"written to {lies.name}; its path is copied")

    def _say(self, text: str) -> None:
        self.query_one("PageText Static", Static).update(Content(text))


def _as_path(text: str) -> Path:
    path = Path(text.strip())
    return path if path.suffix else path.with_name(path.name + _ENDING)
