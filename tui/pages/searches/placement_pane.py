"""The pane of a placement study: the map with a cursor on its spots, and the list below or beside it."""

from __future__ import annotations

from typing import ClassVar, Protocol

from textual.binding import Binding, BindingType

from engine.design import system
from engine.search.placement import Spot, Study
from engine.search.proposals import Proposal, Standing, Step
from engine.search.ranking import IN_WORDS
from engine.units import show
from engine.units.words import counted
from tui.draw.lines import Line, fit, wrapped
from tui.pages.searches.placement_list import TABLE, WITH_PRICE, ListView, list_lines
from tui.pages.searches.placement_map import MEASURES, TODAY, At, beside, best, draw_map, legend, places, room_scene, spot_at
from tui.panes.pane import WIDE, Content, Pane
from tui.panes.plan.scene import Scene
from tui.panes.plan.sight import Sight, fitted, scale_text

# Rows of the list below a map: heads, four spots, the middles and three rows of reasons; fewer where that leaves the map too few.
_BELOW, _LEAST_BELOW, _LEAST_MAP = 9, 7, 10
_GAP = 2
_BESIDE = {False: TABLE + 1, True: WITH_PRICE + 4}


class StudyPage(Protocol):
    """What the pane may ask of the page it is on."""

    spacing: float
    """How far apart spots are, m."""

    def look_from(self, spot: Spot, today: Spot | None, known: Proposal | None) -> None:
        """Show the layout from a spot beside the design."""

    def respace(self, times: float) -> None:
        """Begin anew with spots so many times as far apart."""

    def stop(self) -> None:
        """End the study with what it has found."""


