"""What stands along every run, from the collector outward: its pieces, and the fittings that join them.

A fitting where runs meet stands at the outer end of the run that the others
join, in its bore. A run of another bore, or of pipe that does not mate with
it, begins with a taper or an adapter; one that does not fit its port ends
with one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from engine.catalog.joining import Joining, joining, practice
from engine.checks.subjects.earthing import conducts
from engine.design import (
    STATES,
    Cleanout,
    Design,
    Elbow,
    Gate,
    Hose,
    OwnLoss,
    Run,
    Straight,
    bore_of,
    children_of,
    defaults,
    joins_as,
    ports_of,
    stock_sizes,
)
from engine.design.meaning import SAME_BORE, Sizes, branch_angle, elbow_shape, hose_bore, pipe_stock, takes_reducer, work_on, works_on
from engine.space.fitted import Pipe, fitted_alone, fitted_runs
from engine.space.mating import outlet_of, outside_of, wants_adapter
from engine.values import dataclass

# What branches off at this angle or more is a tee, rad.
_SQUARE = 1.3
# Small fittings that stand between others: as far as the least of their run.
LINKS = ("sleeve", "coupling", "cap")
# No run can be called so: of a "/" in a name ports are told.
OUTLET = "collector/outlet"


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a run: its `kind`, its stock size "stock id/nominal" if it has one, its bores from the collector outward, m.

    `angle` [rad] of an elbow, a taper, a branch or leg; `radius` in bores;
    `length` [m] of hose, and of a straight as it is seen between fittings,
    which begins `inner` [m] outward of its point; `piece` the index of the piece it
    is, None of a fitting that stands in no list; `number` counts straights;
    `work` says how far the work on it has come, as an index of STATES.
    """

    kind: str
    run: str
    size: str | None
    bores: tuple[float, ...]
    angle: float | None = None
    make: str = ""
    radius: float | None = None
    length: float | None = None
    inner: float = 0.0
    name: str = ""
    piece: int | None = None
    number: int = 0
    work: int = 0

    @property
    def group(self) -> str:
        """What it is to what it meets: "pipe", "hose" or "fitting"."""
        return {"straight": "pipe", "hose": "hose"}.get(self.kind, "fitting")


@dataclass(frozen=True, slots=True)
class Chain:
    """A run and its parts in their order; its inside and outside diameter, m; how its pipe is joined, and whether it conducts.

    `shortest` is the shortest straight that can be cut from it, m; `begins`
    the group that its first part meets, or "collector"; `port` says whether
    the last part leads into a port, `work` how far the work on the run is.
    """

    run: str
    size: str | None
    bore: float
    outside: float
    material: str
    rule: Joining
    shortest: float
    conducts: bool
    parts: tuple[Part, ...]
    begins: str
    port: bool
    work: int

    @property
    def meetings(self) -> list[tuple[str, str]]:
        """The groups that meet, from the collector outward."""
        groups = [self.begins, *(part.group for part in self.parts), *(["port"] if self.port else [])]
        return list(pairwise(groups))

    @property
    def joints(self) -> int:
        """How many of them are rigid."""
        return sum("hose" not in pair for pair in self.meetings)


def chains(design: Design) -> dict[str, Chain]:
    """Every run of a consistent design by its id, parents first; then the duct that leads outside, as OUTLET."""
    sizes, joined = stock_sizes(design), children_of(design)
    fitted = fitted_runs(design)
    ports, found = {name: port.bore.si for name, (_, port) in ports_of(design).items()}, dict[str, Chain]()
    waiting: list[tuple[Run, Run | None]] = [(run, None) for run in reversed(joined["collector"])]
    while waiting:
        run, parent = waiting.pop()
        entry = [*_entry(run, parent, design.collector.inlet.si, sizes)]
        begins = "collector" if parent is None else "fitting" if _meet(joined[parent.id]) else _last_group(found[parent.id])
        exits = [*_junction(run, joined[run.id], sizes)]
        found[run.id] = _chain(
            run, [*entry, *_pieces(run, sizes, fitted[run.id].pipes), *exits], begins, ports.get(run.ends or ""), sizes, blind=not joined[run.id]
        )
        waiting += [(child, run) for child in reversed(joined[run.id])]
    if design.collector.outlet_pieces and design.collector.outlet:
        way = Run(
            id=OUTLET, joins="collector", bore=design.collector.outlet, pieces=design.collector.outlet_pieces,
            material=design.collector.outlet_material or defaults.PIPE_MATERIAL,
        )  # fmt: skip
        found[OUTLET] = _chain(way, [*_pieces(way, sizes, fitted_alone(way, sizes).pipes)], "collector", None, sizes, blind=False)
    return found


def _chain(run: Run, parts: Sequence[Part], begins: str, port: float | None, sizes: Sizes, *, blind: bool) -> Chain:
    stock, bore = pipe_stock(run, sizes), bore_of(run, sizes)
    material = stock.material if stock else run.material or defaults.PIPE_MATERIAL
    rule, shortest = joining(material), practice().shortest
    if slips := (sizes[run.size][1].insertion if run.size else None) or (stock and stock.insertion):
        rule = replace(rule, insertion=slips.si)
    if stock and stock.shortest:
        shortest = stock.shortest.si
    linked = list[Part]()
    before = begins
    for part in parts:
        linked += _link(run, linked[-1] if linked else None, before, part, rule, sizes)
        linked.append(part)
        before = part.group
    last = linked[-1] if linked else None
    if port is not None and (adapter := _port_adapter(run, last, port, bore)):
        linked.append(adapter)
    if port is None and blind and before != "hose":
        linked.append(Part("cap", run.id, run.size, (bore,)))
    metal = conducts(stock.conducts if stock else None, material)
    done = tuple(replace(part, work=_work(run, part)) for part in linked)
    outside = outside_of(run.size, bore, sizes)
    return Chain(run.id, run.size, bore, outside, material, rule, shortest, metal, done, begins, port is not None, _work(run))


