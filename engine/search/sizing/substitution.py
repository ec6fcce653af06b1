"""A size the store has not got: what to take instead, and what that does to speeds, flows, price and findings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from engine.checks.assess import Assessment, assess
from engine.design import Design, Run, Stock, stock_sizes
from engine.design.meaning import stays
from engine.edits import EditError
from engine.edits.resizing import resized
from engine.search.proposals import Step, standing
from engine.search.remedies.change import Change, Edit, change, on_run, touches_of
from engine.search.remedies.remedy import Remedy, remedy_of
from engine.search.remedies.weights import work
from engine.units.words import counted
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Shift:
    """A figure of a run or port in a gate set, before and after: speed in m/s, loss in Pa, or flow in m3/s."""

    what: str
    gate_set: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Substitute(Remedy):
    """A size instead of another: the speed and loss of each run that has it, and the flow of each machine at work, by gate set."""

    size: str
    speeds: tuple[Shift, ...]
    losses: tuple[Shift, ...]
    flows: tuple[Shift, ...]


def substitutes(design: Design, what: str, assessment: Assessment | None = None) -> Iterator[Step]:
    """What could be taken instead of a stock size, or of the size of one run, best first; a `Substitute` a proposal.

    Raises EditError where `what` is no stock size and no run, where nothing
    is made of it, or where the store has no other size of its kind.
    """
    before = assessment or assess(design)
    runs, size = _runs_and_size(design, what)
    others = _other_sizes(design, size)
    if not others:
        raise EditError(f"the store has no other pipe than {size}")
    was = standing(before)
    found: list[Substitute] = []
    for done, other in enumerate(others, 1):
        made = _change(design, runs, size, other, *([_in_store(size, has=False)] if what == size else []))
        after = assess(made.edit(design), before)
        found.append(_substitute(remedy_of([made], after, before, was), other, runs, before, after))
        found.sort(key=lambda one: one.standing.rank)
        yield Step(done, len(others), f"{other} for {size}", tuple(found))
    yield Step(
        len(others), len(others), f"instead of {size} in {counted(len(runs), 'run')}: {counted(len(others), 'size')} tried, best first", tuple(found)
    )


def gains(design: Design, size: str, assessment: Assessment | None = None) -> Iterator[Step]:
    """What a size that no run has would bring: taken instead of each size that runs have of its kind, and for each run alone, best first.

    Taken, it is one that the store has. Raises EditError where `size` is none of the stock, or no run could have it.
    """
    before, sizes = assessment or assess(design), stock_sizes(design)
    if size not in sizes:
        raise EditError(f"{size!r} is no size of the stock")
    was, kind = standing(before), sizes[size][0].kind
    alone = [(run.size, (run,)) for run in design.runs if run.size and run.size != size and sizes[run.size][0].kind == kind and not stays(run)]
    alike = {ref: tuple(run for _, (run,) in alone if run.size == ref) for ref, _ in alone}
    tried = [*((ref, made) for ref, made in alike.items() if len(made) > 1), *alone]
    if not tried:
        raise EditError(f"no run is of pipe that {size} could stand for")
    found: list[Substitute] = []
    for done, (ref, made) in enumerate(tried, 1):
        changed = _change(design, made, ref, size, _in_store(size, has=True))
        after = assess(changed.edit(design), before)
        found.append(_substitute(remedy_of([changed], after, before, was), size, made, before, after))
        found.sort(key=lambda one: one.standing.rank)
        yield Step(done, len(tried), f"{size} for {ref}", tuple(found))
    yield Step(len(tried), len(tried), f"{size}, if it were bought: {counted(len(tried), 'place')} tried for it, best first", tuple(found))


def _runs_and_size(design: Design, what: str) -> tuple[tuple[Run, ...], str]:
    """The runs that are to change, and the size they have."""
    if what in stock_sizes(design):
        runs = tuple(run for run in design.runs if run.size == what and not stays(run))
        if not runs:
            raise EditError(f"no run is made of {what} that may change")
        return runs, what
    run = next((run for run in design.runs if run.id == what), None)
    if run is None:
        raise EditError(f"{what!r} is no size of the stock, such as {next(iter(stock_sizes(design)), 'spiral/125')}, and no run")
    if run.size is None:
        raise EditError(f"{run.id} is of no stocked size: its bore is given")
    return (run,), run.size


def _other_sizes(design: Design, size: str) -> list[str]:
    """Every other size of pipe the store has, the nearest bores first, those of the same family before others."""
    sizes = stock_sizes(design)
    stock, own = sizes[size]
    found = [
        (name, other, one) for name, (other, one) in sizes.items()
        if name != size and other.kind == stock.kind and one.in_store is not False
    ]  # fmt: skip
    found.sort(key=lambda row: (row[1].id != stock.id, abs(row[2].bore.si - own.bore.si)))
    return [name for name, _, _ in found]


def _change(design: Design, runs: Sequence[Run], size: str, other: str, *stocked: Edit) -> Change:
    """The runs in another size, their hoses along, and what the store has then."""
    sizes = stock_sizes(design)
    edits = [_with_size(resized(design, run, other)) for run in runs]
    where = counted(len(runs), "run") if len(runs) > 1 else runs[0].id
    note = "" if sizes[other][0].id == sizes[size][0].id else "of another family: see that it mates"
    touches = {touch for run in runs for touch in touches_of(run, "size")}
    return change(f"{other} for {size}: {where}", touches, work("run_in_another_size") * len(runs), *edits, *stocked, note=note)


def _with_size(made: Run) -> Edit:
    return on_run(made.id, lambda now: replace(now, size=made.size, pieces=made.pieces))


def _in_store(size: str, *, has: bool) -> Edit:
    """An edit that notes whether the store has a size."""

    def noted(stock: Stock) -> Stock:
        return replace(stock, sizes=tuple(
            replace(one, in_store=has) if f"{stock.id}/{one.nominal}" == size and (one.in_store is not False) != has else one
            for one in stock.sizes
        ))  # fmt: skip

    return lambda design: replace(design, stock=tuple(map(noted, design.stock)))


def _substitute(made: Remedy, size: str, runs: Sequence[Run], before: Assessment, after: Assessment) -> Substitute:
    speeds, losses, flows = [], [], []
    for old, new in zip(before.sets, after.sets, strict=True):
        if not (old.balance and new.balance):
            continue
        name = old.gate_set.name
        for run in runs:
            was, now = old.balance.runs[run.id], new.balance.runs[run.id]
            if was.carries and now.carries:
                speeds.append(Shift(run.id, name, was.velocity, now.velocity))
                losses.append(Shift(run.id, name, was.loss, now.loss))
        for port, state in old.balance.ports.items():
            if port in new.balance.ports:
                flows.append(Shift(port, name, state.flow, new.balance.ports[port].flow))
    return Substitute(
        made.title, made.reason, made.design, made.standing, made.changes, made.effect,
        size=size, speeds=tuple(speeds), losses=tuple(losses), flows=tuple(flows),
    )  # fmt: skip
