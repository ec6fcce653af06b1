"""The sheets there are: what each is called, in the order they are printed in, and what makes it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from engine.report.page.blocks import Block
from engine.report.page.contents import air, built, gates, measured, told, upkeep
from engine.report.page.contents.plan import plan
from engine.report.page.job import Job
from engine.values import dataclass


class SheetError(ValueError):
    """A name that no sheet has; str() is one line that says which there are."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet by its `name` on the command line, its title, and what makes its blocks."""

    name: str
    title: str
    blocks: Callable[[Job], Iterator[Block]]


@dataclass(frozen=True, slots=True)
class Made:
    """A sheet made of a job."""

    name: str
    title: str
    blocks: tuple[Block, ...]


# Cautions first.
SHEETS = (
    Sheet("cautions", "Health and safety: read this first", told.danger),
    Sheet("job", "The job", told.summary),
    Sheet("findings", "Findings", told.findings),
    Sheet("plan", "Plan and side view", plan),
    Sheet("curves", "Curves", air.curve_sheet),
    Sheet("results", "Air in each gate set", air.results),
    Sheet("suction", "Suction on the way from each machine", air.suction),
    Sheet("parts", "What to buy", built.parts),
    Sheet("cuts", "How to cut it", built.cuts),
    Sheet("setting-out", "Where it goes", built.marks),
    Sheet("assembly", "In which order it is hung", built.order),
    Sheet("gates", "Gate cards", gates.cards),
    Sheet("tests", "Test sheet", measured.measuring),
    Sheet("filter", "Filter card", measured.filter_card),
    Sheet("upkeep", "Upkeep", upkeep.duties),
)
NAMES = tuple(sheet.name for sheet in SHEETS)


def picked(text: str | None) -> tuple[Sheet, ...]:
    """The sheets named in a text, commas between, in the order they are printed in; all for None. Raises SheetError."""
    if text is None:
        return SHEETS
    wanted = [name.strip() for name in text.split(",")]
    if unknown := next((name for name in wanted if name not in NAMES), None):
        raise SheetError(f"no sheet {unknown!r}; wanted: some of {', '.join(NAMES)}, commas between")
    if "" in wanted:
        raise SheetError(f"a sheet without a name; wanted: some of {', '.join(NAMES)}, commas between")
    return tuple(sheet for sheet in SHEETS if sheet.name in wanted)


def made(job: Job, sheets: Sequence[Sheet]) -> tuple[Made, ...]:
    """Sheets made of a job."""
    return tuple(Made(sheet.name, sheet.title, tuple(sheet.blocks(job))) for sheet in sheets)
