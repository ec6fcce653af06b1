"""Edits: pure functions from a design to the design after the edit.

An edit keeps a consistent design consistent, or raises EditError with the
reason in one line. Only `set_field`, `set_fields` and `insert` take what they
are given; whoever calls them asks `engine.design.rules.consistency` about the outcome.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from engine.design import (
    Design,
    Gate,
    Hose,
    Piece,
    Run,
    Straight,
    bore_of,
    children_of,
    joins_as,
    stock_sizes,
)  # fmt: skip
from engine.design.meaning import SAME_BORE, beyond, pipe_stock
from engine.design.mistake_words import in_words
from engine.design.names import NAME_FIELD, Changes, fresh_name, label, name_beyond, names_of, names_taken, with_references
from engine.design.places import (
    ROOM,
    RUNS,
    CornerAt,
    CurvePointAt,
    OfRun,
    PieceAt,
    Place,
    Row,
    Rows,
    RunAt,
    at,
    put,
    run_place,
)  # fmt: skip
from engine.design.rules.consistency import mistakes
from engine.design.rules.room import FEWEST_CORNERS
from engine.edits.dependents import along, as_branch, joint_settled, lone_legs_as_branches, records_beyond, without_idle_tapers
from engine.edits.new_items import new_item, new_piece, room_around
from engine.edits.refusal import EditError
from engine.space.lay import length_of

__all__ = [
    "EditError",
    "add_branch",
    "at",
    "beyond",
    "delete",
    "duplicate",
    "fresh_name",
    "insert",
    "label",
    "move",
    "names_taken",
    "new_item",
    "new_piece",
    "reattach",
    "room_around",
    "run_place",
    "set_field",
    "set_fields",
]  # fmt: skip

# ---- any thing


def set_field(design: Design, place: Place, field: str, value: Any) -> Design:
    """Give a field of the thing at `place` a value.

    Every reference follows a new name, and what depends on the field changes
    along with it, by the rules of `engine.edits.dependents`. The design may
    then be inconsistent.
    """
    changed = set_fields(design, place, {field: value, **along(design, at(design, place), field, value)})
    return joint_settled(changed, place) if isinstance(place, RunAt) and field == "as_" else changed


def set_fields(design: Design, place: Place, values: dict[str, Any]) -> Design:
    """Give several fields of one thing their values at once, and no others; every reference follows a new name."""
    item = at(design, place)
    changed = put(design, place, replace(item, **values))
    if NAME_FIELD.get(type(item)) not in values:
        return changed
    before, after = names_of(design, place), names_of(changed, place)
    renamed: Changes = {kind: dict(zip(before[kind], after[kind], strict=True)) for kind in before}
    return with_references(changed, renamed)


def insert(design: Design, place: Row, item: Any) -> Design:
    """Put `item` into a list so that it then stands at `place`, the rest moving on."""
    rows, index = at(design, place.rows), place.index
    return put(design, place.rows, (*rows[:index], item, *rows[index:]))


def delete(design: Design, place: Place) -> Design:
    """Take away the thing at `place` with what cannot stand without it.

    The runs beyond a run go with it. Runs that ended at a machine's port are
    left open-ended, and gate sets forget the machine. Runs of a stock size keep
    its bore and material. A leg left alone becomes a branch. Walls of three
    corners go as a whole.
    """
    place = _row(design, place)
    if isinstance(place, CornerAt) and len(design.site.room) == FEWEST_CORNERS:
        return put(design, ROOM, ())
    if isinstance(place, RunAt):
        run = design.runs[place.run]
        gone = {run.id, *(other.id for other in beyond(design, run.id))}
        after = lone_legs_as_branches(replace(design, runs=tuple(run for run in design.runs if run.id not in gone)))
    else:
        names = names_of(design, place)
        after = _removed(_with_bores_for(design, set(names.get("stock size", ()))), place)
        after = with_references(after, {kind: dict.fromkeys(old) for kind, old in names.items()})
        after = without_idle_tapers(after)
    return _allowed(design, after, f"{label(design, place)} cannot be deleted")


def move(design: Design, place: Place, by: int) -> tuple[Design, Place]:
    """Move a row of a list by some steps, as far as the list goes; a run among the runs that join where it joins."""
    place = _row(design, place)
    rows, index = at(design, place.rows), place.index
    stops = [i for i, row in enumerate(rows) if not isinstance(row, Run) or row.joins == rows[index].joins]
    target = stops[min(max(stops.index(index) + by, 0), len(stops) - 1)]
    if target == index:
        return design, place
    there = place.rows.row(target)
    after = insert(_removed(design, place), there, rows[index])
    return _allowed(design, after, f"{label(design, place)} cannot be moved"), there


def duplicate(design: Design, place: Place) -> tuple[Design, Place]:
    """Put a copy behind the thing at `place`, with names of its own; a run's copy joins beside it as a branch, open-ended."""
    place = _row(design, place)
    item, there = at(design, place), place.beside(1)
    if isinstance(place, CornerAt | CurvePointAt):
        after = insert(design, there, new_item(design, there))
    elif isinstance(item, Run):
        after, there = _branch(design, item.joins, replace(item, ends=None, port_taper=None))
    else:
        after = insert(design, there, _named_afresh(design, place.rows, item))
    return _allowed(design, after, f"{label(design, place)} cannot be copied"), there


