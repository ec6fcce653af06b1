"""Changes of the pieces of a run: its elbows, its hoses, its gate."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import cos, pi, radians, sin, sqrt

from engine.catalog.limits import over, under
from engine.checks.look import Look
from engine.checks.rules import limit
from engine.checks.subjects.fittings import straight_from_elbow
from engine.design import Elbow, Gate, Hose, Piece, Run, Straight, bore_of, system
from engine.design.meaning import downstream, elbow_shape, pipe_stock
from engine.search.quantities import round_angle, round_length
from engine.search.remedies.change import Change, change, in_degrees, title_of, touches_of, with_pieces, with_room
from engine.search.remedies.sizes import larger
from engine.search.remedies.weights import work

# Radii in bores beyond which the elbow tables hold nothing better.
_LONG_RADIUS = {"smooth": 2.5, "segmented": 2.0}
# An elbow of less than this is not worth exchanging; straights are left at least so long, m: judgement.
_LEAST_TURN, _LEAST_STRAIGHT = radians(29.0), 0.1
# Hose that a machine's movement needs, m, and the bend it can take in the shorter one: judgement.
_ENOUGH_HOSE, _SHORT_HOSE, _SHORT_BEND = 1.0, 0.5, radians(91.0)
# A hose may be so much wider than its run: judgement.
_FITS = 1.1
# A hose is worth cutting by more than this, m: judgement.
_LEAST_CUT = 0.15
# Shut pipe between a joint and its gate, m, from which moving the gate is worth it: judgement.
_LONG_DEAD_LEG = 1.0


def elbows(look: Look) -> Iterator[Change]:
    """A hard elbow as two of half its angle, or as the store has them; any as one of a long radius."""
    for run in look.design.runs:
        stock = pipe_stock(run, look.sizes)
        usual = elbow_shape(Elbow(angle=round_angle(pi / 2)), stock)
        for i, piece in enumerate(run.pieces):
            if not isinstance(piece, Elbow) or piece.angle.si < _LEAST_TURN:
                continue
            shape = elbow_shape(piece, stock)
            if _is_hard(look, *shape[:2], piece.angle.si):
                if not _is_hard(look, *usual[:2], piece.angle.si):
                    made = replace(piece, make=None, radius=None, gores=None)
                    yield _exchange(look, run, i, made, f"{_shape_name(*shape[:2])} -> {_shape_name(*usual[:2])}")
                yield _two_elbows(look, run, i, piece)
            make = "smooth" if shape[0] == "mitred" else shape[0]
            if shape[0] == "mitred" or shape[1] < _LONG_RADIUS[make]:
                radius = _LONG_RADIUS[make]
                made = replace(piece, make=make, radius=radius, gores=None if make == "smooth" else piece.gores)
                yield _exchange(look, run, i, made, f"{_shape_name(*shape[:2])} -> {_shape_name(make, radius)}")


def _is_hard(look: Look, make: str, radius: float, turn: float) -> bool:
    return over(turn, limit(look.design, "hard-elbow", "mitre")) if make == "mitred" else under(radius, limit(look.design, "hard-elbow", "radius"))


def _shape_name(make: str, radius: float) -> str:
    return "mitred" if make == "mitred" else f"radius {radius:g} bores"


def _exchange(look: Look, run: Run, i: int, made: Elbow, what: str) -> Change:
    return change(f"{title_of(look, run, i)} {what}", touches_of(run, i), work("elbow_exchanged"), with_pieces(run, {i: (made,)}))


def _two_elbows(look: Look, run: Run, i: int, piece: Elbow) -> Change:
    """Two of half the angle, apart enough not to disturb each other; the straights beside give way to the corner that is cut."""
    half, apart = piece.angle.si / 2, round_length(fittings_apart(look, run), system(look.design))
    one = replace(piece, angle=round_angle(half))
    new: dict[int, tuple[Piece, ...]] = {i: (one, Straight(length=apart), one)}
    for beside in (i - 1, i + 1):
        if 0 <= beside < len(run.pieces) and isinstance(straight := run.pieces[beside], Straight):
            length = round_length(straight.length.si - apart.si / (2 * cos(half)), system(look.design))
            if length.si >= _LEAST_STRAIGHT:
                new[beside] = (Straight(length=length),)
    title = f"{title_of(look, run, i)} of {in_degrees(piece.angle.si)} -> two of {in_degrees(half)}"
    return change(title, touches_of(run, *new), work("elbow_in_two"), with_pieces(run, new), with_room(look, run))


def hoses(look: Look) -> Iterator[Change]:
    """A hose cut with pipe in its place, pulled taut, less bent, or of the next bore."""
    for run in look.design.runs:
        stock = pipe_stock(run, look.sizes)
        for i, piece in enumerate(run.pieces):
            if not isinstance(piece, Hose):
                continue
            if stock is None or stock.kind == "pipe":
                yield from _with_pipe(look, run, i, piece)
            yield from _taut_hose(look, run, i, piece)
            yield from _wider_hose(look, run, i, piece)


def _with_pipe(look: Look, run: Run, i: int, piece: Hose) -> Iterator[Change]:
    bend = piece.bend.si if piece.bend else 0.0
    for wanted in (_ENOUGH_HOSE, _SHORT_HOSE):
        left = round_length(wanted, system(look.design))
        if left.si > limit(look.design, "long-hose", "good"):  # rounding in another system must not leave a finding
            left = round_length(wanted - 0.01, system(look.design))
        pipe = round_length(piece.length.si - left.si, system(look.design))
        if pipe.si < _LEAST_CUT or (wanted == _SHORT_HOSE and bend > _SHORT_BEND) or not _reaches(look, run, i, left.si, pipe.si):
            continue
        new = (Straight(length=pipe), replace(piece, length=left))
        title = f"{title_of(look, run, i)} {piece.length.text} -> {left.text}, the rest pipe"
        yield change(title, touches_of(run, i), work("hose_for_pipe"), with_pieces(run, {i: new}))


def _reaches(look: Look, run: Run, i: int, hose: float, pipe: float = 0.0) -> bool:
    """Whether the last hose of a run, as long as `hose` behind so much more pipe, spans the gap to its port; yes where that is not known."""
    gap = look.space.gaps.get(run.ends) if run.ends else None
    if gap is None or any(isinstance(piece, (Straight, Elbow, Hose)) for piece in run.pieces[i + 1 :]):
        return True
    left = sqrt(max(gap.distance**2 - 2 * gap.distance * pipe * cos(gap.turn) + pipe**2, 0.0))
    return left <= hose


def _taut_hose(look: Look, run: Run, i: int, piece: Hose) -> Iterator[Change]:
    name = title_of(look, run, i)
    if piece.compressed:
        length = round_length(piece.length.si * (1 - piece.compressed), system(look.design))
        if length.si >= _LEAST_STRAIGHT and _reaches(look, run, i, length.si):
            made = replace(piece, length=length, compressed=None)
            yield change(
                f"{name} pulled taut, {piece.length.text} -> {length.text}",
                touches_of(run, i),
                work("hose_pulled_taut"),
                with_pieces(run, {i: (made,)}),
            )
    if piece.bend and piece.bend.si > radians(45.0):
        bend = round_angle(piece.bend.si / 2)
        length = round_length(piece.length.si * _span(piece.bend.si) / _span(bend.si), system(look.design))
        if length.si >= _LEAST_STRAIGHT and _reaches(look, run, i, length.si):
            made = replace(piece, length=min(length, piece.length, key=lambda one: one.si), bend=bend)
            title = f"{name} bent by {in_degrees(piece.bend.si)} -> {in_degrees(bend.si)}"
            yield change(
                title, touches_of(run, i), work("hose_straightened"), with_pieces(run, {i: (made,)}), note="turn the pipe's end toward the machine"
            )


def _span(bend: float) -> float:
    """How far apart the ends of a hose bent in an arc are, over its length; beyond half a turn as at half a turn."""
    half = min(bend, pi) / 2
    return sin(half) / half if half else 1.0


def _wider_hose(look: Look, run: Run, i: int, piece: Hose) -> Iterator[Change]:
    if piece.size and (size := larger(look, piece.size)) and look.sizes[size][1].bore.si <= bore_of(run, look.sizes) * _FITS:
        title = f"{title_of(look, run, i)} {piece.size} -> {size}"
        yield change(title, touches_of(run, i), work("hose_in_another_size"), with_pieces(run, {i: (replace(piece, size=size),)}))


def gates(look: Look) -> Iterator[Change]:
    """A gate moved to the main where the way to it is long, or away from an elbow that the air comes to it from."""
    for run in look.design.runs:
        at_gate = next((i for i, piece in enumerate(run.pieces) if isinstance(piece, Gate)), 0)
        if not at_gate or run.joins == "collector":
            continue
        gate, name = run.pieces[at_gate], title_of(look, run, at_gate)
        dead = sum(piece.length.si for piece in run.pieces[:at_gate] if isinstance(piece, (Straight, Hose)))
        if dead > _LONG_DEAD_LEG:
            new = {0: (gate, run.pieces[0]), at_gate: ()}
            note = f"{look.show(dead, 'length')} less of shut pipe where chips come to lie"
            touches = touches_of(run, *range(at_gate + 1))
            yield change(f"{name} next to {run.joins}", touches, work("gate_moved"), with_pieces(run, new), note=note)
        yield from _gate_from_elbow(look, run, at_gate, name)


def _gate_from_elbow(look: Look, run: Run, at_gate: int, name: str) -> Iterator[Change]:
    """The gate moved on with the air, along the straight pipe that follows it, where the air comes to it out of an elbow."""
    wanted = limit(look.design, "gate-after-elbow", "bores") * bore_of(run, look.sizes)
    straight = straight_from_elbow(look, run, at_gate)
    onward = next(iter(downstream(run, at_gate)), None)
    if straight is None or not under(straight, wanted) or not isinstance(onward, Straight):
        return
    units = system(look.design)
    move = round_length(wanted - straight + 0.01, units)
    rest = round_length(onward.length.si - move.si, units)
    if rest.si < _LEAST_STRAIGHT:
        return
    new: dict[int, tuple[Piece, ...]] = {at_gate - 1: (Straight(length=rest), run.pieces[at_gate], Straight(length=move)), at_gate: ()}
    title = f"{name} {move.text} on from its elbow"
    note = "out of an elbow chips get into its slot"
    yield change(title, touches_of(run, at_gate - 1, at_gate), work("gate_moved"), with_pieces(run, new), note=note)


def fittings_apart(look: Look, run: Run) -> float:
    """How far apart fittings of a run should be, m, and a little more."""
    return max(limit(look.design, "crowded-fittings", "apart"), limit(look.design, "crowded-fittings", "bores") * bore_of(run, look.sizes)) + 0.01


def first_elbow(run: Run) -> tuple[int, Elbow] | None:
    """The first elbow of a run, with its index."""
    return next(((i, piece) for i, piece in enumerate(run.pieces) if isinstance(piece, Elbow)), None)


def straights(look: Look) -> Iterator[Change]:
    """A longer straight between two fittings that disturb each other."""
    for run in look.design.runs:
        wanted = fittings_apart(look, run)
        for i, (piece, onward) in enumerate(pairwise(run.pieces)):
            if isinstance(piece, Straight) and isinstance(onward, Elbow) and 0 < piece.length.si < wanted:
                longer = round_length(wanted, system(look.design))
                title = f"{title_of(look, run, i)} {piece.length.text} -> {longer.text}, fittings apart"
                yield change(title, touches_of(run, i), work("straight_exchanged"), with_pieces(run, {i: (Straight(length=longer),)}))
