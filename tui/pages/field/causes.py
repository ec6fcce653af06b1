"""What is wrong by the readings: found beside the session, the list of causes, and the page of one of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from time import sleep
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message

from engine.catalog.causes import cause_kinds
from engine.checks.cautions import caution
from engine.design import Design
from engine.values import dataclass
from tui.draw.lines import Line, line, shorten, wrapped
from tui.pages.frame.frame import SMALL_ENOUGH
from tui.pages.reading.text import PageScreen
from tui.panes.item import Item
from tui.panes.item_pane import ItemPane
from tui.terminal.beside import Dropped

if TYPE_CHECKING:
    from engine.field.causes.diagnosis import Cause, Diagnosis

# After each step keys go first: the sums let go of the interpreter for so long, s.
_YIELDS = 0.001
_SHARE = 7  # cells


def finding_causes(design: Design, came: Callable[[Diagnosis, bool], object]) -> Callable[[Dropped], None]:
    """The work of finding what is wrong, for beside the session: each step of it is handed over, with whether it is the last."""

    def work(dropped: Dropped) -> None:
        from engine.field.causes.diagnosis import diagnoses  # with NumPy, slow to load: not before it is wanted

        found = None
        for found in diagnoses(design):
            if dropped():
                return
            came(found, False)
            sleep(_YIELDS)
        if found is not None:
            came(found, True)

    return work


class CausesPane(ItemPane):
    """The causes, most probable first."""

    help_text = (
        "What may be wrong, most probable first, by the readings since the baseline; it is weighed anew at each reading. The reading asked for "
        "is the one that tells most; another one does too. Enter shows what to look at, and what to mind before. Tab goes to the test sheet."
    )
    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter,e", "look", "what to look at")]

    @dataclass
    class Look(Message):
        """A cause is to be looked at."""

        cause: Cause

    @dataclass
    class Looked(Message):
        """Whether the list is looked at: it then takes the room."""

        at: bool

    def __init__(self) -> None:
        super().__init__()
        self._found: Diagnosis | None = None
        self._working = False
        self._above = 0  # lines above the causes

    def update_found(self, found: Diagnosis | None, *, working: bool) -> None:
        """Show what was found; None keeps what is shown while it is weighed anew."""
        if found is None:
            self._cursor = self._above
        self._found, self._working = found or self._found, working
        self.redraw()

    def watch_has_focus(self, has_focus: bool) -> None:
        """Ask for room while it is looked at."""
        super().watch_has_focus(has_focus)
        self.post_message(self.Looked(has_focus))

    def title(self) -> Line:
        """What the pane is, and whether it is still being weighed, or no reading would tell more."""
        told = "weighing ... " if self._working else "no place tells more " if self._found and not self._found.following else ""
        return self.titled("what is wrong", (told, "dim"))

    def list_items(self, width: int, _height: int, /) -> list[Item]:
        """Causes, then line by line, so that the cursor reaches each, what speaks against them and what they rest on."""
        found = self._found
        if found is None:
            return [Item(tuple(wrapped("every cause is weighed against the readings", width, "dim")))]
        from engine.report.causes import NO_PLACE, notes, rests_on

        causes = [self._item(at, cause, width) for at, cause in enumerate(found.causes)]
        design = self.session.document.design
        told = [*notes(design, found), *([] if found.following else [NO_PLACE]), *rests_on(design, found)]
        head = [Item((shorten(line((text, "caution")), width, self.session.glyphs),)) for text in _in_short(found)]
        self._cursor, self._above = max(self._cursor + len(head) - self._above, len(head)), len(head)  # where it was, on a cause at first
        rows = [row for text in told for row in wrapped(" ".join(text.split()), width, "note")]
        return [*head, *causes, *(Item((row,), at) for at, row in enumerate(rows, len(causes)))]

    def _item(self, at: int, cause: Cause, width: int) -> Item:
        from engine.report.causes import cause_text, probability_text

        head = line((f"{probability_text(cause.probability):>{_SHARE - 1}} ", "value"), cause_text(cause))
        short = shorten(head, width, self.session.glyphs)
        return Item((short,), at, lambda: [one for text in _details(cause) for one in wrapped(text, width, "dim")])

    def action_look(self) -> None:
        """Show what to look at for the cause under the cursor."""
        if self._found and self.item and isinstance(self.item.leads, int) and self.item.leads < len(self._found.causes):
            self.post_message(self.Look(self._found.causes[self.item.leads]))


def _in_short(found: Diagnosis) -> Iterator[str]:
    """What must not be missed about the list: told before it, and whole behind it."""
    count = len(found.evidence.readings)
    if not count:
        yield "nothing read yet: how often each is"
    elif not found.fits:
        yield "two together fit, or one was misread" if found.together else "no single cause fits: read again"
    elif count == 1:
        yield "one reading alone: take the next one" if found.following else "one reading alone: read it again"


def _details(cause: Cause) -> Iterator[str]:
    """How far it goes, what to mind, what to look at; whole, where no reading tells it from others."""
    from engine.report.causes import cause_text, severities

    yield from severities(cause)
    kind = cause_kinds().get(cause.cause)
    if kind:
        before = "; ".join(caution(name).title for name in kind.cautions)
        yield f"{f'Before: {before}. ' if before else ''}{kind.look} About {kind.minutes:g} min."
    if cause.beside or len(cause.candidates) > 1:
        yield cause_text(cause)


class CauseScreen(PageScreen):
    """One cause: what to mind, then what to look at."""

    page_title = "what to look at"
    help_text = "What to mind before anything is opened, then what to look at, for the cause chosen."
    smallest = SMALL_ENOUGH

    def __init__(self, design: Design, cause: Cause) -> None:
        super().__init__()
        self._design, self._cause = design, cause

    def text(self) -> Content:
        """Cautions first."""
        from engine.report.causes import cause_text, severities

        parts: list[Content | str] = [Content.styled(cause_text(self._cause), "bold"), "\n"]
        for cause in filter(None, (self._cause, self._cause.beside)):
            kind = cause_kinds().get(cause.cause)
            if kind is None:
                parts.append("\nNothing to open: look again when it sucks less, and read what is asked for.\n")
                continue
            for name in kind.cautions:
                one = caution(name)
                parts += ["\n", Content.styled(one.title, "bold"), "\n", one.text(self._design), "\n"]
            told = [f"{kind.look} About {kind.minutes:g} min.", *severities(cause, beside=False)]
            parts += ["\n", Content.styled(kind.title, "bold"), "\n", "\n".join(told), "\n"]
            parts.append(Content.styled(f"Source: {kind.source}; {kind.provenance}\n", "dim"))
        return Content.assemble(*parts)
