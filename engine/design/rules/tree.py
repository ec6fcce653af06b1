"""Rules of the tree of runs: one root, no ring, and what may meet at a joint."""

from __future__ import annotations

from collections import Counter

from engine.design import Design, Run, joins_as
from engine.design.mistake import Breach, Breaches, quoted

COLLECTOR = "collector"
_MOST_NAMED = 4


def tree(design: Design) -> Breaches:
    """Every run leads to the collector, which one run joins."""
    roots = [i for i, run in enumerate(design.runs) if run.joins == COLLECTOR]
    for i in roots[1:]:
        found = f'"{COLLECTOR}", which {named(design.runs[roots[0]])} joins already'
        yield Breach(("run", i, "joins"), found, "one run at the collector")
    if design.runs and not roots:
        yield Breach(("run",), "no run joins the collector", f'one run with joins = "{COLLECTOR}"')
    yield from _rings(design)


def _rings(design: Design) -> Breaches:
    # Of runs of one id the first counts: the second is a mistake already.
    parents = {run.id: run.joins for run in reversed(design.runs) if run.id != COLLECTOR}
    index = {run.id: i for i, run in reversed(list(enumerate(design.runs)))}
    seen: set[str] = set()
    for run in design.runs:
        way: dict[str, None] = {}
        at = run.id
        while at in parents and at not in seen:
            seen.add(at)
            way[at] = None
            at = parents[at]
        if at in way:
            ring = list(way)[list(way).index(at) :]
            names = ", ".join(quoted(name, 30) for name in ring[:_MOST_NAMED]) + (", ..." if len(ring) > _MOST_NAMED else "")
            yield Breach(("run", index[at], "joins"), f"a ring of {len(ring)} runs: {names}", "runs that lead to the collector")


def named(run: Run) -> str:
    """The run's id for a message; a run whose id could not be read has none."""
    return quoted(run.id) if run.id is not None else "another run"


def ways_of_joining(design: Design) -> Breaches:
    """The first run goes straight on; only branches and legs have an angle and a way they leave."""
    for i, run in enumerate(design.runs):
        kind = joins_as(run)
        if run.joins == COLLECTOR and kind != "straight":
            yield Breach(("run", i, "as"), f'"{kind}" at the collector', '"straight"')
        if kind == "straight":
            for key, value in (("angle", run.angle), ("toward", run.toward)):
                if value is not None:
                    yield Breach(("run", i, key), f"{key} of a run that joins straight on", f'{key} only with as = "branch" or "leg"')


def joints(design: Design) -> Breaches:
    """At the end of a run: a port, or at most one run straight on and branches, or two legs."""
    meeting: dict[str, list[int]] = {}
    for i, run in enumerate(design.runs):
        if run.joins != COLLECTOR:
            meeting.setdefault(run.joins, []).append(i)
    for i, run in enumerate(design.runs):
        if run.ends is not None and run.id in meeting:
            found = f"a port, where {named(design.runs[meeting[run.id][0]])} joins too"
            yield Breach(("run", i, "ends"), found, "either a port or runs at its end: give the port a run of its own")
    for parent, indices in meeting.items():
        straight = [i for i in indices if joins_as(design.runs[i]) == "straight"]
        legs = [i for i in indices if joins_as(design.runs[i]) == "leg"]
        for i in straight[1:]:
            key = "as" if design.runs[i].as_ else "joins"
            yield Breach(
                ("run", i, key), f"straight on from {quoted(parent)}, like {named(design.runs[straight[0]])}", "at most one straight at a joint"
            )
        if legs and (len(legs) != 2 or len(indices) != 2):
            yield Breach(
                ("run", legs[0], "as"),
                f"{len(legs)} of {len(indices)} runs at the end of {quoted(parent)} are legs",
                "two legs and nothing else at a Y",
            )


def lone_runs(design: Design) -> Breaches:
    """Where one run meets no other nothing drags its air along: its joint can only cost."""
    together = Counter(run.joins for run in design.runs)
    for i, run in enumerate(design.runs):
        if run.loss is not None and run.loss < 0 and together[run.joins] == 1:
            yield Breach(("run", i, "loss"), f"{run.loss:g} where no other run joins", "0 or more: only another stream can drag the air along")