class PlacementPane(Pane):
    """Where the collector could stand."""

    help_text = (
        "Ducts are drafted from every spot of a grid, and judged by their air in every gate set. Shades (letters a to d), by v: air, what "
        "the neediest machine gets of its need; duct, how much of it; rank, all together. "
        "! something is in the way or a hose does not reach; 1 to 3 the best, no two of them neighbours; T today's spot, drafted alike; "
        "+ where the ways to all machines add up to the least, x where the longest is the least; M (or a block) a machine. "
        "In the table: air, what the neediest machine gets of its need; duct, its length; ! faults. "
        "Arrows go from spot to spot, + and - set them nearer together or farther apart. Enter (or 1, 2, 3) shows what the layout from "
        f"there changes, Enter again takes it as one step to undo: it replaces all ducts. {IN_WORDS}"
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("h,left", "go(-1,0)", "west", show=False),
        Binding("l,right", "go(1,0)", "east", show=False),
        Binding("k,up", "go(0,1)", "north", show=False),
        Binding("j,down", "go(0,-1)", "south", show=False),
        Binding("tab", "next_best(1)", "next of the best", show=False),
        Binding("shift+tab", "next_best(-1)", "one before of the best", show=False),
        Binding("1", "look_at_best(1)", "look at the best", show=False),
        Binding("2", "look_at_best(2)", "look at the second", show=False),
        Binding("3", "look_at_best(3)", "look at the third", show=False),
        Binding("enter", "look", "look at it", show=False),
        Binding("plus,equals_sign", "respace(0.5)", "spots nearer together", show=False),
        Binding("minus", "respace(2.0)", "spots farther apart", show=False),
        Binding("v", "measure", "air, duct or rank", show=False),
        Binding("x", "stop", "stop here", show=False),
    ]

    def __init__(self, page: StudyPage) -> None:
        super().__init__()
        self._page = page
        self.study: Study | None = None
        self.working = True
        self.measure = MEASURES[0]
        self._cursor: At | None = None
        self._said = ""
        self._scene: tuple[object, Scene] | None = None

    # What it shows

    def update_found(self, _today: Standing, step: Step | None, /, *, working: bool) -> None:
        """Show how far the study has come."""
        self.study = step if isinstance(step, Study) else None
        self._said = step.said if step else "working: the first spots are being tried; Esc leaves it"
        self.working = working
        if self.study is None:
            self._cursor = None
        self.redraw()
        self.refresh_bindings()

    def cursor_on(self, study: Study) -> At:
        """Where the cursor is: on the best spot until it was moved."""
        return best(study)[0] if self._cursor is None else self._cursor

    def content(self, width: int, height: int) -> Content:
        """The map and the list."""
        study = self.study
        if study is None:
            return Content(self._title(), wrapped(self._said, width, "dim"))
        cursor = self.cursor_on(study)
        scene, units, glyphs = self._current_scene(), system(self.session.document.design), self.session.glyphs
        sight, below = self._lay_out(study, scene, width, height, units)
        drawn = draw_map(study, scene, sight, cursor, self.measure, glyphs)
        room = (width, height - sight.height) if below else (width - sight.width - _GAP, height)
        listed = list_lines(ListView(self.session.document.design, study, cursor, *room, glyphs))
        if below:
            rows = drawn + listed
        else:
            listed += [()] * (height - len(listed))
            rows = [(*fit(spans, sight.width), (" " * _GAP, "text"), *told) for spans, told in zip(drawn, listed, strict=True)]
        note = f" {legend(study, self.measure, units, glyphs)} " + (" T today " if study.today else "")
        scale = f" {scale_text(sight.column, units)} "
        return Content(self._title(), rows, note + scale if len(note + scale) <= width - 3 else note)

    def _current_scene(self) -> Scene:
        design = self.session.document.design
        if self._scene is None or self._scene[0] is not design:
            self._scene = (design, room_scene(design))
        return self._scene[1]

    def _lay_out(self, study: Study, scene: Scene, width: int, height: int, units: str) -> tuple[Sight, bool]:
        """The sight of the map, and whether the list is below it: beside where there is room, or where the map is larger so."""
        points = (*scene.points, *((*place, 0.0) for place in places(study).values()))
        wide = self.app.size.width >= WIDE
        aside = fitted(("plan",), points, width - _BESIDE[wide] - _GAP, height, units)[0]
        under = fitted(("plan",), points, width, max(height - _BELOW, min(_LEAST_MAP, height - _LEAST_BELOW)), units)[0]
        return (aside, False) if wide or aside.column < under.column else (under, True)

    def _title(self) -> Line:
        progress = ""
        if study := self.study:
            count = f"{study.done} of {study.of} drafts"
            done = f"stopped after {count}" if study.done < study.of else f"{counted(len(study.grid.tried), 'spot')} tried"
            progress = f" working: {count} " if self.working else f" {done} "
        apart = show(self._page.spacing, "length", system(self.session.document.design))
        return self.titled(f"spots {apart} apart", progress)

    @property
    def key_entries(self) -> list[tuple[str, str]]:
        """What the key line shows first."""
        stop = [("x", "stop here")] if self.working else []
        moves = [(self.session.glyphs.arrows, "spot"), ("Enter", "look at it"), ("1 2 3", "best"), ("v", f"by {self._next_measure}")]
        return [*stop, *moves, ("+ -", "spots"), ("Tab", "next best")]

    # Keys

    @property
    def _next_measure(self) -> str:
        return MEASURES[(MEASURES.index(self.measure) + 1) % len(MEASURES)]

    def _go_to(self, at: At) -> None:
        self._cursor = at
        self.redraw()

    def action_go(self, east: int, north: int) -> None:
        """Go to the next spot that way."""
        if self.study:
            self._go_to(beside(places(self.study), self.cursor_on(self.study), east, north))

    def action_next_best(self, by: int) -> None:
        """Go to the next of the best spots, and to today's after them."""
        if self.study:
            stops, cursor = (*best(self.study), *([TODAY] if self.study.today else [])), self.cursor_on(self.study)
            now = stops.index(cursor) + by if cursor in stops else 0
            self._go_to(stops[now % len(stops)])

    def action_look_at_best(self, number: int) -> None:
        """Go to one of the best and look at it."""
        if self.study and number <= len(self.study.proposals):
            self._go_to(best(self.study)[number - 1])
            self.action_look()

    def action_look(self) -> None:
        """Show the layout from the spot under the cursor."""
        study = self.study
        if study is None:
            return
        cursor, first = self.cursor_on(study), best(study)
        spot = spot_at(study, cursor)
        if spot is None:
            self.session.flash("this spot is not tried yet")
            return
        known = study.proposals[first.index(cursor)] if cursor in first else study.sized_from(spot) if cursor != TODAY else None
        self._page.look_from(spot, study.today, known)

    def action_measure(self) -> None:
        """Grade the spots by something else."""
        self.measure = self._next_measure
        self.redraw()
        self.refresh_bindings()

    def action_respace(self, times: float) -> None:
        """Begin anew with spots nearer together or farther apart."""
        self._page.respace(times)

    def action_stop(self) -> None:
        """Let the study end with what it has found."""
        self._page.stop()
