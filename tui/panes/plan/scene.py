"""What there is to draw of a design in one gate set: ducts, machines, collector and room, each with its place in space.

Points are (east, north, up) in m. What has no place is told in `remarks`, and how far the work has come.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from math import isfinite

from engine import edits
from engine.air.gate_sets import SetResult
from engine.air.one.network import gates_for
from engine.checks.assess import Assessment
from engine.design import STATES, Cleanout, Collector, Design, Gate, Hose, Machine, Run, Zone, children_of, defaults, joins_as
from engine.design.meaning import work_in_words
from engine.design.places import COLLECTOR, EndOf, JointOf, MachineAt, OfRun, PieceAt, Place, PortAt, RunAt
from engine.shapes.vectors import Point
from engine.space.geometry import Space, Way, position_of
from engine.space.on_floor import body_of
from engine.units.words import counted, listed
from engine.values import dataclass
from tui.work.edits.marks import worst_by_place

_MOST_NAMED = 3
_CEILING = 2.4  # m: as high as a zone is drawn whose top and whose ceiling are not known
BODY = "body"  # the kind of a zone that a machine or the collector stands on


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of a run where it lies; `kind` is "pipe", "hose", "open gate", "shut gate" or "lid"."""

    place: Place
    points: tuple[Point, ...]
    kind: str


@dataclass(frozen=True, slots=True)
class Duct:
    """A run: `main` serves several ports, `draws` tells that air goes through it; `kin` are the runs it meets."""

    place: Place
    name: str
    main: bool
    draws: bool
    parts: tuple[Part, ...]
    kin: frozenset[str]

    @property
    def points(self) -> tuple[Point, ...]:
        """Its line, corner after corner."""
        return tuple(point for part in self.parts for point in part.points)


@dataclass(frozen=True, slots=True)
class Spot:
    """The collector, a machine, or a port that stands apart from its machine; `works` in the gate set."""

    place: Place
    name: str
    at: Point
    kind: str
    works: bool


@dataclass(frozen=True)
class Scene:
    """Everything to draw. `found` holds the worst standing, fault, caution or accepted, by the place of what is wrong."""

    ducts: tuple[Duct, ...]
    spots: tuple[Spot, ...]
    corners: tuple[tuple[float, float], ...]
    zones: tuple[tuple[str, str, Point, Point], ...]
    ceiling: float | None
    found: Mapping[Place, str]
    remarks: tuple[str, ...]
    order: tuple[Place, ...]

    @cached_property
    def points(self) -> tuple[Point, ...]:
        """Every point that a view of all should hold."""
        found = [point for duct in self.ducts for point in duct.points] + [spot.at for spot in self.spots]
        found += [corner for _, _, low, high in self.zones for corner in (low, high)]
        found += [(*corner, 0.0) for corner in self.corners]
        if self.ceiling is not None:
            found += [(*corner, self.ceiling) for corner in self.corners]
        return tuple(found)

    def points_of(self, place: Place) -> tuple[Point, ...]:
        """Where something is that can be selected; none where it has no place."""
        if not isinstance(place, OfRun):
            spot = self.spot(place)
            return (spot.at,) if spot else ()
        duct = next((duct for duct in self.ducts if duct.place == RunAt(place.run)), None)
        if duct is None or not duct.parts:
            return ()
        match place:
            case RunAt():
                return duct.points
            case JointOf():
                return duct.points[:1]
            case EndOf():
                return duct.points[-1:]
        return next((part.points for part in duct.parts if part.place == place), ())

    def spot(self, place: Place) -> Spot | None:
        """The spot of the collector, a machine or a port; that of its machine where a port does not stand apart."""
        by_place = {spot.place: spot for spot in self.spots}
        return by_place.get(place) or (by_place.get(MachineAt(place.machine)) if isinstance(place, PortAt) else None)


def scene_of(assessment: Assessment, result: SetResult) -> Scene:
    """The scene of an assessed design in one of its gate sets."""
    design, space = assessment.design, assessment.look.space
    ducts = tuple(_ducts(assessment, result, space))
    site = design.site
    ceiling = site.height.si if site.height else None
    placed = space.placed or not ducts
    return Scene(
        ducts, tuple(_spots(design, space, result)),
        tuple((corner.east.si, corner.north.si) for corner in site.room) if placed else (),
        (*(_box(zone, ceiling) for zone in site.zones), *_bodies(design)) if placed else (),
        ceiling, _found(assessment, result), tuple(_remarks(design, space)), tuple(_order(design)),
    )  # fmt: skip


def _ducts(assessment: Assessment, result: SetResult, space: Space) -> Iterator[Duct]:
    """The runs as they follow each other from the collector."""
    design = assessment.design
    open_gates, joined = gates_for(assessment.tree, result.gate_set.open), children_of(design)
    states = result.balance.runs if result.balance else {}
    for at, run in enumerate(design.runs):
        way = space.ways[run.id]
        beside = (run.joins, *(other.id for other in joined[run.joins]), *(other.id for other in joined[run.id]))
        draws = run.id in states and states[run.id].carries and states[run.id].flow > 0
        parts, main = tuple(_parts(at, run, way, open_gates)), assessment.look.served[run.id] > 1
        yield Duct(RunAt(at), run.id, main, draws, parts, frozenset(beside))


