"""The way through the job: every page in the order of the work, with its key and where it stands; the next useful step marked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.getters import query_one

from engine.report.job import Stand, Station, next_of, stands
from tui import commands
from tui.commands.base import Command, keys_text
from tui.commands.edit import EditValue, MarkWork
from tui.commands.files import New, Save
from tui.commands.look import NextFinding, StepOut
from tui.commands.pages import CardsPage, PartsPage, PlanPage, ReadingsPage, SafetyPage, SheetsPage, UpkeepPage
from tui.commands.search import (
    SearchCollectors,
    SearchLayouts,
    SearchPlacement,
    SearchRemedies,
    SearchSizes,
    SearchThrottles,
    TogetherPage,
)  # fmt: skip
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, line, shorten, width_of
from tui.pages.frame.frame import FrameScreen
from tui.panes.item import Item
from tui.panes.item_pane import ItemPane

# The stages of the job, each with its pages and what tells where they stand.
WAY: tuple[tuple[str, tuple[tuple[type[Command], Station | None], ...]], ...] = (
    ("survey", ((New, None), (PlanPage, "room"))),
    ("design", ((SearchLayouts, "ducts"), (SearchPlacement, None), (SearchCollectors, "collector"), (SearchSizes, None))),
    ("improve", ((NextFinding, "faults"), (SearchRemedies, None), (TogetherPage, "sets"), (SearchThrottles, "gates"))),
    ("buy and cut", ((PartsPage, "bought"), (SheetsPage, None))),
    ("hang", ((MarkWork, "hung"),)),
    ("measure", ((ReadingsPage, "read"), (CardsPage, None))),
    ("look after", ((UpkeepPage, "upkeep"), (SafetyPage, None))),
)
PAGES = tuple(command for _, pages in WAY for command, _ in pages)
_STAGE, _KEY, _TITLE = 12, 3, 34


def job_items(found: Mapping[Station, Stand], width: int, glyphs: Glyphs) -> Iterator[Item]:
    """A row for each page, its stage in front of the first one; each leads to its index among the pages."""
    following = next_of(found)
    rows = [(stage if not at else "", *row) for stage, pages in WAY for at, row in enumerate(pages)]
    for at, (stage, command, station) in enumerate(rows):
        stand, is_next = found[station] if station else Stand(""), station is not None and station == following
        role = "changed" if is_next else "text" if stand.done else "caution"
        tail = line((stand.told, role), (" <- next" if is_next else "", role))
        head = line((f"{stage:<{_STAGE}}", "dim"), (f"{keys_text(command).split()[0]:<{_KEY}}", "key"), f"{command.title:<{_TITLE}}")
        whole = line(*head, *tail)
        lines = (whole,) if width_of(whole) <= width else (head, line(" " * (_STAGE + _KEY), *tail))
        yield Item(tuple(shorten(spans, width, glyphs) for spans in lines), at)


class JobPane(ItemPane):
    """The pages of the job."""

    key_entries: ClassVar[tuple[tuple[str, str], ...]] = (("Enter", "open"), ("Esc", "back"))
    help_text = (
        "Every page in the order of the job, with its key and where it stands: survey, design, improve, buy and cut, hang, measure, look after. "
        "Enter, or its key, opens one; Esc leads back from each. The next useful step is marked."
    )

    def title(self) -> Line:
        """What the page is."""
        return self.titled("the way through the job")

    def list_items(self, width: int, _height: int, /) -> list[Item]:
        """The pages."""
        return list(job_items(stands(self.session.assessment, date.today()), width, self.session.glyphs))

    def begin(self) -> None:
        """Put the cursor on the next useful step."""
        following = next_of(stands(self.session.assessment, date.today()))
        stations = [station for _, pages in WAY for _, station in pages]
        self.go_to(stations.index(following) if following else 0)


class JobScreen(FrameScreen):
    """The page. What is chosen is sent to the screen it was asked from, as its key would send it."""

    page_title = "the job"
    page_commands = (EditValue, *PAGES, Save, StepOut, *commands.ALWAYS)
    AUTO_FOCUS = "JobPane"

    pane = query_one(JobPane)

    def __init__(self, asked_from: FrameScreen) -> None:
        super().__init__()
        self._asked_from = asked_from

    def compose_body(self) -> ComposeResult:
        """The one pane."""
        yield JobPane()

    def on_mount(self) -> None:
        """Begin at the next useful step."""
        self.pane.begin()

    async def action_command(self, name: str) -> None:
        """Go back and open a page of the job from there; all else is a command here."""
        if commands.BY_NAME[name] in PAGES:
            self._open(name)
        else:
            await super().action_command(name)

    @on(EditValue)
    def open_page(self, command: EditValue) -> None:
        """Open the page under the cursor."""
        command.stop()
        if self.pane.item is not None and isinstance(self.pane.item.leads, int):
            self._open(PAGES[self.pane.item.leads].__name__)

    def _open(self, name: str) -> None:
        if self.in_front:
            self.dismiss()
            self.app.call_after_refresh(self._asked_from.action_command, name)

    @on(StepOut)
    def leave(self, command: StepOut) -> None:
        """Go back to the screen before."""
        command.stop()
        self.dismiss()
