"""What commands, panes and pages may ask of the session they are in. Knows nothing of the screen.

The app is the session; whoever asks names this protocol and not the app, so
that the app may know every page and no page the app.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from enum import Enum, auto
from typing import TYPE_CHECKING, Any, Protocol, cast

from engine.checks.assess import Assessment
from engine.checks.conditions import About
from engine.design import Design
from engine.search.proposals import Step
from engine.values import dataclass
from tui.draw.glyphs import Glyphs
from tui.work.asking import Choice, Prompt, Question
from tui.work.document import Document

if TYPE_CHECKING:
    from engine.field.cards import Figure


class Page(Enum):
    """The pages that need nothing but their name to be opened."""

    JOB = auto()
    PLAN = auto()
    TOGETHER = auto()
    BORES = auto()
    PLACEMENT = auto()
    PARTS = auto()
    SHEETS = auto()
    CARDS = auto()
    READINGS = auto()
    CAUSES = auto()
    UPKEEP = auto()
    SAFETY = auto()
    HELP = auto()
    PALETTE = auto()
    DESIGNS = auto()
    NEW_DESIGN = auto()


# The steps of a search as they come; None where none has come for a while: time to ask whether it is still wanted.
Coming = Iterator[Step | None]


@dataclass(frozen=True, slots=True)
class Search:
    """What to look for: the page's title, what it says of itself in help, the search itself, and a caution that holds for all it offers.

    `pictured`: what it finds are layouts, to be seen as plan and side view.
    `adds` puts in one more thing to try, where that can be said in a line.
    """

    title: str
    words: str
    begin: Callable[[Design], Coming]
    caution: Callable[[Design], str] | None = None
    pictured: bool = False
    adds: Callable[[Session], None] | None = None


@dataclass(frozen=True, slots=True)
class Status:
    """What the status row says: the assessment counted, what the last edit changed, and a message that the next key clears."""

    assessment: Assessment | None = None
    changed: str = ""
    message: str = ""
    trouble: bool = False


class Session(Protocol):
    """The session: the design at hand, what was last computed of it, and how to speak with the user."""

    glyphs: Glyphs
    finding: tuple[str, About] | None
    """Key of the condition that was last gone to."""
    card_figures: tuple[Figure, ...]
    """What came of the quick card that was last left, until a page takes it."""

    # The design

    @property
    def opened(self) -> Document | None:
        """The design being worked on; None while there is none."""

    @property
    def document(self) -> Document:
        """The design being worked on. Raises LookupError while there is none."""

    @property
    def assessment(self) -> Assessment:
        """What was last computed, maybe of the design before a change whose results are on their way. Raises LookupError while there is none."""

    @property
    def up_to_date(self) -> bool:
        """Whether the assessment is of the design as it now is."""

    @property
    def kept(self) -> bool:
        """Whether the unsaved work on the design is in a file that was read back."""

    def attempt(self, action: Callable[[], object]) -> bool:
        """Do something that may be refused; whether it was done. The reason goes to the status row."""

    def work_on(self, document: Document, said: str = "") -> None:
        """Leave the design at hand, which must be settled, and work on another one; what is `said` goes to the status row."""

    def leave(self) -> None:
        """End the session; what is unsaved was let go."""

    # The user

    @property
    def status(self) -> Status:
        """What the status row says."""

    def flash(self, text: str, *, trouble: bool = False) -> None:
        """Show a message in the status row until the next key."""

    def copy(self, text: str, done: str) -> None:
        """Hand a text to the terminal's clipboard and say that it was `done`."""

    def ask(self, question: Question | Prompt) -> None:
        """Ask in the status row of the page in front."""

    def choose(self, title: str, choices: Sequence[Choice], chosen: Callable[[Any], object]) -> None:
        """Let a row be chosen on a page of its own; the value of that row is handed over."""

    # Pages

    def open(self, page: Page) -> None:
        """Open a page in front. Raises Refused where there is nothing for it to show."""

    def search(self, search: Search) -> None:
        """Open the page of a search, which runs beside the session."""

    def offer_left_behind(self) -> None:
        """Say, where the workbench is in front, what other sessions do or left behind on this design."""


class _OnScreen(Protocol):
    @property
    def app(self) -> object: ...


def session_of(widget: _OnScreen) -> Session:
    """The session that something on the screen is in: its app is one."""
    return cast(Session, widget.app)