def _parts(at: int, run: Run, way: Way, open_gates: frozenset[str]) -> Iterator[Part]:
    for stretch in way.stretches:
        piece, kind = run.pieces[stretch.piece], "pipe"
        if isinstance(piece, Gate):
            kind = "open gate" if piece.name in open_gates else "shut gate"
        elif isinstance(piece, Hose | Cleanout):
            kind = "hose" if isinstance(piece, Hose) else "lid"
        yield Part(PieceAt(at, stretch.piece), stretch.points, kind)


def _spots(design: Design, space: Space, result: SetResult) -> Iterator[Spot]:
    """Ports first, so that machines are drawn over them, and the collector over all."""
    ends = {run.ends: space.ways[run.id].end for run in design.runs if run.ends}
    machines = []
    for at, machine in enumerate(design.machines):
        works = machine.id in result.gate_set.open
        names = [f"{machine.id}/{port.id}" for port in machine.ports]
        # Ducts that hang on no collector of a known position have a shape but no place in the room: their ends stand for the machines.
        ports = space.ports if space.placed or not ends else ends
        place = position_of(machine) if space.placed or not ends else None
        place = place or next((ports[name] for name in names if ports.get(name)), None)
        if place is None:
            continue
        for number, name in enumerate(names):
            if (apart := ports.get(name)) and apart != place:
                yield Spot(PortAt(at, number), name, apart, "port", works)
        machines.append(Spot(MachineAt(at), machine.id, place, "machine", works))
    yield from machines
    inlet = position_of(design.collector) or ((0.0, 0.0, 0.0) if ends or design.runs else None)
    if inlet:
        yield Spot(COLLECTOR, "collector", inlet, "collector", True)


def _box(zone: Zone, ceiling: float | None) -> tuple[str, str, Point, Point]:
    low = (zone.west.si, zone.south.si, zone.bottom.si if zone.bottom else 0.0)
    top = zone.top.si if zone.top else ceiling if ceiling is not None else _CEILING
    return zone.kind or defaults.ZONE_KIND, zone.name, low, (zone.east.si, zone.north.si, top)


def _bodies(design: Design) -> Iterator[tuple[str, str, Point, Point]]:
    """The ground that machines and the collector take, as zones without a name; as high as they are, where that is known."""
    items: tuple[Machine | Collector, ...] = (*design.machines, design.collector)
    for item in items:
        if body := body_of(item):
            low, (east, north, top) = body
            yield BODY, "", low, (east, north, top if isfinite(top) else low[2])


def _found(assessment: Assessment, result: SetResult) -> dict[Place, str]:
    """The worst standing at every place that has a fault or a caution in the gate set."""
    found: dict[Place, str] = {}
    for place, standing in worst_by_place(assessment.findings, result.gate_set.name):
        found.setdefault(MachineAt(place.machine) if isinstance(place, PortAt) else place, standing)
    return found


def _machine_of(design: Design, port: str | None) -> Place | None:
    machine = port.split("/")[0] if port else None
    return next((MachineAt(at) for at, known in enumerate(design.machines) if known.id == machine), None)


def _remarks(design: Design, space: Space) -> Iterator[str]:
    """What has no place, and why; how far the work has come."""
    if not space.placed and design.runs:
        yield "the collector has no position: only the ducts are drawn, from its inlet"
    lost = [(run, space.ways[run.id]) for run in design.runs if space.ways[run.id].lost is not None]
    if lost:
        run, way = next((pair for pair in lost if pair[1].start is not None), lost[0])
        known = way.lost if way.heading is not None else None
        first = f"the joint of {run.id}" if known is None else edits.label(design, PieceAt(design.runs.index(run), known))
        yield f"{counted(len(lost), 'run')} without a place: {first} has no direction"
    nowhere = [machine.id for machine in design.machines if not _stands(machine, space)]
    if space.placed and nowhere:
        yield f"{', '.join(nowhere)}: no position"
    for state in STATES[:0:-1]:
        if runs := [run.id for run in design.runs if work_in_words(run).partition(" ")[0] == state]:
            yield f"{state}: {listed(runs, _MOST_NAMED)}"


def _stands(machine: Machine, space: Space) -> bool:
    """Whether a machine, or one of its ports, has a position."""
    return position_of(machine) is not None or any(f"{machine.id}/{port.id}" in space.ports for port in machine.ports)


def _order(design: Design) -> Iterator[Place]:
    """Every place that Tab goes to: the collector, then run after run outward, each with its pieces and what it ends at."""
    yield COLLECTOR
    joined, number = children_of(design), {run.id: at for at, run in enumerate(design.runs)}
    waiting, seen = list(reversed(joined["collector"])), set()
    while waiting:
        run = waiting.pop()
        at = number[run.id]
        yield RunAt(at)
        yield from (PieceAt(at, i) for i in range(len(run.pieces)))
        if (machine := _machine_of(design, run.ends)) and machine not in seen:
            seen.add(machine)
            yield machine
        # Branches first, as in the tree: what leaves here comes before what goes on.
        waiting += sorted(joined[run.id], key=lambda child: joins_as(child) == "straight")[::-1]
    yield from (MachineAt(at) for at in range(len(design.machines)) if MachineAt(at) not in seen)
