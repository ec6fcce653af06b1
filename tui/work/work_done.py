"""What an edit does to the work that is done: the marks that are still true go with it."""

from __future__ import annotations

from dataclasses import replace

from engine.design import Design, Run
from engine.parts.touched import Touched, touched


def settled(since: Design, here: Design, after: Design) -> Touched:
    """`after` with the marks that are still true; `here` is the design as it is, `since` that before the step it becomes part of.

    What a step took down hangs again once it is put back as it was.
    """
    found = touched(since, after)
    if since is not here and not found.in_words and touched(since, here).in_words:
        return Touched(_marked_as(since, after))
    return found


def _marked_as(since: Design, after: Design) -> Design:
    """A design of the same parts with the marks of another."""
    known = {run.id: run for run in since.runs}
    return replace(after, left_over=since.left_over, runs=tuple(_marked_run(known.get(run.id), run) for run in after.runs))


def _marked_run(old: Run | None, run: Run) -> Run:
    if old is None or len(old.pieces) != len(run.pieces):
        return run
    pieces = tuple(replace(piece, state=was.state) for was, piece in zip(old.pieces, run.pieces, strict=True))
    return replace(run, state=old.state, pieces=pieces)
