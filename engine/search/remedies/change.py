"""One change to a design that someone could make: what it is called, what it touches, how much work it is, and the edit."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from math import degrees

from engine.catalog.joining import practice
from engine.catalog.limits import under
from engine.checks.look import Look
from engine.design import Collector, Design, Leakage, Piece, Run, Straight, stock_sizes, system
from engine.design.meaning import pipe_stock
from engine.design.names import label
from engine.design.places import PieceAt, run_place
from engine.edits import EditError
from engine.search.quantities import length_up
from engine.space.fitted import fitted_runs
from engine.values import dataclass

Edit = Callable[[Design], Design]
# ("run", index of a piece), ("run", "size"), ("gate set", name): what one change at a time may touch.
Touch = tuple[str, str | int]

# In front of all pieces of a run.
IN_FRONT = -1


@dataclass(frozen=True, slots=True)
class Change:
    """A single change. `edit` raises EditError where the design it is given has not got what it changes.

    Two changes whose `touches` meet are alternatives. `work` is in fittings
    exchanged (judgement, see `weights`). `note` says what it asks for beyond
    the ducts, or for how long it lasts. `upkeep`: it changes nothing that was
    built.
    """

    title: str
    touches: frozenset[Touch]
    work: float
    edit: Edit
    note: str = ""
    upkeep: bool = False

    def meets(self, other: Change) -> bool:
        """Whether both touch the same piece."""
        return not self.touches.isdisjoint(other.touches)


def change(title: str, touches: Iterable[Touch], work: float, *edits: Edit, note: str = "", upkeep: bool = False) -> Change:
    """A change that makes several edits, one after another; `work` in fittings exchanged."""

    def edit(design: Design) -> Design:
        for one in edits:
            design = one(design)
        return design

    return Change(title, frozenset(touches), work, edit, note, upkeep)


def on_run(run_id: str, edit: Callable[[Run], Run]) -> Edit:
    """An edit of the run of this id. It raises EditError where there is none."""

    def edit_run(design: Design) -> Design:
        if all(run.id != run_id for run in design.runs):
            raise EditError(f"there is no run {run_id}")
        return replace(design, runs=tuple(edit(run) if run.id == run_id else run for run in design.runs))

    return edit_run


def on_collector(edit: Callable[[Collector], Collector]) -> Edit:
    """An edit of the collector."""
    return lambda design: replace(design, collector=edit(design.collector))


def on_leakage(edit: Callable[[Leakage], Leakage]) -> Edit:
    """An edit of how tight the ducts are."""
    return lambda design: replace(design, leakage=edit(design.leakage))


def with_size(run: Run, size: str) -> Edit:
    """An edit that gives a run another stocked size; its hoses stay as they are."""
    return on_run(run.id, lambda now: replace(now, size=size))


def with_pieces(run: Run, new: Mapping[int, tuple[Piece, ...]]) -> Edit:
    """An edit that puts pieces in place of those at some indices of `run`; IN_FRONT puts them in front of all.

    The pieces are found again by themselves, so that it holds after another
    change has moved them; EditError where one is gone.
    """
    # Of one piece that stands there several times, which.
    wanted = [
        (run.pieces[i], sum(other is run.pieces[i] for other in run.pieces[:i]), pieces)
        for i, pieces in new.items() if i != IN_FRONT
    ]  # fmt: skip

    def edit(now: Run) -> Run:
        put_in: dict[int, tuple[Piece, ...]] = {}
        for piece, which, pieces in wanted:
            spots = [i for i, other in enumerate(now.pieces) if other is piece]
            if which >= len(spots):
                raise EditError(f"{run.id} has no such piece any more")
            put_in[spots[which]] = pieces
        kept = (one for i, piece in enumerate(now.pieces) for one in put_in.get(i, (piece,)))
        return replace(now, pieces=(*new.get(IN_FRONT, ()), *kept))

    return on_run(run.id, edit)


def with_room(look: Look, run: Run) -> Edit:
    """An edit that makes the straights of a run longer for which a change of it leaves too little between fittings to be cut."""
    before = _lacks(look.design, run.id)

    def edit(design: Design) -> Design:
        now = next(one for one in design.runs if one.id == run.id)
        longer = {
            i: (Straight(length=length_up(piece.length.si + lack, system(design))),)
            for i, (piece, lack) in enumerate(zip(now.pieces, _lacks(design, run.id), strict=True))
            if lack and isinstance(piece, Straight) and not any(piece is old and short for old, short in zip(run.pieces, before, strict=True))
        }  # fmt: skip
        return with_pieces(now, longer)(design) if longer else design

    return edit


def _lacks(design: Design, run_id: str) -> list[float]:
    """How much pipe the fittings beside each piece of a run leave too little of to be cut, m; nothing where it is enough, or no straight."""
    run, pipes = next(one for one in design.runs if one.id == run_id), fitted_runs(design)[run_id].pipes
    stock = pipe_stock(run, stock_sizes(design))
    shortest = stock.shortest.si if stock and stock.shortest else practice().shortest
    return [shortest - pipes[i].seen if i in pipes and under(pipes[i].seen, shortest) else 0.0 for i in range(len(run.pieces))]


def touches_of(run: Run, *what: str | int) -> set[Touch]:
    """What a change of these pieces or sides of a run touches."""
    return {(run.id, one) for one in what}


def title_of(look: Look, run: Run, index: int) -> str:
    """A piece as a title begins: "planer drop: elbow 2"."""
    piece, run_name = label(look.design, PieceAt(run_place(look.design, run.id).run, index)).split(" of ", 1)
    return f"{run_name}: {piece}"


def in_degrees(radians: float) -> str:
    """An angle for a title."""
    return f"{degrees(radians):.0f} deg"
