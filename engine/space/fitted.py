"""The room that fittings take along the runs, and the pipe that is left between them.

Lengths of a design go along the middle of the ducts, between the points that
fittings are set out from: where middle lines meet, where a bend begins and
ends. The bodies of fittings stand in these lengths, each in the straight
beside it; what they leave is pipe. Air loses by the whole length, as the
published coefficients of fittings want it (ASHRAE Handbook, Fundamentals,
duct design: friction from centre to centre of fittings; from memory).
Where two fittings have no straight between them, what their bodies want is
`wanting`; a hose beside them gives way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import tan

from engine.catalog.fitting_bodies import Wye
from engine.catalog.joining import joining
from engine.design import (
    Cleanout,
    Design,
    Elbow,
    Gate,
    Hose,
    Piece,
    Port,
    Run,
    Stock,
    Straight,
    bore_of,
    children_of,
    defaults,
    joins_as,
    ports_of,
    stock_sizes,
)
from engine.design.kept import ROWS, WHOLES, kept
from engine.design.meaning import SAME_BORE, Sizes, branch_angle, elbow_shape, pipe_stock, takes_reducer
from engine.space.bodies import body_length, joint_body, material_of, taper_length
from engine.space.mating import outlet_of, wants_adapter
from engine.units import Quantity
from engine.values import dataclass

_NOTHING = 1e-6
# The taper or adapter a run begins with, where an index of a piece is asked for.
TAPER = -1
# A run that begins or ends without a joint: no body stands there.
_NO_JOINT = -1.0


@dataclass(frozen=True, slots=True)
class Pipe:
    """A straight: the length that is given, and what fittings take of it at its inner and its outer end, all m."""

    given: float
    inner: float
    outer: float

    @property
    def seen(self) -> float:
        """Length of the pipe between fittings, m; below nothing where they do not fit."""
        return self.given - self.inner - self.outer


@dataclass(frozen=True, slots=True)
class Fitted:
    """A run with its fittings, by index of a piece.

    `pipes` are its straights; `shifts` say how far outward of its point the
    middle of a fitting stands, m, by TAPER of the one the run begins with;
    `wanting` is the room [m] that two fittings want and are not given, by the
    outer one; of the joint or port at the outer end by one index more than there are.
    """

    pipes: Mapping[int, Pipe]
    shifts: Mapping[int, float]
    wanting: Mapping[int, float]


@dataclass(frozen=True, slots=True)
class _Body:
    """What stands along a run: its piece, its room before and after its point, m.

    What is `fixed` stands at its point: a bend, a joint, an end, a hose,
    which `gives`. Everything else makes room. Of fittings that meet some want a coupling.
    """

    piece: int | None
    before: float
    after: float
    fixed: bool = False
    gives: bool = False
    couples: bool = True

    @property
    def room(self) -> float:
        return self.before + self.after


@kept(WHOLES)
def fitted_runs(design: Design) -> Mapping[str, Fitted]:
    """Every run of a consistent design, by its id, with its fittings."""
    sizes, joined, ports, inlet = stock_sizes(design), children_of(design), ports_of(design), design.collector.inlet
    runs = {run.id: run for run in design.runs}
    return {
        run.id: _hung(run, runs.get(run.joins), joined[run.joins], joined[run.id], sizes, ports[run.ends][1] if run.ends else None, inlet)
        for run in design.runs
    }


@kept(ROWS)
def _hung(
    run: Run, parent: Run | None, beside: tuple[Run, ...], joined: tuple[Run, ...], sizes: Sizes, port: Port | None, inlet: Quantity
) -> Fitted:  # fmt: skip
    """A run with its fittings, between the runs that join its parent, or the collector's `inlet`, `beside` it and those that join it."""
    bore, stock = bore_of(run, sizes), pipe_stock(run, sizes)
    begins = _begins(run, _wyes(parent, beside, sizes) if parent else {})
    ends = max((wye.inner for wye in _wyes(run, joined, sizes).values()), default=_NO_JOINT)
    taper = _change(outlet_of(run, parent, inlet.si, sizes), bore, run.taper or defaults.TAPER, stock)
    if not taper and wants_adapter(run, parent, sizes):
        taper = body_length("adapter", bore, stock, material_of(run, stock))
    at_port = _change(bore, port.bore.si, run.port_taper or defaults.TAPER, stock) if port else 0.0
    return _fitted(run, stock, bore, begins, ends, taper, at_port)


def fitted_alone(run: Run, sizes: Sizes) -> Fitted:
    """A run that joins nothing, with its fittings."""
    return _fitted(run, pipe_stock(run, sizes), bore_of(run, sizes), _NO_JOINT, _NO_JOINT, 0.0, 0.0)


