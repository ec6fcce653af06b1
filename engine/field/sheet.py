"""The test sheet: what to read where in a gate set, in the order of the ladder, and where to drill for it.

At the collector first, suction at the inlet, the filter's drop, one flow;
then the suction of every branch that draws, from the collector outward
(what to record: practice of verifying such systems, UFGS 15951N).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from engine.air.one.ducts import Duct
from engine.air.one.network import Tree, compile_tree, ports_for
from engine.design import Design, Gate, GateSet, GaugePoint, Run, Straight
from engine.design.kept import WHOLES, kept
from engine.design.meaning import gates_to
from engine.design.names import fresh_name
from engine.field.built import as_built
from engine.field.spots import ALL_SHUT, AT_COLLECTOR, Spot, same_spot, spot_of_point
from engine.units import make
from engine.values import dataclass

# Bores of straight pipe before a tap: 3 behind a fitting or a plain hood, 7.5 for a pitot traverse (UFGS 15951N); 1 behind it: judgement.
TAP, TRAVERSE, BEHIND = 3.0, 7.5, 1.0


@dataclass(frozen=True, slots=True)
class Drill:
    """Where to drill in a run: how far from its collector end and from the fitting that the air passes before it [m], and in bores.

    `straight` counts the straights from the collector outward; `enough` says whether the air has become even there.
    """

    run: str
    distance: float
    straight: int
    behind: float
    bores: float
    enough: bool


@dataclass(frozen=True, slots=True)
class Stop:
    """A reading to take: what, and at which test point, port, or in which run, "" where that is not it.

    `drill` says where a tap goes that is not there yet, `point` what it will
    be called; `distance` [m] is how far along the run `at` from its collector end, None where that is not said.
    """

    what: str
    at: str = ""
    port: str = ""
    point: str = ""
    drill: Drill | None = None
    distance: float | None = None

    @property
    def place(self) -> str:
        """Where it is, in words."""
        return self.point or self.port or self.at or "collector"


@dataclass(frozen=True, slots=True)
class Gates:
    """How the gates that hang stand in a gate set: open, part open with the share of their way, shut. `bare` are ports with no gate before them."""

    open: tuple[str, ...]
    part: tuple[tuple[str, float], ...]
    shut: tuple[str, ...]
    bare: tuple[str, ...]


def gates(design: Design, gate_set: GateSet) -> Gates:
    """The gates to open and to shut for a gate set, in the order of the file."""
    built = as_built(design)
    ways, part = gates_to(built), {throttle.gate: throttle.open for throttle in gate_set.throttle}
    opened = {gate for port, way in ways.items() if port.split("/")[0] in gate_set.open for gate in way}
    every = [piece.name for run in built.runs for piece in run.pieces if isinstance(piece, Gate)]
    return Gates(
        tuple(name for name in every if name in opened and name not in part),
        tuple((name, part[name]) for name in every if name in opened and name in part),
        tuple(name for name in every if name not in opened),
        tuple(port for port, way in ways.items() if not way),
    )


def with_speed(stop: Stop) -> Stop:
    """The same stop, its speed to be read: the mean over the bore, by a traverse."""
    return replace(stop, what="speed")


def stops(design: Design, gate_set: GateSet) -> tuple[Stop, ...]:
    """The readings to take in a gate set of a consistent design, as far as its runs hang."""
    return _kept_stops(as_built(design), design.test_points, gate_set)


def stop_at(design: Design, gate_set: GateSet, what: str, spot: Spot) -> Stop:
    """The stop at which something is read at a place: that of the test sheet, where it has one there."""
    there = next((stop for stop in stops(design, gate_set) if stop.what == what and same_spot(spot_of_stop(design, stop), spot)), None)
    if there is not None:
        return there
    if spot.run is None:
        return Stop(what, port=spot.port) if spot.port else Stop(what, at="collector")
    point = next((point for point in design.test_points if point.at == spot.run and same_spot(spot_of_point(design, point), spot)), None)
    return Stop(what, point=point.id) if point else Stop(what, at=spot.run, distance=spot.distance)


def spot_of_stop(design: Design, stop: Stop) -> Spot:
    """Where a stop is, be its tap there yet or not. Raises Unforeseen where its run is no more."""
    if stop.drill:
        return Spot(run=stop.drill.run, distance=stop.drill.distance)
    if stop.point:
        return spot_of_point(design, next(point for point in design.test_points if point.id == stop.point))
    if stop.port:
        return Spot(port=stop.port)
    return AT_COLLECTOR if stop.at == "collector" else Spot(run=stop.at, distance=stop.distance)


@kept(WHOLES)
def _kept_stops(built: Design, points: tuple[GaugePoint, ...], gate_set: GateSet) -> tuple[Stop, ...]:
    return tuple(_stops(built, points, gate_set))


def _stops(built: Design, points: tuple[GaugePoint, ...], gate_set: GateSet) -> Iterator[Stop]:
    tree = _tree(built)
    if not built.runs:
        return
    runs, closed = {run.id: run for run in built.runs}, gate_set is ALL_SHUT
    drawing = range(len(tree.runs)) if closed else tree.on_way(tree.leaf_of[port] for port in ports_for(tree, gate_set.open))
    yield Stop("inlet suction", at="collector")
    if not closed:
        yield Stop("filter drop", at="collector")
    first = next((tree.runs[at] for at in tree.children[-1] if at in drawing), None)
    if first:
        yield _stop(points, runs[first.run], first, "flow", TRAVERSE)
    for at, duct in enumerate(tree.runs):
        if at in drawing and duct.port and not closed:
            yield _stop(points, runs[duct.run], duct, "suction", TAP)


@kept(WHOLES)
def _tree(built: Design) -> Tree:
    return compile_tree(built)


def _stop(points: tuple[GaugePoint, ...], run: Run, duct: Duct, what: str, bores: float) -> Stop:
    point = next((point for point in points if point.at == run.id), None)
    if point is not None:
        return Stop(what, point=point.id)
    drill = drill_in(run, duct, bores)
    if drill is None:
        return Stop(what, port=run.ends) if run.ends else Stop(what, at=run.id)
    return Stop(what, point=fresh_name(f"{run.id} A", {each.id for each in points}), drill=drill)


def drill_in(run: Run, duct: Duct, bores: float) -> Drill | None:
    """Where a tap that wants so many bores of straight pipe before it goes; None where the run has no straight pipe.

    In the straight that is longest, so many bores behind the fitting that the
    air comes from; in a short one as far from it as leaves a bore before the next.
    """
    best: Drill | None = None
    gone, count, longest = 0.0, 0, 0.0
    for part in duct.parts:
        if isinstance(part.place, int) and isinstance(run.pieces[part.place], Straight):
            count += 1
            if part.length > longest:
                longest = part.length
                behind = min(bores * part.bore, max(part.length - BEHIND * part.bore, part.length / 2))
                best = Drill(run.id, gone + part.length - behind, count, behind, behind / part.bore, behind >= bores * part.bore * (1.0 - 1e-9))
        gone += part.length
    return best


def point_of(stop: Stop, units: str) -> GaugePoint | None:
    """The test point that a tap becomes once it was read at; None where it is one already, or none."""
    if stop.drill is None:
        return None
    return GaugePoint(id=stop.point, at=stop.drill.run, from_collector=make(stop.drill.distance, "length", units))
