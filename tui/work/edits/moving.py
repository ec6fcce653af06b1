"""Moving a machine, one of its ports or the collector in the room, and what that does to the ducts. Knows nothing of the screen.

A machine's position is a record: ducts are measured pieces and stay where
they are, so that the gap at its port changes. Asked to follow, the last
straight of each duct to it that lies along the move changes its length, and
the gap stays. The collector takes all ducts with it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from engine import edits
from engine.checks.assess import Assessment
from engine.design import Collector, Design, Machine, Piece, Port, Straight, system
from engine.design.places import COLLECTOR, EndOf, MachineAt, OfMachine, PieceAt, Place, PortAt
from engine.shapes.vectors import WAYS, Point
from engine.space.geometry import Space, position_of, space_of
from engine.space.lay import Stretch
from engine.units import Quantity, parse, show
from engine.units.words import counted
from engine.values import dataclass
from tui.work.document import Document, Refused
from tui.work.edits.positions import hose_text, is_too_short

AXES = ("east", "north", "up")
_BACK = ("west", "south", "down")
STEP = {"metric": 0.1, "imperial": 4 * 0.0254}
_STILL = 1e-9
_ALONG = 0.999
_SHORTEST = 0.02  # m: no straight is made shorter


@dataclass(frozen=True, slots=True)
class Move:
    """A move under way: of what, from which design, by how many m (east, north, up), and whether its ducts follow."""

    place: Place
    before: Design
    by: Point = (0.0, 0.0, 0.0)
    follows: bool = False


def moves(design: Design, place: Place) -> Place | None:
    """What a move at a place would move: the collector, a machine, a port, the machine a run ends at; else None."""
    if isinstance(place, EndOf):
        machine = (design.runs[place.run].ends or "").split("/")[0]
        return next((MachineAt(at) for at, known in enumerate(design.machines) if known.id == machine), None)
    return place if place == COLLECTOR or isinstance(place, OfMachine) else None


def why_not(design: Design, place: Place) -> str | None:
    """Why nothing can be moved at a place."""
    moved = moves(design, place)
    if moved is None:
        return "only machines, ports and the collector move; Enter: form"
    if _positions(design, moved) is None:
        return f"{edits.label(design, moved)} has no position yet: give it east, north and up in its form (Enter)"
    return None


def begun(document: Document) -> Move:
    """A move of what is selected, not yet by anything. Raises Refused."""
    moved, why = moves(document.design, document.selection), why_not(document.design, document.selection)
    if moved is None or why:
        raise Refused(why or "nothing here can be moved")
    document.seal()
    return Move(moved, document.design)


def carried_out(document: Document, move: Move) -> None:
    """Make the document's design that of a move; one step however often it is called. Raises Refused."""
    name = f"move {edits.label(move.before, move.place)}"
    document.apply(name, after(move), document.selection, merge_key=("move", move.place))


def after(move: Move) -> Design:
    """The design a move leads to. Raises Refused where a straight that follows would have no length left."""
    design = _shifted(move.before, move.place, move.by)
    return _followed(design, move) if move.follows else design


def _positions(design: Design, place: Place) -> Point | None:
    """Where what is moved stands; a port without a position of its own stands at its machine."""
    item = edits.at(design, place)
    return position_of(item) or (position_of(design.machines[place.machine]) if isinstance(place, PortAt) else None)


def _shifted(design: Design, place: Place, by: Point) -> Design:
    """The thing at `place` moved, and the ports of a machine that have positions of their own with it."""
    item, units = edits.at(design, place), system(design)
    if isinstance(place, PortAt) and position_of(item) is None:
        item = _standing(item, design.machines[place.machine])
    changed = replace(item, **_moved(item, by, units))
    if isinstance(item, Machine):
        changed = replace(changed, ports=tuple(replace(port, **_moved(port, by, units)) for port in item.ports))
    fields = (*AXES, "ports") if isinstance(item, Machine) else AXES
    return edits.set_fields(design, place, {field: getattr(changed, field) for field in fields})


def _standing(port: Port, machine: Machine) -> Port:
    """A port with a position of its own where it has its machine's."""
    return replace(port, east=port.east or machine.east, north=port.north or machine.north, up=port.up or machine.up)


def _moved(item: Collector | Machine | Port, by: Point, units: str) -> dict[str, Any]:
    """The positions of an item after a move, those it has and that change."""
    return {
        axis: _rounded(value.si + part, units) for axis, part in zip(AXES, by, strict=True) if (value := getattr(item, axis)) and abs(part) > _STILL
    }


