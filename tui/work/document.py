"""The design being worked on: its history, its file and what is selected. Knows nothing of the screen.

Everything that changes a design goes through `Document.apply`, which refuses a
change that would leave the design invalid and otherwise makes it one named
step that can be undone. Whoever shows the document sets `watch` and is told
what changed.

Changes are grouped into steps by merge key: those of one field carry the same
one, and are one step for as long as nothing comes between them. A change with
another key or none, another selection, undo, redo, a save, and leaving the
field (`seal`) come between. A field put back to what it held leaves no step.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from engine.design import Design, GateSet, Run, gate_sets_of, system
from engine.design.places import COLLECTOR, GateSetAt, OfRun, Place, RunAt, at
from engine.files import design_file
from engine.files.safe_files import previous_name, time_of
from engine.files.store_file import moved
from engine.values import dataclass
from tui.work.mistakes_told import why_invalid, why_unread
from tui.work.on_disk import real_path, stamp
from tui.work.selection import nearest
from tui.work.work_done import settled

if TYPE_CHECKING:
    from engine.field.taking import Instrument

Change = Literal["design", "selection", "gate set", "file"]

HISTORY = 2000


class Refused(Exception):  # noqa: N818  # it says no; nothing has gone wrong
    """What was asked for cannot be done; str() is one line that says why and what is wanted."""


@dataclass(frozen=True, slots=True)
class Step:
    """One change: the design after it, and the selection before and after."""

    name: str
    design: Design
    before: Place
    place: Place
    merge_key: Hashable = None


class Document:
    """A design with its history, its file and its selection."""

    def __init__(self, design: Design, path: Path | None = None, *, on_file: Design | None = None) -> None:
        """`on_file`: the design as its file holds it; None when no file holds it."""
        self.path = path
        self.real_path = real_path(path)
        """Its file with every link followed, found while the folder it starts from is there."""
        self.on_file = on_file
        self._seen = stamp(path)
        self.instrument: Instrument | None = None
        """What readings are taken with, until another is said."""
        self.last_edit = ""
        """Name of what was last done to the design, or of what was undone."""
        self.touched = ""
        """What the last change did to work that is done, in words."""
        self.watch: Callable[[Change], None] = unwatched
        self._selection: Place = RunAt(0) if design.runs else COLLECTOR
        self._gate_set = 0
        self._steps = [Step("opened", design, self._selection, self._selection)]
        self._now = 0
        self._sealed = True

    @classmethod
    def open(cls, path: Path | str) -> Document:
        """The document of a design file. Raises Refused when it cannot be read."""
        path = Path(path)
        seen = stamp(path)  # before it is read: what is written meanwhile must not pass for read
        try:
            design = design_file.load(path)
        except design_file.DesignFileError as error:
            raise Refused(why_unread(path, error.mistakes)) from None
        document = cls(design, path, on_file=design)
        document._seen = seen
        return document

    @classmethod
    def new(cls, path: Path | None = None) -> Document:
        """The document of a small valid design to start from."""
        from tui.work.first_design import design_name, first_design

        design = first_design()
        return cls(replace(design, name=design_name(path)) if path else design, path)

    # The design and its history

    @property
    def design(self) -> Design:
        """The design as it now is."""
        return self._steps[self._now].design

    @property
    def system(self) -> str:
        """ "metric" or "imperial": the units the design is shown in."""
        return system(self.design)

    @property
    def undo_name(self) -> str | None:
        """Name of the step undo would take back, or None."""
        return self._steps[self._now].name if self._now else None

    @property
    def redo_name(self) -> str | None:
        """Name of the step redo would bring back, or None."""
        return self._steps[self._now + 1].name if self._now + 1 < len(self._steps) else None

    def apply(self, name: str, design: Design, place: Place | None = None, merge_key: Hashable = None, *, as_it_is: bool = False) -> None:
        """Make `design` the current one, as a step called `name` that selects `place`.

        A step with the merge key of the step before it becomes one with that
        step, until `seal` or a move of the selection. Marks of work that are no longer
        true fall back, unless the design was marked so (`as_it_is`). Raises
        Refused, and changes nothing, when `design` would be invalid.
        """
        here = self._steps[self._now]
        if design == here.design:
            return
        if why := why_invalid(design):
            raise Refused(why)
        merges = merge_key is not None and merge_key == here.merge_key and not self._sealed and self._now > 0
        self.touched = ""
        if not as_it_is:
            found = settled(self._steps[self._now - merges].design, here.design, design)
            design, self.touched = found.design, found.in_words
        place = nearest(design, self._selection if place is None else place)
        del self._steps[self._now + (0 if merges else 1) :]
        before = here.before if merges else self._selection
        if not (merges and design == self._steps[-1].design):
            self._steps.append(Step(name, design, before, place, merge_key))
        del self._steps[: max(0, len(self._steps) - HISTORY - 1)]
        self._now = len(self._steps) - 1
        self._sealed = False
        self.last_edit = name
        self._arrive(place)

    def seal(self) -> None:
        """End the current step: the next change is a step of its own."""
        self._sealed = True

    def undo(self) -> Step | None:
        """Take the last step back and select where it was made; the step, or None when there is none."""
        if not self._now:
            return None
        step = self._steps[self._now]
        self._now -= 1
        self._sealed, self.touched = True, ""
        self.last_edit = f"undo of {step.name}"
        self._arrive(step.before)
        return step

    def redo(self) -> Step | None:
        """Bring the step last undone back and select it; the step, or None when there is none."""
        if self.redo_name is None:
            return None
        self._now += 1
        self._sealed, self.touched = True, ""
        step = self._steps[self._now]
        self.last_edit = step.name
        self._arrive(step.place)
        return step

    def came_by(self, design: Design) -> bool:
        """Whether a step that still stands led to `design` on the way to the design as it now is."""
        return any(step.design is design for step in self._steps[: self._now + 1])

    def revert(self) -> None:
        """Go back to what the file holds, as a step. Raises Refused when no file holds the design."""
        if self.on_file is None:
            raise Refused("this design is in no file yet; u takes back one step at a time")
        self.apply("back to the saved design", self.on_file, as_it_is=True)

    def switch_units(self) -> None:
        """Show the design in the other system of units, as a step."""
        other = "imperial" if self.system == "metric" else "metric"
        self.apply(f"{other} units", replace(self.design, display=other))

    def _arrive(self, place: Place) -> None:
        self._selection = nearest(self.design, place)
        self._gate_set = min(self._gate_set, len(self.gate_sets) - 1)
        self.watch("design")

    # The selection and the gate set shown

    @property
    def selection(self) -> Place:
        """Place of what is selected; always one that exists."""
        return self._selection

    @property
    def selected(self) -> object:
        """What is selected; the run, at either of its endings; a tuple, at the heading of a list."""
        return at(self.design, self._selection)

    @property
    def selected_run(self) -> Run | None:
        """The run that is, or holds, what is selected."""
        return self.design.runs[self._selection.run] if isinstance(self._selection, OfRun) else None

    def select(self, place: Place) -> None:
        """Select `place`, or the nearest there is to it; a gate set is shown too."""
        place = nearest(self.design, place)
        if place != self._selection:
            self._selection = place
            self.seal()
            if isinstance(place, GateSetAt):
                self.show_gate_set(place.index)
            self.watch("selection")

    @property
    def gate_sets(self) -> tuple[GateSet, ...]:
        """The design's gate sets, never none."""
        return gate_sets_of(self.design)

    @property
    def gate_set_index(self) -> int:
        """Index of the gate set shown, in `gate_sets`."""
        return self._gate_set

    @property
    def gate_set(self) -> GateSet:
        """The gate set shown."""
        return self.gate_sets[self._gate_set]

    def show_gate_set(self, index: int) -> None:
        """Show the gate set at `index`, counted round."""
        index %= len(self.gate_sets)
        if index != self._gate_set:
            self._gate_set = index
            self.watch("gate set")

    # The file

    @property
    def dirty(self) -> bool:
        """Whether the design differs from what its file holds."""
        return self.design is not self.on_file and self.design != self.on_file

    @property
    def unsaved(self) -> bool:
        """Whether there is work that only this document holds: a new design nobody has touched is none."""
        return self.dirty and (self._now > 0 or self.on_file is not None)

    @property
    def changed_on_disk(self) -> bool:
        """Whether something else has written to the file, or taken it away, since it was read or saved here."""
        return stamp(self.path) != self._seen

    @property
    def written(self) -> datetime | None:
        """When the file that was read or saved here was written; None without one."""
        return time_of(self._seen.written / 1e9) if self._seen else None

    def save(self) -> str:
        """Write the design to its file; one line that says so. Raises Refused when it cannot be written."""
        if self.path is None:
            raise Refused("this design has no file yet: save it under a name")
        return self.save_as(self.path)

    def save_as(self, path: Path | str) -> str:
        """Write the design to `path` and keep it there from now on; as `save`. In another folder it takes the stock of its store along."""
        path = Path(path)
        design, of_store = moved(self.design, self.path.parent if self.path else None, path.parent)
        self.apply("stock of its own", design)
        commented = design_file.has_comments(path)
        try:
            remark = design_file.save(self.design, path)
        except design_file.DesignFileError as error:
            raise Refused(f"{path}: {error.mistakes[0]}") from None
        elsewhere = self.path is not None and self.path != path
        self.path, self.real_path = path, real_path(path)
        self.on_file = self.design
        self._seen = stamp(path)
        self.seal()
        self.watch("file")
        comments = f"its comments are only in {previous_name(path).name} now" if commented else ""
        return "; ".join(filter(None, (f"saved {path if elsewhere else path.name}", of_store, comments, remark)))


def unwatched(change: Change) -> None:
    """Nobody is told of a change."""