def _named_afresh(design: Design, rows: Rows, item: Any) -> Any:
    field = NAME_FIELD.get(type(item))
    if field is None:
        return item
    return replace(item, **{field: fresh_name(getattr(item, field), names_taken(design, rows, type(item)))})


def _row(design: Design, place: Place) -> Row:
    if not isinstance(place, Row):
        raise EditError(f"{label(design, place)} is not one of a list: it can only be changed")
    return place


def _allowed(before: Design, after: Design, refusal: str) -> Design:
    """`after`, unless it is inconsistent and `before` was not."""
    if (found := mistakes(after)) and not mistakes(before):
        raise EditError(f"{refusal}: {in_words(after, found[0])}")
    return after


def _removed(design: Design, place: Row) -> Design:
    rows, index = at(design, place.rows), place.index
    return put(design, place.rows, (*rows[:index], *rows[index + 1 :]))


def _with_bores_for(design: Design, sizes: set[str]) -> Design:
    """Write bore and material into the runs of these stock sizes, which are about to go."""
    if not sizes:
        return design
    stocked = stock_sizes(design)

    def own_pipe(run: Run) -> Run:
        bore = bore_of(run, stocked)
        for piece in run.pieces:
            if isinstance(piece, Hose) and piece.size in sizes and abs(stocked[piece.size][1].bore.si - bore) > SAME_BORE:
                raise EditError(f"the hose of {run.id} is {piece.size}: give it another size first")
        if run.size not in sizes:
            return run
        stock, size = stocked[run.size]
        return replace(run, size=None, bore=size.bore, material=stock.material)

    return replace(design, runs=tuple(own_pipe(run) for run in design.runs))


# ---- runs


def add_branch(design: Design, place: OfRun, name: str | None = None, size: str | None = None) -> tuple[Design, RunAt]:
    """Join a new, empty branch run at a run's far end or behind one of its pieces; gives the place of the branch.

    The run is split there where it goes on. Where the far end is taken by a
    port or a Y, the run is split before that: before its first gate, so that
    the branch is not shut with it, else before the last straight. The branch
    has the run's pipe unless `size` names another, and a name made from `name`.
    """
    run = design.runs[place.run]
    pipe = {"size": size} if size else {"size": run.size, "bore": run.bore, "material": run.material}
    freed = _with_end_free(design, RunAt(place.run), place.piece + 1 if isinstance(place, PieceAt) else None)
    after, there = _branch(freed, run.id, Run(id=name or f"{run.id} branch", joins=run.id, **pipe))
    return _allowed(design, after, f"no branch can join {run.id}"), there


