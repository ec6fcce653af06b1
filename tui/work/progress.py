"""How far the work on the ducts has come: bought, cut, hung, tested, marked at the selection."""

from __future__ import annotations

from engine import edits
from engine.design import STATES, defaults
from engine.design.meaning import work_on
from engine.design.places import OfRun, PieceAt, at, run_place
from tui.work.document import Document


def next_state(document: Document) -> str:
    """Mark the selected piece, or the run of what is selected, with the next state of work; behind the last comes the first. What it is marked."""
    place, run = document.selection, document.selected_run
    assert run is not None and isinstance(place, OfRun)  # or the command would have been refused
    piece = at(document.design, place) if isinstance(place, PieceAt) else None
    marked = place if piece else run_place(document.design, run.id)
    states = STATES[STATES.index(work_on(run)) :] if piece else STATES
    state = states[(states.index(work_on(run, piece)) + 1) % len(states)]
    written = None if state == states[0] and (piece or state == defaults.STATE) else state
    document.apply(f"{edits.label(document.design, marked)} {state}", edits.set_field(document.design, marked, "state", written))
    return state


def why_no_state(document: Document | None) -> str | None:
    """Why nothing can be marked."""
    return None if document and document.selected_run is not None else "select a run or a piece to mark as bought, cut, hung or tested"