@kept(ROWS)
def _wyes(run: Run, joined: tuple[Run, ...], sizes: Sizes) -> Mapping[str, Wye]:
    """The bodies at a run's outer end, by the runs that leave there to a side."""
    bore, stock = bore_of(run, sizes), pipe_stock(run, sizes)
    return {
        other.id: joint_body(
            bore, bore if takes_reducer(other) else bore_of(other, sizes), branch_angle(other), stock, material_of(run, stock),
            leg=joins_as(other) == "leg",
        )
        for other in joined if joins_as(other) != "straight"
    }  # fmt: skip


def _begins(run: Run, wyes: Mapping[str, Wye]) -> float:
    """What the fitting that a run joins takes of it, m."""
    return wyes[run.id].side if run.id in wyes else max((wye.outer for wye in wyes.values()), default=_NO_JOINT)


def _change(one: float, other: float, angle: Quantity, stock: Stock | None) -> float:
    return taper_length(one, other, angle.si, stock) if abs(one - other) > SAME_BORE else 0.0


@kept(ROWS)
def _fitted(run: Run, stock: Stock | None, bore: float, begins: float, ends: float, taper: float, port: float) -> Fitted:
    """A run with its fittings: the room [m] of the joints at its ends, of the tapers at its beginning and at its port."""
    material = material_of(run, stock)
    bodies = [_Body(None, 0.0, max(begins, 0.0), fixed=True, couples=begins >= 0)]
    if taper:
        bodies.append(_Body(TAPER, taper / 2, taper / 2))
    groups, straights = [bodies], dict[int, float]()
    for i, piece in enumerate(run.pieces):
        if isinstance(piece, Straight):
            straights[i] = piece.length.si
            groups.append([])
        else:
            groups[-1].append(_body(i, piece, bore, stock, material))
    groups[-1].append(_Body(len(run.pieces), port if run.ends else max(ends, 0.0), 0.0, fixed=True, couples=ends >= 0))
    coupling = body_length("coupling", bore, stock, material) if joining(material).between_fittings else 0.0
    return _shared([list(_coupled(group, coupling)) for group in groups], straights)


def _body(index: int, piece: Piece, bore: float, stock: Stock | None, material: str) -> _Body:
    match piece:
        case Elbow():
            make, _, _ = elbow_shape(piece, stock)
            arm = bore / 2 * tan(piece.angle.si / 2) if make == "mitred" and piece.angle.si < 3.0 else 0.0
            ends = arm + body_length("elbow", bore, stock, material)
            return _Body(index, ends, ends, fixed=True)
        case Hose():
            return _Body(index, 0.0, 0.0, fixed=True, gives=True, couples=False)
        case Gate() | Cleanout():
            half = body_length("gate" if isinstance(piece, Gate) else "cleanout", bore, stock, material) / 2
            return _Body(index, half, half, couples=isinstance(piece, Gate))
    return _Body(index, 0.0, 0.0)


def _coupled(group: Sequence[_Body], coupling: float) -> Iterator[_Body]:
    """The bodies of a group with a coupling between any two that want one."""
    for i, body in enumerate(group):
        if i and coupling and body.couples and group[i - 1].couples:
            yield _Body(None, coupling / 2, coupling / 2)
        yield body


def _shared(groups: Sequence[Sequence[_Body]], straights: Mapping[int, float]) -> Fitted:
    """What groups of bodies take of the straights between them, whose lengths [m] are by index of a piece: one straight fewer than groups."""
    inner, outer = [0.0] * len(groups), [0.0] * len(groups)
    shifts, wanting = dict[int, float](), dict[int, float]()
    for k, group in enumerate(groups):
        fixed = [i for i, body in enumerate(group) if body.fixed]
        if not fixed:
            outer[k] = inner[k] = sum(body.room for body in group) / 2
            shifts |= _laid(group, -inner[k])
            continue
        first, last = fixed[0], fixed[-1]
        outer[k] = sum(body.room for body in group[:first]) + group[first].before
        inner[k] = group[last].after + sum(body.room for body in group[last + 1 :])
        shifts |= _laid(group[:first], -outer[k])
        for i, j in pairwise([*fixed, len(group)]):
            between = group[i + 1 : j]
            shifts |= _laid(between, group[i].after)
            if j < len(group) and not (group[i].gives or group[j].gives):
                room = group[i].after + sum(body.room for body in between) + group[j].before
                if room > _NOTHING and (outer_one := group[j].piece) is not None:
                    wanting[outer_one] = room
    pipes = {at: Pipe(length, inner[k], outer[k + 1]) for k, (at, length) in enumerate(straights.items())}
    return Fitted(pipes, shifts, wanting)


def _laid(bodies: Sequence[_Body], at: float) -> Iterator[tuple[int, float]]:
    """The pieces of bodies that stand one behind the other from a place on, and where their middles are."""
    for body in bodies:
        if body.piece is not None:
            yield body.piece, at + body.before
        at += body.room