def _work(run: Run, part: Part | None = None) -> int:
    """How far the work on a run, or on a part of it, has come, as an index of STATES."""
    if part and part.kind in LINKS:
        return min(map(STATES.index, works_on(run)))
    return STATES.index(work_on(run, None if part is None or part.piece is None else run.pieces[part.piece]))


def _last_group(chain: Chain) -> str:
    return chain.parts[-1].group if chain.parts else chain.begins


def _meet(joined: Sequence[Run]) -> bool:
    """Whether a fitting stands where these runs join."""
    return any(joins_as(run) != "straight" for run in joined)


def _entry(run: Run, parent: Run | None, inlet: float, sizes: Sizes) -> Iterator[Part]:
    """The taper or the adapter a run begins with, if it wants one."""
    bore, outlet = bore_of(run, sizes), outlet_of(run, parent, inlet, sizes)
    tapered = abs(bore - outlet) > SAME_BORE
    angle = (run.taper or defaults.TAPER).si if tapered else None
    if wants_adapter(run, parent, sizes):
        yield Part("adapter", run.id, run.size, (outlet, bore), angle)
    elif tapered:
        narrower = run.size if bore < outlet else parent.size if parent else None
        yield Part("taper", run.id, narrower, (outlet, bore), angle)


def _junction(run: Run, joined: Sequence[Run], sizes: Sizes) -> Iterator[Part]:
    """The wye, tee or Y at a run's outer end, with a cap where nothing goes straight on."""
    if not _meet(joined):
        return
    bore = bore_of(run, sizes)
    asides = [other for other in joined if joins_as(other) != "straight"]
    outlets = [bore if takes_reducer(other) else bore_of(other, sizes) for other in asides]
    angle = branch_angle(asides[0])
    if joins_as(asides[0]) == "leg":
        yield Part("Y", run.id, run.size, (bore, *outlets), angle)
        return
    yield Part("tee" if angle >= _SQUARE else "wye", run.id, run.size, (bore, bore, *outlets), angle)
    if len(asides) == len(joined):
        yield Part("cap", run.id, run.size, (bore,))


def _pieces(run: Run, sizes: Sizes, pipes: Mapping[int, Pipe]) -> Iterator[Part]:
    """The pieces of a run as parts."""
    bore, straights = bore_of(run, sizes), 0
    for index, piece in enumerate(run.pieces):
        if isinstance(piece, Straight):
            straights, pipe = straights + 1, pipes[index]
            seen = max(pipe.seen, 0.0)
            yield Part("straight", run.id, run.size, (bore,), length=seen, inner=pipe.inner, piece=index, number=straights)
        else:
            yield _part(run, index, piece, bore, sizes)


def _part(run: Run, index: int, piece: Elbow | Hose | Gate | Cleanout | OwnLoss, bore: float, sizes: Sizes) -> Part:
    match piece:
        case Elbow():
            make, radius, _ = elbow_shape(piece, pipe_stock(run, sizes))
            return Part("elbow", run.id, run.size, (bore,), piece.angle.si, make, radius, piece=index)
        case Hose():
            return Part("hose", run.id, piece.size or run.size, (hose_bore(piece, run, sizes),), length=piece.length.si, piece=index)
        case Gate():
            return Part("gate", run.id, run.size, (bore,), name=piece.name, piece=index)
        case Cleanout():
            return Part("cleanout", run.id, run.size, (bore,), name=piece.name, piece=index)
        case OwnLoss():
            return Part("part", run.id, run.size, (bore,), name=piece.name or "part with a loss of its own", piece=index)


def _link(run: Run, before: Part | None, met: str, part: Part, rule: Joining, sizes: Sizes) -> Iterator[Part]:
    """What joins a part to what it meets, if more is wanted than the two."""
    bore = bore_of(run, sizes)
    if "hose" in (met, part.group):
        inner, outer = before.bores[-1] if before else bore, part.bores[0]
        if met != part.group and before:
            rigid = before if part.group == "hose" else part
            hose = outer if part.group == "hose" else inner
            if _draws_over(hose, outside_of(rigid.size, rigid.bores[-1 if rigid is before else 0], sizes)):
                return
            yield Part("adapter", run.id, run.size, (inner, outer))
        elif met == part.group:
            yield Part("adapter" if abs(inner - outer) > SAME_BORE else "coupling", run.id, run.size, (inner, outer))
    elif met == part.group == "pipe" and rule.between_pipes:
        yield Part(rule.between_pipes, run.id, run.size, (bore,))
    elif met == part.group == "fitting" and rule.between_fittings and not {part.kind, before.kind if before else ""} & {"cap", "cleanout"}:
        yield Part(rule.between_fittings, run.id, run.size, (bore,))


def _draws_over(hose: float, outside: float) -> bool:
    """Whether hose of a bore can be drawn over pipe of an outside diameter and clamped, both m."""
    return abs(hose - outside) <= practice().hose_gives * outside


def _port_adapter(run: Run, last: Part | None, port: float, bore: float) -> Part | None:
    """What fits a run's last part to its port, None where it fits."""
    inner = last.bores[-1] if last else bore
    fits = _draws_over(inner, port) if last and last.group == "hose" else abs(inner - port) <= SAME_BORE
    return None if fits else Part("adapter", run.id, last.size if last else run.size, (inner, port), run.port_taper.si if run.port_taper else None)
