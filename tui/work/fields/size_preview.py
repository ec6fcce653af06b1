"""A size looked at before it is taken: which runs would have it, and what that would do. Knows nothing of the screen."""

from __future__ import annotations

from collections.abc import Iterator

from engine.air.one.balance import part_losses
from engine.checks.assess import Assessment, assess
from engine.design import Design, Hose, Run, stock_sizes, system
from engine.design.places import DESIGN, PieceAt, Place, RunAt
from engine.edits import at, label, set_field
from engine.edits.resizing import all_of, main_of, with_size
from engine.parts.touched import touched
from engine.search.proposals import Standing, standing
from engine.units import number_text, unit_name
from engine.units.words import share_text
from engine.values import dataclass

ONE, MAIN, ALL = "this one", "whole main", "all"


@dataclass(frozen=True, slots=True)
class SizePreview:
    """A candidate `ref` for the size at `place`; `design` is the one with it, for the runs of `scope`.

    `name` is the step's; `effect` tells old -> new of each figure that matters, `outcome` in short how the design then stands.
    """

    place: Place
    before: str
    ref: str
    in_store: bool
    scope: str
    runs: tuple[str, ...]
    name: str
    design: Design
    effect: tuple[str, ...]
    outcome: str

    @property
    def label(self) -> str:
        """Which runs take it, in a few words."""
        if self.scope == ONE:
            return "this run" if isinstance(self.place, RunAt) else "this hose"
        return f"all {self.before.partition('/')[2]}" if self.scope == ALL else self.scope


def stepped(design: Design, ref: str, by: int) -> str | None:
    """The next larger (1) or smaller (-1) size of the same stock; None when there is none."""
    sizes = stock_sizes(design)
    if ref not in sizes:
        return None
    stock, present = sizes[ref]
    bores = sorted(stock.sizes, key=lambda size: (size.bore.si, size.nominal))
    index = bores.index(present) + by
    return f"{stock.id}/{bores[index].nominal}" if 0 <= index < len(bores) else None


def why_no_size(design: Design, place: Place) -> str | None:
    """Why what stands at a place has no stocked size to step, in a line."""
    match at(design, place):
        case Run() as run if run.size is None:
            own = f" of its own, {run.bore.text}" if run.bore else " of its own"
            return f"{run.id} has a bore{own}: give it a stock size first"
        case Hose() as hose if hose.size is None:
            return "this hose has its run's bore: give it a stock size first"
        case Run() | Hose():
            return None
    return "no stock size to step here: select a run or a hose"


def preview(design: Design, assessment: Assessment, gate_set: int, place: Place, ref: str, scope: str = ONE) -> SizePreview:
    """What a size would do at a run or a hose, solved; figures of the run are of the gate set at an index. `assessment` is of `design`."""
    item = at(design, place)
    runs = _runs(design, item, scope)
    after = with_size(design, runs, ref) if isinstance(item, Run) else set_field(design, place, "size", ref)
    in_store = stock_sizes(design)[ref][1].in_store is not False
    name = f"size of {label(design, place) if scope == ONE else f'{len(runs)} runs'}: {ref}"
    will = assess(after, assessment)
    work = tuple(filter(None, (touched(design, after).in_words,)))
    effect = (*work, *_effect(assessment, will, gate_set, place if scope == ONE else DESIGN))
    return SizePreview(place, item.size, ref, in_store, scope, runs, name, after, effect, "; ".join((_outcome(will), *work)))


def _runs(design: Design, item: Run | Hose, scope: str) -> tuple[str, ...]:
    if not isinstance(item, Run):
        return ()
    return {ONE: (item.id,), MAIN: main_of(design, item.id), ALL: all_of(design, item.size or "")}[scope]


def along(design: Design, assessment: Assessment, gate_set: int, shown: SizePreview) -> dict[str, SizePreview]:
    """Key -> what the same size would do where more runs take it: those of the whole main, all of the size; only where there are such."""
    if not isinstance(at(design, shown.place), Run):
        return {}
    run = at(design, shown.place)
    whole, every = (set(_runs(design, run, scope)) for scope in (MAIN, ALL))
    more = {"M": MAIN} if len(whole) > 1 else {}
    more |= {"A": ALL} if len(every) > 1 and every != whole else {}
    return {key: preview(design, assessment, gate_set, shown.place, shown.ref, scope) for key, scope in more.items()}


def _effect(before: Assessment, after: Assessment, index: int, place: Place) -> tuple[str, ...]:
    """Old -> new of the speed and loss at a place, none for the design; of what the neediest machine gets, of sets that pass, faults and cautions."""
    was, will = standing(before), standing(after)
    passing = f"{_moved(*(str(_passing(assessment)) for assessment in (before, after)))} of {len(after.sets)} sets pass"
    counts = [
        f"{word} {_moved(str(old), str(new))}" for word, old, new in (("faults", was.faults, will.faults), ("cautions", was.cautions, will.cautions))
    ]
    return (*_hoses(before.design, after.design, place), *_figures(before, after, index, place), f"neediest {_neediest(was, will)}", passing, *counts)


def _hoses(before: Design, after: Design, place: Place) -> Iterator[str]:
    """The sizes of hoses that go along with the run at a place."""
    if isinstance(place, RunAt):
        for old, new in zip(at(before, place).pieces, at(after, place).pieces, strict=True):
            if isinstance(old, Hose) and old.size != new.size:
                yield f"with it {old.size} -> {new.size}"


def _passing(assessment: Assessment) -> int:
    """How many gate sets are free of faults of their own: of conditions that fold, one may show in many."""
    return sum(assessment.passes(result) for result in assessment.sets)


def _outcome(after: Assessment) -> str:
    will, passing = standing(after), f"{_passing(after)} of {len(after.sets)} sets pass"
    return f"neediest {share_text(will.share)}, {passing}, faults {will.faults}, cautions {will.cautions}"


def _neediest(was: Standing, will: Standing) -> str:
    """Which machine gets the least of its need, and how much of it."""
    old, new = (found.port.partition("/")[0] for found in (was, will))
    if old != new:
        return _moved(f"{old} {share_text(was.share)}".strip(), f"{new} {share_text(will.share)}".strip())
    moved = _moved(share_text(was.share), share_text(will.share))
    return f"{old} {moved.replace(' %', '', moved.count('%') - 1)}".strip()


def _figures(before: Assessment, after: Assessment, index: int, place: Place) -> Iterator[str]:
    """Speed and loss of a run, loss of a hose, in the gate set at an index."""
    if not isinstance(place, RunAt | PieceAt):
        return
    run, units = before.design.runs[place.run].id, system(before.design)
    balances = [balance for assessment in (before, after) if (balance := assessment.sets[index].balance)]
    if len(balances) < 2:
        yield "no answer in this gate set"
    elif not all(balance.runs[run].carries for balance in balances):
        yield "no air in this gate set"
    elif isinstance(place, RunAt):
        for name, figure, dimension in (("speed", "velocity", "speed"), ("loss", "loss", "pressure")):
            yield _changed(name, [getattr(balance.runs[run], figure) for balance in balances], dimension, units)
    else:
        losses = (part_losses(assessment.tree, balance, run) for assessment, balance in zip((before, after), balances, strict=True))
        yield _changed("hose loss", [sum(loss.drop for loss in parts if loss.part == place.piece) for parts in losses], "pressure", units)


def _changed(name: str, values: list[float], dimension: str, units: str) -> str:
    return f"{name} {_moved(*(number_text(value, dimension, units) for value in values))} {unit_name(dimension, units)}"


def _moved(before: str, after: str) -> str:
    return before if before == after else f"{before} -> {after}"
