"""The results pane: tabs on what the air does. It shows what was assessed and solves nothing for a move of the cursor."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events, on
from textual.binding import Binding, BindingType
from textual.timer import Timer

from engine.checks import Finding
from engine.checks.assess import Assessment
from tui.commands.accepting import AcceptFinding, accept_or_take_back
from tui.commands.edit import EditValue
from tui.draw.lines import Line, Span, line
from tui.panes.item import Cells, Fold, Item, Table
from tui.panes.item_pane import ItemPane
from tui.panes.pane import WIDE
from tui.panes.results import now
from tui.panes.results.tabs import Tab, tabs
from tui.panes.results.view import View
from tui.work.findings import show_finding
from tui.work.known_bands import KnownBands

# When bands are computed, s: that of the flow shown once it is drawn, those of all sets after a while without a key, a part each time.
_DRAWN, _IDLE, _BETWEEN = 0.002, 0.2, 0.02
# Rows that the findings want below another tab, and those left for what the row under the cursor tells.
_ROOM_FOR_FINDINGS, _BELOW_SPARE = 6, 3


class Results(ItemPane):
    """now, sets, where and curve; where the terminal is wide also the plan."""

    pane_name = "results"
    help_text = (
        "What the air does: now (the selection and what is wrong, a row for each cause; Enter unfolds it), sets (every gate set), "
        "where (what takes the suction), "
        "curve (collector and ducts), plan (in a wide terminal; p shows it on a page of its own). Enter on a row leads to its place, "
        "or shows its gate set. The second figure of a flow is half the width of its band: doubts about elbows, joints, roughness, ports "
        "and collector, added as the root of their squares (GUM, JCGM 100); how large each is taken is judgement."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left,h", "tab(-1)", "tab", show=False),
        Binding("right,l", "tab(1)", "tab", show=False),
        Binding("left_square_bracket", "port(-1)", "port", show=False),
        Binding("right_square_bracket", "port(1)", "port", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._all = tabs()
        self._tab = 0
        self._port = ""
        self._before: Assessment | None = None
        self._unfolded: frozenset[Fold] = frozenset()
        self._bands = KnownBands()
        self._wanted: Sequence[int] = ()
        self._learning: Timer | None = None

    # What it shows

    def update_results(self, before: Assessment | None = None) -> None:
        """Take over the results, the selection and the gate set; what moved since `before` is marked."""
        self._before = before
        self.redraw()

    def update_selection(self) -> None:
        """Show another selection, from its first row."""
        self.go_to(0)
        self._port = ""
        self.redraw()

    def forget_changes(self) -> None:
        """Drop the marks of what the last edit moved; where the key was another edit, its results draw the pane anew anyway."""
        if self._before is not None:
            self._before = None
            if self.session.up_to_date:
                self.redraw()

    def _view(self, width: int = 0, height: int = 0) -> View:
        """What there is to show, in a body of `width` by `height` cells."""
        document, bands = self.session.document, self._bands.known
        return View(
            self.session.assessment, document.gate_set_index, document.selection, width, height, self.session.glyphs, self._before, self._port, bands,
            self._unfolded, self.session.finding,
        )  # fmt: skip

    def list_items(self, width: int, height: int, /) -> list[Item]:
        """What the tab says."""
        if not self.session.up_to_date:
            return self._items
        self._bands.follow(self.session.assessment)
        view = self._view(width, height)
        self._wanted = self._shown.bands(view)
        items = self._shown.items(view)
        left = height - sum(len(item.lines) for item in items) - _BELOW_SPARE
        return [*items, Item((line(" "),)), *now.findings(view)] if self._shown.leaves_room and left >= _ROOM_FOR_FINDINGS else items

    def redraw(self) -> None:
        """Draw the pane anew; the bands it lacks follow, so that no key waits for them."""
        super().redraw()
        self._learn_after(_IDLE)

    def _learn_after(self, idle: float) -> None:
        """Compute what the tab shown lacks: the one gate set it shows as soon as it is drawn, all of them after `idle` seconds."""
        if self._learning is not None:
            self._learning.stop()
            self._learning = None
        if not all(map(self._bands.knows, self._wanted)):
            self._learning = self.set_timer(_DRAWN if len(self._wanted) == 1 else idle, self._learn)

    def _learn(self) -> None:
        if self.session.up_to_date:
            self._bands.follow(self.session.assessment)
            self._bands.learn(self._wanted[0]) if len(self._wanted) == 1 else self._bands.learn_more()
            super().redraw()
            self._learn_after(_BETWEEN)

    @property
    def _tabs(self) -> tuple[Tab, ...]:
        """The tabs there are room for."""
        return tuple(tab for tab in self._all if not tab.wide or self.app.size.width >= WIDE)

    @property
    def _shown(self) -> Tab:
        """The tab shown; the first where the one that was shown is gone with the width."""
        return self._tabs[self._tab] if self._tab < len(self._tabs) else self._tabs[0]

    @property
    def _pane_title(self) -> str:
        """Its number alone where the tabs need the room."""
        return "3 results" if self.size.width >= 13 + sum(len(tab.name) + 2 for tab in self._tabs) else "3"

    def title(self) -> Line:
        """The names of the tabs."""
        names: list[str | Span] = [(f"[{tab.name}]", "value") if tab is self._shown else f" {tab.name} " for tab in self._tabs]
        return self.titled(self._pane_title, *names, " ")

    # To copy

    def table(self) -> Table:
        """The tab as a table."""
        return self._shown.table(self._view()) if self.session.up_to_date else []

    def row(self) -> Cells:
        """What the row under the cursor says, or the whole where no row does."""
        return self.item.cells if self.item and self.session.up_to_date else ()

    # Keys

    @property
    def key_entries(self) -> list[tuple[str, str]]:
        """What the key line shows first."""
        entries = [(self.session.glyphs.sideways, "tab")]
        if self._shown.next_port:
            entries.append(("[ ]", "port"))
        if self.item and isinstance(self.item.leads, Fold):
            entries.append(("Enter", "fold" if self.item.leads in self._unfolded else "unfold"))
        elif self.stops():
            entries.append(("Enter", "go to" if self.item and isinstance(self.item.leads, Finding) else self._shown.enter))
        return entries

    def action_tab(self, by: int) -> None:
        """Show another tab."""
        self._tab = (self._tab + by) % len(self._tabs)
        self.go_to(0)
        self._items, self._wanted = [], ()
        self.redraw()
        if self._items:
            self.go_to(self._shown.first(self._view()))
            self.redraw()
        self.refresh_bindings()

    def action_port(self, by: int) -> None:
        """Show the way of another port."""
        choose = self._shown.next_port
        port = choose(self._view(), by) if choose and self.session.up_to_date else None
        if port is not None:
            self._port = port
            self.go_to(0)
            self.redraw()

    @on(EditValue)
    def follow(self, event: EditValue) -> None:
        """Go where the row leads."""
        event.stop()
        match self.item.leads if self.item else None:
            case None:
                self.action_move(1)
            case int(at):
                self.session.document.show_gate_set(at)
            case Fold() as fold:
                self._unfolded ^= {fold}
                self.redraw()
            case Finding() as finding:
                show_finding(self.session.document, finding)
            case place:
                self.session.document.select(place)

    @on(AcceptFinding)
    def accept(self, event: AcceptFinding) -> None:
        """Accept what the row tells, or take that back; a row of something else leaves it to the session."""
        leads = self.item.leads if self.item and self.session.up_to_date else None
        if isinstance(leads, Finding):
            event.stop()
            self.session.attempt(lambda: accept_or_take_back(self.session, (leads,)))
        elif isinstance(leads, Fold):
            conditions = self.session.assessment.conditions
            found = next((one.findings for one in conditions if (one.standing, one.about) == leads.of), ())
            if found:
                event.stop()
                self.session.attempt(lambda: accept_or_take_back(self.session, found))

    def on_click(self, event: events.Click) -> None:
        """Show the tab whose name was clicked."""
        if event.y == 0:
            at = 3 + len(self._pane_title)
            for number, tab in enumerate(self._tabs):
                if at <= event.x < at + len(tab.name) + 2:
                    self.action_tab(number - self._tab)
                at += len(tab.name) + 2
