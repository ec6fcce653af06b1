"""What a change does to work that is done: parts that were bought or hang and are wanted otherwise, runs that are to hang elsewhere.

A part that a run has as before, where it was, is as far as it was. One that
is wanted anew is planned again, and what was there in its place is left over.
One that is to hang elsewhere is cut, not hung. A run of which anything
changed is not tested any more. A part that is left over is taken back where its run wants it again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from difflib import SequenceMatcher
from math import degrees, dist

from engine.design import STATES, Design, LeftOver, Piece, Run, defaults, stock_sizes, system
from engine.design.kept import WHOLES, kept
from engine.design.meaning import works_on
from engine.parts.called import bores_in_words
from engine.parts.chain import LINKS, Chain, Part, chains
from engine.parts.price import part_price
from engine.parts.slipped import cut_length
from engine.shapes.vectors import Point, moved
from engine.space.geometry import Space, space_of
from engine.units import make
from engine.units.words import listed
from engine.values import dataclass

_PLANNED, _CUT, _HUNG = (STATES.index(state) for state in ("planned", "cut", "hung"))
# What moves by less than this is measured out anew for nothing, m: judgement.
_STAYED = 0.005
_MOST_NAMED = 4
# Less pipe than this is none, m.
_NOTHING = 1e-4


@dataclass(frozen=True, slots=True)
class Touched:
    """A design with the marks that are still true, and what it took.

    `anew` are runs with work of which something is wanted otherwise, `elsewhere` those
    that hang and move, each with how far it was. `buy` is the price of what is
    wanted in their place, `spent` that of what is left over by it.
    """

    design: Design
    anew: tuple[str, ...] = ()
    elsewhere: tuple[str, ...] = ()
    buy: float = 0.0
    spent: float = 0.0

    @property
    def in_words(self) -> str:
        """What it costs, in a line; "" where no work is touched."""
        told = []
        if self.anew:
            money = f" ({self.buy:.2f} to buy, {self.spent:.2f} left over)" if self.buy or self.spent else ""
            told.append(f"no longer as bought or hung: {listed(self.anew, _MOST_NAMED)}{money}")
        if self.elsewhere:
            told.append(f"to be hung elsewhere: {listed(self.elsewhere, _MOST_NAMED)}")
        return "; ".join(told)


@dataclass(frozen=True, slots=True)
class _Placed:
    """A part of a run with the length it is cut to, what tells it from others, and where it is."""

    part: Part
    length: float | None
    likeness: tuple[object, ...]
    at: tuple[Point, Point] | None

    def is_at(self, other: _Placed) -> bool:
        if self.at is None or other.at is None:
            return self.at == other.at
        return all(dist(here, there) < _STAYED for here, there in zip(self.at, other.at, strict=True))


def touched(before: Design, after: Design) -> Touched:
    """What a change from one consistent design to another does to the work that is done. Of the design it gives, the same is true again."""
    if not _is_begun(before.runs) or _parts_of(before) == _parts_of(after):
        return Touched(after)
    was, now, names = _placed(before), _placed(after), _names_before(before, after)
    own = {run.id: was.get(names.get(run.id, run.id), ()) for run in after.runs}
    pairs, gone = _pairs(own, was, now)
    left = [old for old in gone if old.part.work]
    store = Counter(before.left_over)
    marks, anew, elsewhere, buy = dict[str, list[int]](), Counter[str](), Counter[str](), 0.0
    for one in left:
        anew[one.part.run] = max(anew[one.part.run], one.part.work)
    for run in after.runs:
        states = list[int]()
        for new, old in zip(now[run.id], pairs[run.id], strict=True):
            state = new.part.work
            if old is None:
                row = _row(new, after, run.id)
                state = _CUT if store[row] > 0 else _PLANNED
                store[row] -= state == _CUT
                if state == _PLANNED and (new.part.work or anew[names.get(run.id, run.id)]):
                    buy += _worth(new, after)
            elif state >= _HUNG and not new.is_at(old):
                elsewhere[run.id] = max(elsewhere[run.id], state)
                state = _CUT
            states.append(state)
        same = all(pairs[run.id]) and len(own[run.id]) == len(states) and not elsewhere[run.id]
        marks[run.id] = states if same else [min(state, _HUNG) for state in states]
    rows = Counter(_row(old, before, old.part.run) for old in left)
    had, has = Counter(before.left_over), Counter(after.left_over)
    taken, put = (had - store) - (had - has), rows - (has - had)
    runs = tuple(_marked(run, now[run.id], marks[run.id]) for run in after.runs)
    left_over = tuple(((has - taken) + put).elements())
    design = after if (runs, left_over) == (after.runs, after.left_over) else replace(after, runs=runs, left_over=left_over)
    told = [tuple(f"{name} ({STATES[state]})" for name, state in found.items() if state) for found in (anew, elsewhere)]
    return Touched(design, told[0], told[1], buy, sum(_worth(old, before) for old in left))


@kept(WHOLES)
def _is_begun(runs: tuple[Run, ...]) -> bool:
    """Whether any work on some runs is more than planned."""
    return any(works_on(run) - {defaults.STATE} for run in runs)


def _parts_of(design: Design) -> tuple[object, ...]:
    """All that parts and their places are made of."""
    return design.runs, design.stock, design.machines, design.collector


def _names_before(before: Design, after: Design) -> Mapping[str, str]:
    """What runs that have a new name were called."""
    if len(before.runs) != len(after.runs):
        return {}
    old, new = ([run.id for run in design.runs] for design in (before, after))
    return {now: was for was, now in zip(old, new, strict=True) if was not in new and now not in old}


@kept(WHOLES)
def _placed(design: Design) -> Mapping[str, Sequence[_Placed]]:
    """The parts of every run, from the collector outward."""
    space, runs, found = space_of(design), {run.id: run for run in design.runs}, dict[str, Sequence[_Placed]]()
    for name, chain in chains(design).items():
        if name in runs:
            found[name] = [_placed_part(chain, index, space) for index in range(len(chain.parts))]
    return found


def _placed_part(chain: Chain, index: int, space: Space) -> _Placed:
    part = chain.parts[index]
    length = cut_length(chain, index) if part.kind == "straight" else part.length
    bores = tuple(round(bore, 5) for bore in part.bores)
    angle, long, name = round(part.angle or 0.0, 4), round(length or 0.0, 4), part.name if part.kind == "part" else ""
    return _Placed(part, length, (part.kind, chain.material, bores, angle, part.make, part.radius, long, name), _at(part, space))


def _at(part: Part, space: Space) -> tuple[Point, Point] | None:
    """Where a part is, and which way it leads; None where that is not known."""
    way = space.ways.get(part.run)
    if way is None:
        return None
    if part.piece is None:
        at, leads = (way.end, way.leaves) if part.kind in ("wye", "tee", "Y", "cap") else (way.start, way.heading)
        return (at, leads) if at and leads else None
    stretch = next((one for one in way.stretches if one.piece == part.piece), None)
    return stretch and (moved(stretch.corner or stretch.start, stretch.before, part.inner), stretch.after)


def _pairs(
    own: Mapping[str, Sequence[_Placed]], was: Mapping[str, Sequence[_Placed]], now: Mapping[str, Sequence[_Placed]]
) -> tuple[Mapping[str, Sequence[_Placed | None]], Sequence[_Placed]]:
    """Of every part which one it was: in its run the next alike, else one alike of any run at the same place; and those that are gone."""
    pairs = dict[str, list[_Placed | None]]()
    gone = {id(old): old for parts in was.values() for old in parts}
    for run, parts in now.items():
        pairs[run] = [None] * len(parts)
        olds = own[run]
        for at, to, many in SequenceMatcher(
            None, [old.likeness for old in olds], [new.likeness for new in parts], autojunk=False
        ).get_matching_blocks():
            for i in range(many):
                pairs[run][to + i] = gone.pop(id(olds[at + i]))
    for run, parts in now.items():
        for i, new in enumerate(parts):
            if pairs[run][i] is None:
                like = next((old for old in gone.values() if old.likeness == new.likeness and old.at and new.is_at(old)), None)
                pairs[run][i] = like and gone.pop(id(like))
    return pairs, list(gone.values())


def _row(placed: _Placed, design: Design, run: str) -> LeftOver:
    """A part as what is left over of a run."""
    part, units = placed.part, system(design)
    what = [part.name if part.kind == "part" else part.kind]
    if part.angle is not None:
        what[0] += f" {degrees(part.angle):.3g} deg"
    if len(part.bores) > 1 or not part.size:
        what.append(bores_in_words(part.bores, part.size, stock_sizes(design), units))
    length = make(placed.length, "length", units) if placed.length and placed.length > _NOTHING else None
    return LeftOver(part=", ".join(what), size=part.size, length=length, of=run, worth=round(_worth(placed, design), 2) or None)


def _worth(placed: _Placed, design: Design) -> float:
    part = placed.part
    return part_price(part.kind, stock_sizes(design).get(part.size or ""), len(part.bores), placed.length)[0] or 0.0


def _marked(run: Run, parts: Sequence[_Placed], states: Sequence[int]) -> Run:
    """The run with its parts so far: it says how far the fittings are that no piece stands for, a piece what differs from that."""
    if all(state == placed.part.work for placed, state in zip(parts, states, strict=True)):
        return run
    of_piece = {placed.part.piece: state for placed, state in zip(parts, states, strict=True)}
    loose = [(placed.part.kind, state) for placed, state in zip(parts, states, strict=True) if placed.part.piece is None]
    fittings = [state for kind, state in loose if kind not in LINKS] or [state for _, state in loose]
    level = min(fittings) if fittings else max(states)
    pieces = tuple(_with_state(piece, of_piece[i], level) for i, piece in enumerate(run.pieces))
    return replace(run, state=STATES[level] if level else None, pieces=pieces)


def _with_state(piece: Piece, state: int, level: int) -> Piece:
    return replace(piece, state=None if state == level else STATES[state])
