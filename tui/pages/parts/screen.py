"""The parts page: what to buy, how to cut it and where it goes, made anew beside the session whenever the design changes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message
from textual.types import CSSPathType
from textual.widgets import Static

from engine.design import Design
from engine.parts.stages import MOST_BUDGET
from engine.units import UnitError, parse_number
from engine.values import dataclass
from tui import commands
from tui.commands.edit import Redo, Undo
from tui.commands.look import StepOut
from tui.pages.frame.frame import FRAME_CSS, FrameScreen
from tui.pages.frame.messages import ResultsReady
from tui.pages.parts.tabs import STAGES, TABS
from tui.pages.reading.text import PageText
from tui.terminal.beside import Beside, Dropped
from tui.work.asking import Prompt

_WORKING = "working: the cuts of every size are being laid out; Esc leaves it"
_NO_DUCTS = "no run yet: nothing to buy, to cut or to hang"


class PartsText(PageText):
    """The text of the tab shown."""

    help_text = (
        "What the ducts are made of, with prices where the stock gives them; how sticks are cut; where everything is hung. "
        "Stages tell what to buy and hang first, e within a budget. "
        "All of it follows the design. kerfdraft parts, cuts and setting-out print the same."
    )
    key_entries: ClassVar[tuple[tuple[str, str], ...]] = (("t T", "tab"), ("e", "budget"), *PageText.key_entries)


class PartsScreen(FrameScreen):
    """The page. While what it shows is made, it shows what was there before."""

    page_title = "parts"
    page_commands = (Undo, Redo, StepOut, *commands.ALWAYS)
    AUTO_FOCUS = "PartsText"
    CSS_PATH: ClassVar[CSSPathType | None] = [FRAME_CSS, Path(__file__).parents[1] / "reading" / "text.tcss"]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t,right", "tab(1)", "tab", show=False),
        Binding("T,left", "tab(-1)", show=False),
        Binding("e", "budget", "budget", show=False),
    ]

    @dataclass
    class Written(Message):
        """The texts of the tabs are made; `generation` says for which design."""

        generation: int
        texts: tuple[str, ...]

    def __init__(self) -> None:
        super().__init__()
        self._generation = 0
        self._beside = Beside()
        self._texts: tuple[str, ...] = ()
        self._tab = 0
        self._budget: float | None = None

    def compose_body(self) -> ComposeResult:
        """The names of the tabs, and the text of one."""
        yield Static(id="tabs", markup=False)
        with PartsText():
            yield Static(_WORKING, id="text", markup=False)

    def on_mount(self) -> None:
        """Begin."""
        self._show()
        self._write()

    @on(ResultsReady)
    def _write(self) -> None:
        """Make the texts of the design as it now is, beside the session."""
        self._generation += 1
        design = self.document.design
        if design.runs:
            self._beside.begin(self._writing(self._generation, design), self.fail)
        else:
            self._beside.drop()
            self._texts = (_NO_DUCTS,) * len(TABS)
            self._show()

    def _writing(self, generation: int, design: Design) -> Callable[[Dropped], None]:
        budget = self._budget

        def write(dropped: Dropped) -> None:
            texts = tuple(tab.text(design, budget) for tab in TABS if not dropped())
            if not dropped():
                self.post_message(self.Written(generation, texts))

        return write

    def on_unmount(self) -> None:
        """The page is left: nobody waits for what is still made."""
        self._beside.drop()

    @on(Written)
    def _take(self, event: Written) -> None:
        """Show what was made, unless the design has changed meanwhile."""
        event.stop()
        if event.generation == self._generation:
            self._texts = event.texts
            self._show()

    def _show(self) -> None:
        """Show the tab."""
        names = [Content.styled(f"[{tab.name}]", "bold") if i == self._tab else Content(f" {tab.name} ") for i, tab in enumerate(TABS)]
        self.query_one("#tabs", Static).update(Content.assemble(" ", *names))
        self.query_one("#text", Static).update(Content(self._texts[self._tab] if self._texts else _WORKING))

    def action_tab(self, by: int) -> None:
        """Show another tab, from its top."""
        self._tab = (self._tab + by) % len(TABS)
        self._show()
        self.query_one(PartsText).scroll_home(animate=False)

    def action_budget(self) -> None:
        """Ask what a stage may cost, and show the stages."""

        def take(text: str) -> None:
            self._budget = parse_number(text) if text.strip() else None
            self._tab = STAGES
            self._write()
            self._show()

        held = "" if self._budget is None else f"{self._budget:g}"
        self.ask(Prompt("a stage costs at most (nothing: a machine a stage)", held, take, check=_why_no_budget))

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the screen before."""
        command.stop()
        self.dismiss()


def _why_no_budget(text: str) -> str | None:
    """Why a text is no budget."""
    try:
        fits = not text.strip() or 0.0 < parse_number(text) <= MOST_BUDGET
    except UnitError:
        fits = False
    return None if fits else f"{text!r} is no budget; wanted: a price above 0, at most {MOST_BUDGET:g}, or nothing"
