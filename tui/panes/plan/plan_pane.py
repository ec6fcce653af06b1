"""The pane of the plan page: draws the sheet, walks the pieces, and moves machines and the collector."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType

from engine.checks.assess import Assessment
from engine.design import Design
from engine.design.places import COLLECTOR, DESIGN, OfRun, PieceAt, Place
from engine.shapes.vectors import moved
from engine.units.printable import printable
from tui.commands.look import PiecePane
from tui.draw.lines import Line, cut, line, wrapped_to
from tui.panes.pane import Content, Pane, hold
from tui.panes.plan import sheet
from tui.panes.plan.drawing import cells_of
from tui.panes.plan.numbers import numbers
from tui.panes.plan.scene import Scene, scene_of
from tui.panes.plan.sheet import Camera
from tui.panes.plan.sight import TITLES, Sight
from tui.work.document import Refused
from tui.work.edits import moving

_REMARK_ROWS = 2
_WAYS = {"h": (-1, 0), "left": (-1, 0), "l": (1, 0), "right": (1, 0), "j": (0, 1), "down": (0, 1), "k": (0, -1), "up": (0, -1)}
_HEIGHTS = {"plus": 1, "equals_sign": 1, "minus": -1}
_LONG_STEP = 5


class PlanPane(Pane):
    """The ducts in their room, from above and from the side."""

    help_text = (
        "The ducts in their room, north up, and from the side. Mains are double lines, branches single ones, hose ~; what draws no air "
        "in the gate set shown is dotted (: a main, . a branch). x is a shut gate, o an open one, M (or a block) a machine, m (or a dot) "
        "a port that stands apart, v and ^ (or triangles) a duct that goes down or up, [C] the collector; % (or grey) a wall, @ a post, "
        "_ a door or a window, / a place to keep clear, a bench or where a door opens; ! a fault, * a caution. "
        "e moves a machine, a port or the collector: arrows or h j k l by 0.1 m (4 in), with Shift five times that, + and - up and down. "
        "Ducts are measured pieces and stay when a machine moves, so the gap its hose must bridge changes; Space lets the last straight "
        "along the move follow instead, and the air is solved anew. The collector takes all ducts along. Enter keeps, Esc restores, "
        "u takes it back."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "walk(1)", "next piece", show=False),
        Binding("shift+tab", "walk(-1)", "piece before", show=False),
        Binding("right_square_bracket", "walk_spots(1)", "next machine", show=False),
        Binding("left_square_bracket", "walk_spots(-1)", "machine before", show=False),
        Binding("g,home", "walk(-9999)", "collector", show=False),
        Binding("G,end", "walk(9999)", "last", show=False),
        Binding("enter", "form", "to its form", show=False),
        Binding("e", "move", "move it", show=False),
        Binding("v", "views", "plan, looking north, looking east", show=False),
        Binding("plus,equals_sign", "zoom(-1)", "closer", show=False),
        Binding("minus", "zoom(1)", "farther", show=False),
        Binding("0", "fit", "all in sight", show=False),
        Binding("h,left", "pan(-1,0)", "look west", show=False),
        Binding("l,right", "pan(1,0)", "look east", show=False),
        Binding("k,up", "pan(0,-1)", "look north, or up", show=False),
        Binding("j,down", "pan(0,1)", "look south, or down", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._camera = Camera()
        self._scene: tuple[Assessment, int, Scene] | None = None
        self._sights: list[Sight] = []
        self._body: list[Line] = []
        self._note = ""
        self._move: moving.Move | None = None
        self._made: Design | None = None

    # What it shows

    def update_plan(self) -> None:
        """Take over the design, its results, the gate set and the selection; what is selected comes in sight."""
        if self._move and self.session.document.design is not self._made:
            self._end()
        if self.session.up_to_date and self.size.height > 2:
            scene = self._current_scene()
            self._camera = sheet.following(self._camera, self._lay_out(scene), scene, self.session.document.selection)
        self.redraw()
        self._tell()

    def _current_scene(self) -> Scene:
        assessment, index = self.session.assessment, self.session.document.gate_set_index
        if self._scene is None or self._scene[0] is not assessment or self._scene[1] != index:
            self._scene = (assessment, index, scene_of(assessment, assessment.sets[index]))
        return self._scene[2]

    def _lay_out(self, scene: Scene, width: int | None = None, height: int | None = None) -> list[Sight]:
        """The sights that fit above what stands at the foot."""
        width, height = width or self.size.width - 2, height or self.size.height - 2
        rows = max(height - 1 - len(self._remarks(scene, width)), 3)
        return sheet.sights(self._camera, scene, width, rows, self.session.document.system)

    def _remarks(self, scene: Scene, width: int) -> list[Line]:
        text = printable("; ".join(scene.remarks))
        rows = wrapped_to(text, width - 2, _REMARK_ROWS, self.session.glyphs, "caution") if text else []
        return [line(" ", *spans) for spans in rows]

    def content(self, width: int, height: int) -> Content:
        """The sheet, the numbers of what is selected, and what has no place."""
        document, assessment, glyphs = self.session.document, self.session.assessment, self.session.glyphs
        if self.session.up_to_date:
            scene = self._current_scene()
            self._sights = self._lay_out(scene, width, height)
            told = printable(numbers(assessment, assessment.sets[document.gate_set_index], scene, document.selection, glyphs))
            self._body = sheet.sheet(scene, self._sights, glyphs, document.selection)
            self._body += [line(f" {cut(told, width - 2, glyphs)}"), *self._remarks(scene, width)]
            self._note = sheet.scale_note(self._sights[0].column, document.system, glyphs, width)
        return Content(self._title(), self._body, self._note)

    def _title(self) -> Line:
        name = TITLES[self._sights[0].view] if self._sights else "plan"
        if self._move is None:
            return self.titled(name)
        ducts = "" if self._move.place == COLLECTOR else ", its duct follows" if self._move.follows else ", its duct stays"
        return self.titled(name, (f" moving{ducts} ", "cursor"), " ")

    # Keys

    @property
    def key_entries(self) -> list[tuple[str, str]]:
        """What the key line shows first."""
        if self._move:
            entries = [("Enter", "keep"), ("Esc", "restore"), (self.session.glyphs.arrows, "move"), ("Shift", "x5"), ("+ -", "height")]
            if self._move.place != COLLECTOR:
                entries.insert(2, ("Space", "duct stays" if self._move.follows else "duct follows"))
            return entries
        entries = [("Tab", "piece"), ("[ ]", "machine"), ("Enter", "form"), ("v", "view"), ("+ - 0", "zoom"), ("h j k l", "pan")]
        if moving.moves(self.session.document.design, self.session.document.selection):
            entries.insert(0, ("e", "move"))
        return entries

    @property
    def only_own_keys(self) -> bool:
        """Whether the key line shows these keys alone."""
        return self._move is not None

    def action_walk(self, by: int) -> None:
        """Select the next thing in the order of the ducts."""
        self._walk(list(self._current_scene().order) if self.session.up_to_date else [], by)

    def action_walk_spots(self, by: int) -> None:
        """Select the next machine, or the collector."""
        self._walk([place for place in self._current_scene().order if not isinstance(place, OfRun)] if self.session.up_to_date else [], by)

    def _walk(self, order: list[Place], by: int) -> None:
        if not order:
            return
        place = self.session.document.selection
        while place != DESIGN and place not in order:
            place = place.holder
        now = order.index(place) if place in order else -1
        at = min(max(now + by, 0), len(order) - 1) if abs(by) > 1 else (now + by) % len(order)
        self.session.document.select(order[at])

    def action_form(self) -> None:
        """Go to the form of what is selected."""
        self.post_message(PiecePane())

    def action_views(self) -> None:
        """Show the next views."""
        if self._sights:
            self._camera = sheet.next_views(self._camera, tuple(sight.view for sight in self._sights))
            self.redraw()

    def action_zoom(self, by: int) -> None:
        """Take the next finer or coarser scale."""
        if self._sights and self.session.up_to_date:
            document = self.session.document
            self._camera = sheet.zoomed(self._camera, self._sights[0], by, self._current_scene(), document.system, document.selection)
            self.redraw()

    def action_fit(self) -> None:
        """Bring everything in sight."""
        self._camera = Camera(self._camera.views)
        self.redraw()

    def action_pan(self, right: int, down: int) -> None:
        """Look at what lies beside."""
        if self._sights:
            self._camera = sheet.panned(self._camera, self._sights[0], right, down)
            self.redraw()

    def on_click(self, event: events.Click) -> None:
        """Select what was clicked."""
        x, y = event.x - 1, event.y - 1
        for sight in self._sights:
            if 0 <= y < sight.height and self.session.up_to_date and self._move is None:
                places = [place for place in self._current_scene().order if (x, y) in cells_of(self._current_scene(), sight, place)]
                if places:
                    self.session.document.select(max(places, key=lambda place: (not isinstance(place, OfRun), isinstance(place, PieceAt))))
                return
            y -= sight.height + 1

    # Moving

    def action_move(self) -> None:
        """Begin to move what is selected."""
        self.session.attempt(self._begin)

    def _begin(self) -> None:
        self._move = moving.begun(self.session.document)
        self._made = self.session.document.design
        self.refresh_bindings()
        self.redraw()

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether a move under way takes the key: every letter but that of help."""
        if self._move is None:
            return False
        letter = character is not None and character.isprintable() and character != "?"
        return letter or self._shift(key) is not None or key in ("enter", "escape", "tab", "shift+tab")

    def on_key(self, event: events.Key) -> None:
        """Move, keep or restore."""
        if self._move is None or not self.check_consume_key(event.key, event.character):
            return
        hold(event)
        if (by := self._shift(event.key)) is not None:
            self._try(replace(self._move, by=moved(self._move.by, by, 1.0)))
        elif event.key == "space" and self._move.place != COLLECTOR:
            self._try(replace(self._move, follows=not self._move.follows))
        elif event.key == "enter":
            self._tell()
            self._end()
        elif event.key == "escape":
            self._try(replace(self._move, by=(0.0, 0.0, 0.0)))
            self._end()
            self.session.flash("as it was before the move")
        else:
            self.session.flash("Enter keeps the move, Esc restores what was")

    def _shift(self, key: str) -> tuple[float, float, float] | None:
        """The move that a key asks for."""
        units, long = self.session.document.system, key.startswith("shift+") or (len(key) == 1 and key.isupper())
        name, times = key.removeprefix("shift+").lower() if long else key, _LONG_STEP if long else 1
        if name in _HEIGHTS:
            return moving.step_by("up", units, _HEIGHTS[name] * times)
        if name not in _WAYS or not self._sights:
            return None
        right, down = (part * times * moving.STEP[units] for part in _WAYS[name])
        return sheet.in_space(self._sights[0].view, right, -down)

    def _try(self, move: moving.Move) -> None:
        """Carry a move out; one that is refused leaves the one before."""
        try:
            moving.carried_out(self.session.document, move)
        except Refused as reason:
            self.session.flash(str(reason), trouble=True)
            return
        self._move, self._made = move, self.session.document.design
        self.refresh_bindings()
        if self.session.up_to_date:  # nothing to wait for
            self.redraw()
            self._tell()

    def _tell(self) -> None:
        """Say what the move under way came to."""
        if self._move and self.session.up_to_date:
            text, trouble = moving.told(self._move, self.session.assessment)
            self.session.flash(text, trouble=trouble)

    def _end(self) -> None:
        """The move is over; what comes next is a step of its own."""
        if self._move:
            self._move, self._made = None, None
            self.session.document.seal()
            self.refresh_bindings()
            self.redraw()

    def on_blur(self) -> None:
        """A move out of focus is done."""
        self._end()
