"""Changes of bore: a run, or a main as far as a run or from it onward, in the next size that the store has."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.checks.look import Look
from engine.design import Run
from engine.search.remedies.change import Change, change, touches_of, with_size
from engine.search.remedies.sizes import next_size
from engine.search.remedies.weights import work


def runs(look: Look) -> Iterator[Change]:
    """Each run in the next larger and the next smaller size."""
    for run in look.design.runs:
        for way in (+1, -1):
            yield from _resize(look, (run,), way, run.id)


def mains(look: Look) -> Iterator[Change]:
    """Several runs of a main at once: those up to a run one size larger, those from it onward one size smaller, and all of them."""
    serving = [duct for duct in look.tree.runs if look.served[duct.run] > 1]
    inward: dict[str, list[Run]] = {}
    for duct in serving:
        inner = inward[look.tree.runs[duct.parent].run] if duct.parent >= 0 else []
        inward[duct.run] = [*inner, look.runs[duct.run]]
    whole = [look.runs[duct.run] for duct in serving]
    for run, way_in in inward.items():
        onward = [look.runs[other] for other, inner in inward.items() if look.runs[run] in inner]
        first = len(way_in) == 1
        if len(onward) > 1:
            yield from _resize(look, onward, -1, "the whole main" if first else f"main from {run} on")
        if 1 < len(way_in) < len(whole):
            yield from _resize(look, way_in, +1, f"main up to {run}")
    if len(whole) > 1:
        yield from _resize(look, whole, +1, "the whole main")


def _resize(look: Look, group: Sequence[Run], way: int, name: str) -> Iterator[Change]:
    """Those runs of a group that can be, one size larger (+1) or smaller (-1); nothing where none can."""
    sizes = [(run, size) for run in group if (size := next_size(look, run, way))]
    if not sizes:
        return
    steps = {(run.size, size) for run, size in sizes}
    if len(steps) == 1:
        [(before, after)] = steps
        what = f"{before} -> {after}"
    else:
        what = f"each run one size {'larger' if way > 0 else 'smaller'}"
    touches = {touch for run, _ in sizes for touch in touches_of(run, "size")}
    edits = [with_size(run, size) for run, size in sizes]
    yield change(f"{name}: {what}", touches, work("run_in_another_size") * len(sizes), *edits)