def reattach(design: Design, place: RunAt, parent_id: str) -> tuple[Design, RunAt]:
    """Let a run, with all beyond it, join another run; straight on if it did and can, else as a branch."""
    run = at(design, place)
    if parent_id == run.joins:
        return design, place
    if parent_id == "collector":
        raise EditError("only one run joins the collector")
    if parent_id == run.id or any(parent_id == other.id for other in beyond(design, run.id)):
        raise EditError(f"{run.id} cannot join {parent_id}: that lies beyond it")
    freed = _with_end_free(design, run_place(design, parent_id))
    straight_on = joins_as(run) == "straight" and all(joins_as(child) == "branch" for child in children_of(freed)[parent_id])
    moved = replace(run, joins=parent_id) if straight_on else as_branch(replace(run, joins=parent_id))
    there = run_place(freed, run.id)
    after = lone_legs_as_branches(put(freed, there, moved))
    return _allowed(design, after, f"{run.id} cannot join {parent_id}"), there


def _branch(design: Design, parent_id: str, run: Run) -> tuple[Design, RunAt]:
    """Join `run` to a run as a branch, with fresh names, listed behind what branches off there already and before what goes on."""
    if parent_id == "collector":
        raise EditError("only one run joins the collector")
    design = _with_end_free(design, run_place(design, parent_id))
    branch = _named_afresh(design, RUNS, as_branch(replace(run, joins=parent_id)))
    taken = names_taken(design, RUNS, Gate)

    def renamed(piece: Piece) -> Piece:
        if not isinstance(piece, Gate):
            return piece
        name = fresh_name(piece.name, taken)
        taken.add(name)
        return replace(piece, name=name)

    there = RunAt(
        1 + max(i for i, other in enumerate(design.runs) if other.id == parent_id or (other.joins == parent_id and joins_as(other) != "straight"))
    )
    return insert(design, there, replace(branch, pieces=tuple(map(renamed, run.pieces)))), there


def _with_end_free(design: Design, place: RunAt, kept: int | None = None) -> Design:
    """Split a run so that a branch can join its far end, behind `kept` of its pieces if that is given."""
    run = at(design, place)
    taken = run.ends is not None or any(joins_as(child) == "leg" for child in children_of(design)[run.id])
    if kept is None:
        kept = _branch_point(run) if taken else len(run.pieces)
    return _split(design, place, kept)[0] if taken or kept < len(run.pieces) else design


def _branch_point(run: Run) -> int:
    gate = next((i for i, piece in enumerate(run.pieces) if isinstance(piece, Gate)), 0)
    last_straight = max((i for i, piece in enumerate(run.pieces) if isinstance(piece, Straight)), default=0)
    return gate or last_straight or len(run.pieces)


def _length(design: Design, run: Run, kept: int) -> float:
    """Metres along the first pieces of a run."""
    sizes = stock_sizes(design)
    bore, stock = bore_of(run, sizes), pipe_stock(run, sizes)
    return sum(length_of(piece, bore, stock) for piece in run.pieces[:kept])


def _split(design: Design, place: RunAt, kept: int) -> tuple[Design, RunAt]:
    run, there = design.runs[place.run], RunAt(place.run + 1)
    outer = Run(
        id=name_beyond(run.id, names_taken(design, RUNS, Run)), joins=run.id, size=run.size, bore=run.bore,
        material=run.material, pieces=run.pieces[kept:], ends=run.ends, port_taper=run.port_taper,
        state=run.state, kept=run.kept,
    )  # fmt: skip
    joined = tuple(replace(other, joins=outer.id) if other.joins == run.id else other for other in design.runs)
    design = records_beyond(replace(design, runs=joined), run.id, outer.id, _length(design, run, kept))
    design = put(design, place, replace(run, pieces=run.pieces[:kept], ends=None, port_taper=None))
    return insert(design, there, outer), there
