"""How far the work on the ducts has come: bought, cut, hung, tested, marked at the selection, at the collector for all of them."""

from __future__ import annotations

from dataclasses import replace

from engine import edits
from engine.design import STATES, Design, defaults
from engine.design.meaning import work_on
from engine.design.places import COLLECTOR, OfRun, PieceAt, RunAt, at, put, run_place
from tui.work.document import Document, Refused


def next_state(document: Document) -> str:
    """Mark the selected piece, or the run of what is selected, with the next state of work; behind the last comes the first. What it is marked.

    At the collector every run that is not so far yet gets the next state of the one that is behind. Raises Refused where all are tested.
    """
    if document.selection == COLLECTOR:
        return _next_state_of_all(document)
    place, run = document.selection, document.selected_run
    assert run is not None and isinstance(place, OfRun)  # or the command would have been refused
    piece, its_run = at(document.design, place) if isinstance(place, PieceAt) else None, run_place(document.design, run.id)
    marked = place if piece else its_run
    least = work_on(run) if piece and STATES.index(work_on(run, piece)) >= STATES.index(work_on(run)) else STATES[0]
    states = STATES[STATES.index(least) :]
    state = states[(states.index(work_on(run, piece)) + 1) % len(states)]
    written = None if state == (work_on(run) if piece else defaults.STATE) else state
    after = edits.set_field(document.design, marked, "state", written)
    document.apply(f"{edits.label(document.design, marked)} {state}", after if piece else _with_pieces_along(after, its_run, state))
    return state


def _next_state_of_all(document: Document) -> str:
    design = document.design
    behind = min(STATES.index(work_on(run)) for run in design.runs)
    if behind == len(STATES) - 1:
        raise Refused(f"every run is {STATES[-1]}")
    state = STATES[behind + 1]
    for run in design.runs:
        if STATES.index(work_on(run)) == behind:
            place = run_place(design, run.id)
            design = _with_pieces_along(edits.set_field(design, place, "state", state), place, state)
    document.apply(f"every run {state}", design)
    return f"every run {state} that was not"


def _with_pieces_along(design: Design, place: RunAt, state: str) -> Design:
    """The design with the pieces of a run as far as it is marked, those that are farther as they are."""
    run = at(design, place)
    far = STATES.index(state)
    pieces = tuple(replace(piece, state=None) if piece.state and STATES.index(piece.state) <= far else piece for piece in run.pieces)
    return put(design, place, replace(run, pieces=pieces))


def why_no_state(document: Document | None) -> str | None:
    """Why nothing can be marked."""
    if document and (document.selected_run is not None or (document.selection == COLLECTOR and document.design.runs)):
        return None
    return "select a run, a piece, or the collector for every run, to mark as bought, cut, hung or tested"
