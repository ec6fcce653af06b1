"""The tabs of the results pane, an entry each."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from engine.values import dataclass
from tui.panes.item import Item, Table
from tui.panes.results import curve, now, sets, where
from tui.panes.results.view import View


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab: its name, what it shows as items, and all of that as a table to copy.

    `enter` is what Enter does with a row, in the words of the key line;
    `first` the item to begin at. `bands` are the gate sets whose bands it
    shows. One that `leaves_room` has the findings below it where there is
    any. `next_port` gives the port so many behind the one shown, where
    ports can be chosen. One that is `wide` is there only in a wide terminal.
    """

    name: str
    items: Callable[[View], list[Item]]
    table: Callable[[View], Table]
    enter: str = "go to"
    first: Callable[[View], int] = lambda _: 0
    bands: Callable[[View], Sequence[int]] = lambda _: ()
    next_port: Callable[[View, int], str | None] | None = None
    wide: bool = False
    leaves_room: bool = False


def tabs() -> tuple[Tab, ...]:
    """Every tab, in their order; what one remembers it remembers for the pane that asked."""
    known = curve.KnownCurves()
    return (
        Tab("now", now.items, now.table, bands=lambda view: (view.index,) if now.port_shown(view) else ()),
        Tab(
            "sets", sets.items, sets.table, "show set",
            first=lambda view: 1 + view.index, bands=lambda view: range(len(view.assessment.sets)), leaves_room=True,
        ),
        Tab("where", where.items, where.table, next_port=where.next_port, leaves_room=True),
        Tab("curve", lambda view: curve.items(view, known.of(view.assessment, view.index)),
            lambda view: curve.table(view, known.of(view.assessment, view.index))),
        Tab("plan", _plan, lambda _: [], wide=True),
    )  # fmt: skip


def _plan(view: View) -> list[Item]:
    from tui.panes.results import plan  # with all that draws: not before it is wanted

    return plan.items(view)
