"""A size looked at before it is taken: which runs would have it, and what that would do. Knows nothing of the screen."""

from __future__ import annotations

from dataclasses import dataclass

from engine.assess import Assessment, assess
from engine.design import Design, Run, stock_sizes, system
from engine.edits import at, set_field
from engine.places import Place
from engine.proposals import standing
from engine.resizing import all_of, main_of, with_size
from engine.units import number_text, unit_name

ONE, MAIN, ALL = "this run", "whole main", "all of its size"


@dataclass(frozen=True, slots=True)
class SizePreview:
    """A candidate `ref` for the size at `place`; `design` is the one with it, for the runs of `scope`."""

    place: Place
    before: str
    ref: str
    in_store: bool
    scope: str
    runs: tuple[str, ...]
    design: Design
    effect: str

    @property
    def name(self) -> str:
        """The step's name."""
        what = self.runs[0] if len(self.runs) == 1 else f"{len(self.runs)} runs"
        return f"size of {what}: {self.ref}"


def stepped(design: Design, ref: str, by: int) -> str | None:
    """The next larger (1) or smaller (-1) size of the same stock; None when there is none."""
    sizes = stock_sizes(design)
    if ref not in sizes:
        return None
    stock, present = sizes[ref]
    bores = sorted(stock.sizes, key=lambda size: (size.bore.si, size.nominal))
    index = bores.index(present) + by
    return f"{stock.id}/{bores[index].nominal}" if 0 <= index < len(bores) else None


def preview(design: Design, assessment: Assessment, gate_set: int, place: Place, ref: str, scope: str = ONE) -> SizePreview:
    """What a size would do at a run or a hose, solved; figures of the run are of the gate set at an index."""
    item, run = at(design, place), at(design, place[:2])
    runs = _runs(design, item, scope)
    after = with_size(design, runs, ref) if isinstance(item, Run) else set_field(design, place, "size", ref)
    in_store = stock_sizes(design)[ref][1].in_store is not False
    effect = _effect(assessment, assess(after, assessment), gate_set, run.id)
    return SizePreview(place, item.size, ref, in_store, scope, runs, after, effect)


def _runs(design: Design, item: object, scope: str) -> tuple[str, ...]:
    if not isinstance(item, Run) or scope == ONE:
        return (getattr(item, "id", "hose"),)
    return main_of(design, item.id) if scope == MAIN else all_of(design, item.size)


def scopes(design: Design, place: Place) -> dict[str, str]:
    """Key -> scope: the other runs that may take the size along, where there are such."""
    item = at(design, place)
    if not isinstance(item, Run):
        return {}
    found = {}
    if len(whole := main_of(design, item.id)) > 1:
        found["m"] = MAIN
    if set(every := all_of(design, item.size)) != set(whole) and len(every) > 1:
        found["a"] = ALL
    return found


def _effect(before: Assessment, after: Assessment, index: int, run: str) -> str:
    """Old -> new of the run's speed and loss, of what the neediest gets, of faults and cautions."""
    units, parts = system(before.design), []
    old, new = (assessment.sets[index].balance for assessment in (before, after))
    if old and new and old.runs[run].carries and new.runs[run].carries:
        for name, figure, dimension in (("speed", "velocity", "speed"), ("loss", "loss", "pressure")):
            texts = (number_text(getattr(balance.runs[run], figure), dimension, units) for balance in (old, new))
            parts.append(f"{name} {_moved(*texts)} {unit_name(dimension, units)}")
    was, will = standing(before), standing(after)
    shares = ("no answer" if share is None else f"{100 * share:.0f} %" for share in (was.share, will.share))
    parts.append(f"neediest {_moved(*shares)}")
    parts.append(f"faults {_moved(str(was.faults), str(will.faults))}, cautions {_moved(str(was.cautions), str(will.cautions))}")
    return "; ".join(parts)


def _moved(before: str, after: str) -> str:
    return before if before == after else f"{before} -> {after}"
