"""The design being worked on: its history, its file and what is selected. Knows nothing of the screen.

Everything that changes a design goes through `Document.apply`, which refuses a
change that would leave the design invalid and otherwise makes it one named
step that can be undone. Whoever shows the document sets `watch` and is told
what changed.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from engine import design_file
from engine.consistency import mistakes
from engine.design import Design, GateSet, Run, gate_sets_of, system
from engine.places import Place, at

Change = Literal["design", "selection", "gate set", "file"]

JOINT = "joint"
END = "end"
HISTORY = 2000


class Refused(Exception):
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
        self.on_file = on_file
        self._seen = _stamp(path)
        self.watch: Callable[[Change], None] = lambda change: None
        self._selection: Place = ("runs", 0) if design.runs else ("collector",)
        self._gate_set = 0
        self._steps = [Step("opened", design, self._selection, self._selection)]
        self._now = 0
        self._sealed = True

    @classmethod
    def open(cls, path: Path | str) -> Document:
        """The document of a design file. Raises Refused when it cannot be read."""
        path = Path(path)
        try:
            design = design_file.load(path)
        except design_file.DesignFileError as error:
            first, *rest = error.mistakes
            more = f" (and {len(rest)} more)" if rest else ""
            raise Refused(f"{path}: {first}{more}") from None
        return cls(design, path, on_file=design)

    @classmethod
    def new(cls, path: Path | None = None) -> Document:
        """The document of a small valid design to start from."""
        from tui.first_design import first_design

        return cls(first_design(), path)

    # The design and its history

    @property
    def design(self) -> Design:
        """The design as it now is."""
        return self._steps[self._now].design

    @property
    def system(self) -> str:
        """"metric" or "imperial": the units the design is shown in."""
        return system(self.design)

    @property
    def undo_name(self) -> str | None:
        """Name of the step undo would take back, or None."""
        return self._steps[self._now].name if self._now else None

    @property
    def redo_name(self) -> str | None:
        """Name of the step redo would bring back, or None."""
        return self._steps[self._now + 1].name if self._now + 1 < len(self._steps) else None

    def apply(self, name: str, design: Design, place: Place | None = None, merge_key: Hashable = None) -> None:
        """Make `design` the current one, as a step called `name` that selects `place`.

        A step with the merge key of the step before it becomes one with that
        step, until `seal` or a move of the selection. Raises Refused, and
        changes nothing, when `design` would be invalid.
        """
        here = self._steps[self._now]
        if design == here.design:
            return
        if why := why_invalid(design):
            raise Refused(why)
        place = nearest(design, self._selection if place is None else place)
        merges = merge_key is not None and merge_key == here.merge_key and not self._sealed and self._now > 0
        del self._steps[self._now + (0 if merges else 1) :]
        before = here.before if merges else self._selection
        if not (merges and design == self._steps[-1].design):
            self._steps.append(Step(name, design, before, place, merge_key))
        del self._steps[: max(0, len(self._steps) - HISTORY - 1)]
        self._now = len(self._steps) - 1
        self._sealed = False
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
        self._sealed = True
        self._arrive(step.before)
        return step

    def redo(self) -> Step | None:
        """Bring the step last undone back and select it; the step, or None when there is none."""
        if self.redo_name is None:
            return None
        self._now += 1
        self._sealed = True
        step = self._steps[self._now]
        self._arrive(step.place)
        return step

    def revert(self) -> None:
        """Go back to what the file holds, as a step. Raises Refused when no file holds the design."""
        if self.on_file is None:
            raise Refused("this design is in no file yet; u takes back one step at a time")
        self.apply("back to the saved design", self.on_file)

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
        return _at(self.design, owner(self._selection))

    @property
    def selected_run(self) -> Run | None:
        """The run that is, or holds, what is selected."""
        if self._selection[:1] == ("runs",) and len(self._selection) > 1:
            return self.design.runs[self._selection[1]]
        return None

    def select(self, place: Place) -> None:
        """Select `place`, or the nearest there is to it."""
        place = nearest(self.design, place)
        if place != self._selection:
            self._selection = place
            self.seal()
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
        return _stamp(self.path) != self._seen

    def save(self) -> str:
        """Write the design to its file; one line that says so. Raises Refused when it cannot be written."""
        if self.path is None:
            raise Refused("this design has no file yet: save it under a name")
        return self.save_as(self.path)

    def save_as(self, path: Path | str) -> str:
        """Write the design to `path` and keep it there from now on; as `save`."""
        path = Path(path).expanduser()
        commented = design_file.has_comments(path)
        try:
            design_file.save(self.design, path)
        except design_file.DesignFileError as error:
            raise Refused(f"{path}: {error.mistakes[0]}") from None
        self.path = path
        self.on_file = self.design
        self._seen = _stamp(path)
        self.seal()
        self.watch("file")
        return f"saved {path.name}" + (f"; its comments are only in {path.name}~ now" if commented else "")


def _stamp(path: Path | None) -> tuple[int, int] | None:
    """When a file was written and how long it is; None when there is none."""
    try:
        found = path.stat() if path is not None else None
    except OSError:
        return None
    return (found.st_mtime_ns, found.st_size) if found else None


def why_invalid(design: Design) -> str | None:
    """The first thing that is wrong with a design, in one line; None when nothing is."""
    return next((str(mistake) for mistake in mistakes(design)), None)


def owner(place: Place) -> Place:
    """The place in the design itself: the run, for either of its endings."""
    return place[:-1] if place[-1:] in ((JOINT,), (END,)) else place


def nearest(design: Design, place: Place) -> Place:
    """`place` where it exists, else its last sibling, else what it was part of."""
    place = tuple(place)
    while place and not _exists(design, place):
        parent, last = place[:-1], place[-1]
        siblings = _at(design, parent) if isinstance(last, int) else None
        place = (*parent, len(siblings) - 1) if siblings and last >= len(siblings) else parent
    return place


def _exists(design: Design, place: Place) -> bool:
    if place[-1] in (JOINT, END) and (len(place) != 3 or place[0] != "runs"):
        return False
    return _at(design, owner(place)) is not None


def _at(design: Design, place: Place) -> object | None:
    """What is at a place, or None."""
    if any(isinstance(part, int) and part < 0 for part in place):
        return None
    try:
        return at(design, place)
    except (LookupError, AttributeError, TypeError):
        return None
