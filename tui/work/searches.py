"""The long searches by what they are given, so that a process of its own can be told what to do: nothing is loaded before it is done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from engine.design import Design
from engine.search.proposals import Step
from engine.units.words import counted


def sizes(design: Design, throttled: bool) -> Iterator[Step]:
    """A size of the store for every run; `throttled`: for a shop that throttles every gate."""
    from engine.search import sizing

    return sizing.sizes(design, throttled=throttled)


def layouts(design: Design) -> Iterator[Step]:
    """Layouts in place of the ducts there are; each step says how many there are."""
    from engine.search.layouts.proposing import drafts

    for step in drafts(design):
        count = len(step.proposals)
        yield replace(step, said=f"{counted(count, 'layout')} drafted") if count else step


def spots(design: Design, spacing: float) -> Iterator[Step]:
    """Where the collector could stand, in spots so far apart, m; a step that says why where there is nothing to study."""
    from engine.search.placement import NoStudy, placements

    try:
        yield from placements(design, spacing=spacing)
    except NoStudy as reason:
        yield Step(1, 1, str(reason), ())
