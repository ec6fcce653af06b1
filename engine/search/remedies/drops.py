"""One drop and one gate for a machine of two ports that has a drop to each, with a branch at the machine."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import permutations

from engine.checks.look import Look
from engine.design import Design, Gate, Hose, Run, children_of
from engine.design.names import fresh_name
from engine.edits import EditError
from engine.search.remedies.change import Change, Edit, Touch, change
from engine.search.remedies.sizes import next_size
from engine.search.remedies.weights import work


def shared(look: Look) -> Iterator[Change]:
    """Each port's drop led to the other port too, in its own size and in the next larger; the other drop goes."""
    joined = children_of(look.design)
    drops = {run.ends: run for run in look.design.runs if run.ends and _is_drop(run, joined[run.id])}
    for machine in look.design.machines:
        own = [drops[port] for each in machine.ports if (port := f"{machine.id}/{each.id}") in drops]
        for kept, other in permutations(own, 2):
            touches: set[Touch] = {(run.id, what) for run in (kept, other) for what in ("joint", "size", *range(len(run.pieces)))}
            for size in dict.fromkeys((kept.size, next_size(look, kept, +1) or kept.size)):
                title = (
                    f"{machine.id}: one drop and one gate, {kept.id}{f' in {size}' if size != kept.size else ''}, for {kept.ends} and {other.ends}"
                )
                note = f"with a branch of 45 deg at the machine; {other.id} and its gate go from the main"
                yield change(title, touches, work("drop_shared"), _share(kept, other, size), note=note)


def _is_drop(run: Run, beyond: Sequence[Run]) -> bool:
    """Whether a run leads with a gate of its own, and a hose behind it, to a port and nowhere else."""
    at_hose = _at_last_hose(run)
    return not beyond and run.joins != "collector" and any(isinstance(piece, Gate) for piece in run.pieces[:at_hose])


def _at_last_hose(run: Run) -> int:
    """The index of the last hose of a run; 0 where it has none."""
    return max((i for i, piece in enumerate(run.pieces) if isinstance(piece, Hose)), default=0)


def _share(kept: Run, other: Run, size: str | None) -> Edit:
    """The kept drop as far as its hose, then a run straight on to its own port and a branch to the other's."""

    def edit(design: Design) -> Design:
        if kept not in design.runs or other not in design.runs:
            raise EditError(f"{kept.id} and {other.id} are not what they were")
        at_hose, others_hose = _at_last_hose(kept), _at_last_hose(other)
        onward = fresh_name((kept.ends or kept.id).replace("/", " "), {run.id for run in design.runs})
        inner = replace(kept, size=size, pieces=kept.pieces[:at_hose], ends=None, port_taper=None)
        straight = Run(
            id=onward, joins=kept.id, size=kept.size, bore=kept.bore, material=kept.material,
            pieces=kept.pieces[at_hose:], ends=kept.ends, port_taper=kept.port_taper,
        )  # fmt: skip
        branch = replace(other, joins=kept.id, as_="branch", angle=None, toward=None, taper=None, loss=None, pieces=other.pieces[others_hose:])
        made = {kept.id: (inner, straight), other.id: (branch,)}
        gone = {piece.name for piece in other.pieces[:others_hose] if isinstance(piece, Gate)}
        sets = (replace(one, throttle=tuple(row for row in one.throttle if row.gate not in gone)) for one in design.gate_sets)
        return replace(design, runs=tuple(run for old in design.runs for run in made.get(old.id, (old,))), gate_sets=tuple(sets))

    return edit