def _rounded(metres: float, units: str) -> Quantity:
    """A length as it is written, and worth what is written."""
    return parse(show(metres, "length", units), "length")


# Ducts that follow


def _followed(design: Design, move: Move) -> Design:
    space = space_of(move.before)
    for at, index, axis, sense in _straights(move, space):
        piece = edits.at(design, PieceAt(at, index))
        length = piece.length.si + sense * move.by[axis]
        if length < _SHORTEST:
            label = edits.label(move.before, PieceAt(at, index))
            raise Refused(f"{label} would have no length left: Space lets the duct stay")
        design = edits.set_field(design, PieceAt(at, index), "length", _rounded(length, system(design)))
    return design


def _straights(move: Move, space: Space) -> list[tuple[int, int, int, int]]:
    """(run, piece, axis, sense) of the last straight of each duct to what is moved that lies along each axis it is moved by."""
    return [
        (at, stretch[0], axis, stretch[1])
        for at, run in enumerate(move.before.runs) if run.ends in _ports(move)
        for axis, part in enumerate(move.by) if abs(part) > _STILL
        if (stretch := _last_along(run.pieces, space.ways[run.id].stretches, axis))
    ]  # fmt: skip


def _last_along(pieces: tuple[Piece, ...], stretches: tuple[Stretch, ...], axis: int) -> tuple[int, int] | None:
    for stretch in reversed(stretches):
        along = stretch.before[axis]
        if isinstance(pieces[stretch.piece], Straight) and abs(along) > _ALONG:
            return stretch.piece, 1 if along > 0 else -1
    return None


def _ports(move: Move) -> tuple[str, ...]:
    """The ports that move; none of the collector's, whose ducts all go along."""
    if not isinstance(move.place, OfMachine):
        return ()
    machine = move.before.machines[move.place.machine]
    ports = (machine.ports[move.place.port],) if isinstance(move.place, PortAt) else machine.ports
    # A port without a position of its own stands where its machine does.
    return tuple(f"{machine.id}/{port.id}" for port in ports)


# What is told


def told(move: Move, assessment: Assessment) -> tuple[str, bool]:
    """What a move came to, in one line, and whether a hose is too short now; `assessment` is of the design after it."""
    units, space = system(move.before), assessment.look.space
    head = f"{edits.label(move.before, move.place)} {by_text(move.by, units)}"
    if move.place == COLLECTOR:
        out_of_reach = [port for port, gap in space.gaps.items() if is_too_short(gap)]
        return f"{head} with all ducts: {_counted_short(out_of_reach)}", bool(out_of_reach)
    ports = _ports(move)
    gaps = {port: space.gaps.get(port) for port in ports}
    short = any(gap and gap.hose and is_too_short(gap) for gap in gaps.values())
    texts = [(f"{port.split('/')[1]} " if len(ports) > 1 else "") + hose_text(gap, units) for port, gap in gaps.items()]
    if move.follows:
        texts += _follow_texts(move, units)
    return f"{head}: {', '.join(texts)}", short


def _follow_texts(move: Move, units: str) -> list[str]:
    """Along which way no straight lies, and which straights followed."""
    straights = _straights(move, space_of(move.before))
    still = [way for axis, way in _ways(move.by) if axis not in {row[2] for row in straights}]
    changes = []
    for at, index, axis, sense in straights:
        by = sense * move.by[axis]
        label = edits.label(move.before, PieceAt(at, index))
        changes.append(f"{label} {show(abs(by), 'length', units)} {'longer' if by > 0 else 'shorter'}")
    return [f"no straight leads {way}" for way in still] + changes


def _ways(by: Point) -> list[tuple[int, str]]:
    """The axes of a move, each with its direction."""
    return [(axis, (AXES if part > 0 else _BACK)[axis]) for axis, part in enumerate(by) if abs(part) > _STILL]


def by_text(by: Point, units: str) -> str:
    """ "0.4 m east, 0.1 m down"; "not moved"."""
    parts = [f"{show(abs(by[axis]), 'length', units)} {way}" for axis, way in _ways(by)]
    return ", ".join(parts) or "not moved"


def _counted_short(short: list[str]) -> str:
    if not short:
        return "all hoses reach"
    return f"{short[0] if len(short) == 1 else counted(len(short), 'port')} out of reach"


def step_by(way: str, units: str, times: int = 1) -> Point:
    """A step toward one of the six directions."""
    (east, north, up), by = WAYS[way], STEP[units] * times
    return by * east, by * north, by * up
