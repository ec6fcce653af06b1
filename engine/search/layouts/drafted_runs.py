"""The runs of a layout, from the collector outward: mains that step down, gated branches, cleanouts, hoses that reach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, degrees, dist, radians

from engine.checks.rules import limit
from engine.design import Cleanout, Design, Elbow, Gate, Hose, Machine, Piece, Port, Run, Straight, system
from engine.design.names import fresh_name
from engine.edits.new_items import new_piece
from engine.search.layouts.draft_sizes import LEAN, Size, branch_size, main_size, widest
from engine.search.layouts.layouts import Layout
from engine.search.layouts.route_pieces import pieces, toward
from engine.search.layouts.routes import HOSE_SLACK, Arm, Way, longest_hose
from engine.search.layouts.shop import Shop, needs_of
from engine.search.layouts.shop_defaults import in_store
from engine.search.quantities import STEP, round_length, whole_degrees
from engine.shapes.vectors import Point, heading
from engine.space.geometry import Gap, port_places, space_of

# A cleanout goes beside a fitting rather than into a pipe where it is at least this far from the last, m: judgement.
_WORTH_ONE = 1.5
# Bent at least so far, since nobody has seen the machine, and to steps of; no hose is shorter than this, m: judgement.
_HOSE_BEND, _BEND_STEP, _SHORTEST_HOSE = radians(45.0), 15.0, 0.25


def with_runs(shop: Shop, plan: Layout, *, narrow: bool = False) -> Design:
    """The shop's design with the ducts of a layout, each hose as long as its gap wants.

    Mains are as wide as the largest flow beyond them lets them be, or as
    `narrow` as the widest branch there.
    """
    design = shop.design
    runs = _Drafter(shop, narrow).runs(plan)
    made = replace(design, collector=replace(design.collector, faces=plan.faces), runs=runs)
    gaps, units = space_of(made).gaps, system(design)
    return replace(made, runs=tuple(_stretch_hose(run, gaps.get(run.ends) if run.ends else None, units) for run in runs))


def _stretch_hose(run: Run, gap: Gap | None, units: str) -> Run:
    """The run with the hose at its end as long, and as bent, as its gap wants."""
    if gap is None or not isinstance(hose := run.pieces[-1], Hose):
        return run
    length = min(max(HOSE_SLACK * gap.distance, _SHORTEST_HOSE), longest_hose())
    bend = _BEND_STEP * ceil(degrees(max(gap.turn, _HOSE_BEND)) / _BEND_STEP - 1e-6)
    hose = replace(hose, length=round_length(length, units), bend=whole_degrees(round(bend)))
    return replace(run, pieces=(*run.pieces[:-1], hose))


@dataclass(frozen=True, slots=True)
class _Joint:
    """What a run joins, and as what it leaves there: straight on, or at 45 deg toward a side."""

    joins: str
    as_: str | None = None
    toward: str | None = None


class _Drafter:
    """Writes down the runs of a layout, each name once."""

    def __init__(self, shop: Shop, narrow: bool) -> None:
        self._design, self._branches, self._sizes, self._narrow = shop.design, shop.branches, shop.sizes, narrow
        self._units, self._stocked = system(shop.design), in_store(shop.design)
        self._made: list[Run] = []
        self._gates: set[str] = set()
        self._lids = 0

    def runs(self, plan: Layout) -> tuple[Run, ...]:
        """Every run of the layout."""
        if len(plan.arms) == 1:
            self._arm(plan.arms[0], _Joint("collector"), plan.trunk, "main", 0.0)
        else:
            size = widest([self._main_size(range(len(self._branches))), *(self._steps(arm)[0] for arm in plan.arms)])
            made, since = self._with_lids(pieces(plan.trunk, size.pipe.bend, self._units), 0.0, size, falls=plan.faces == "down")
            trunk = self._run("main", _Joint("collector"), size, made)
            for arm in plan.arms:
                side = toward((0.0, 0.0, 0.0), arm.direction)
                self._arm(arm, _Joint(trunk, "leg", side), arm.start, f"main {side}", since)
        return tuple(self._made)

    def _run(self, wanted: str, joint: _Joint, size: Size, made: Sequence[Piece] = (), *, ends: str | None = None) -> str:
        """Add a run; its name."""
        name = fresh_name(wanted, {run.id for run in self._made} | {"collector"})
        angle = whole_degrees(LEAN) if joint.as_ else None
        run = Run(id=name, joins=joint.joins, as_=joint.as_, angle=angle, toward=joint.toward, size=size.ref, pieces=tuple(made), ends=ends)
        self._made.append(run)
        return name

    def _arm(self, arm: Arm, joint: _Joint, start: Sequence[Point], name: str, since: float) -> None:
        """The main of one arm, which steps down past its branches, each followed by the branch at its end.

        `since` is how far back the last cleanout lies, m.
        """
        for way, size in zip(arm.ways, self._steps(arm), strict=True):
            points, gate = [*start, way.joint], self._gate(way)
            falls = heading(*points[:2])[2] < -0.5
            made, since = self._with_lids(pieces(points, size.pipe.bend, self._units), since, size, falls=falls)
            is_last = way is arm.ways[-1]
            if is_last:
                made = (*(made[:-1] if made and isinstance(made[-1], Cleanout) else made), Cleanout(name=f"end of the {name}"))
            # What lies still behind a shut gate is short: the end of a main has its gate where it begins.
            early = is_last and joint.joins != "collector" and sum(map(dist, points, points[1:])) > limit(self._design, "dead-leg", "length")
            joint = _Joint(self._run(name, joint, size, (gate, *made) if early else made))
            self._drop(way, arm.direction, joint.joins, () if early else (gate,))
            start = (way.joint,)

    def _gate(self, way: Way) -> Gate:
        gate = Gate(name=fresh_name(f"{self._branches[way.stop].machine.id} gate", self._gates))
        self._gates.add(gate.name)
        return gate

    def _with_lids(self, made: Sequence[Straight | Elbow], since: float, size: Size, *, falls: bool = False) -> tuple[tuple[Piece, ...], float]:
        """Pieces of a main with cleanouts, the last of which lies `since` m back, and how far back it lies at their end.

        One goes at either end of a low point, where the way comes down and
        where it goes up again; `falls` where it begins by going down.
        """
        found: list[Piece] = []
        every, fell = limit(self._design, "no-cleanout", "spacing"), False
        for piece in made:
            if isinstance(piece, Elbow):
                length = piece.angle.si * size.pipe.bend
                if since + length > every or (fell and piece.toward == "up" and since > 0.0):
                    found.append(self._lid())
                    since = 0.0
                found.append(piece)
                since += length
                if falls:
                    found.append(self._lid())
                    since, fell = 0.0, True
                falls = piece.toward == "down"
                continue
            if since + piece.length.si > every and since >= _WORTH_ONE:
                found.append(self._lid())
                since = 0.0
            if since + piece.length.si > every:
                parts, last = self._parts(piece.length.si, every - since, every)
                found += [*parts, last]
                since = last.length.si
            else:
                found.append(piece)
                since += piece.length.si
        return tuple(found), since

    def _parts(self, length: float, first: float, every: float) -> tuple[list[Piece], Straight]:
        """A straight in parts, the first at most `first` m long, with a cleanout after each but the last."""
        found: list[Piece] = []
        step, most = STEP[self._units], first
        while length > most:
            part = round_length(most // step * step, self._units)
            found += [Straight(length=part), self._lid()]
            length, most = length - part.si, every
        return found, Straight(length=round_length(length, self._units))

    def _lid(self) -> Cleanout:
        self._lids += 1
        return Cleanout(name=f"lid {self._lids}")

    def _steps(self, arm: Arm) -> list[Size]:
        """The size of the main before each branch of an arm, none narrower than those beyond it."""
        steps: list[Size] = []
        for i in reversed(range(len(arm.ways))):
            steps.append(widest([self._main_size([way.stop for way in arm.ways[i:]]), *steps[-1:]]))
        return steps[::-1]

    def _main_size(self, beyond: Sequence[int]) -> Size:
        branches = [self._branches[i] for i in beyond]
        wide = [branch.size for branch in branches]
        return widest(wide) if self._narrow else main_size(self._design, needs_of(branches), wide, self._sizes)

    def _drop(self, way: Way, main: Point, joins: str, gate: tuple[Gate, ...]) -> None:
        """A branch, its gate first, and what it parts into near several ports; `main` is the way the main goes."""
        branch = self._branches[way.stop]
        machine, ports = branch.machine, branch.ports
        made = pieces(way.points, branch.size.pipe.bend, self._units)
        joint = _Joint(joins, "branch", toward(main, heading(*way.points[:2])))
        if len(ports) == 1:
            self._to_port(f"{machine.id} drop", joint, branch.size, (machine, ports[0]), (*gate, *made))
            return
        places, heads = port_places(self._design), heading(*way.points[-2:])
        joins = self._run(f"{machine.id} drop", joint, branch.size, (*gate, *self._with_lids(made, 0.0, branch.size)[0]))
        for i, port in enumerate(ports[1:]):
            if i:
                joins = self._run(f"{machine.id} drop", _Joint(joins), branch.size)
            side = _aside(heads, way.points[-1], places[f"{machine.id}/{port.id}"])
            self._to_port(f"{machine.id} {port.id}", _Joint(joins, "branch", side), self._port_size(port), (machine, port))
        self._to_port(f"{machine.id} {ports[0].id}", _Joint(joins), self._port_size(ports[0]), (machine, ports[0]))

    def _to_port(self, name: str, joint: _Joint, size: Size, to: tuple[Machine, Port], made: Sequence[Piece] = ()) -> None:
        """A run that ends with the hose to a machine's port."""
        machine, port = to
        hose = new_piece("hose", self._stocked, Run(id=name, joins=joint.joins, size=size.ref))
        self._run(name, joint, size, (*made, hose), ends=f"{machine.id}/{port.id}")

    def _port_size(self, port: Port) -> Size:
        return branch_size(self._design, [port], self._sizes)


def _aside(heads: Point, at: Point, port: Point) -> str:
    """The direction across the way of a pipe's end that leads most toward a port."""
    east, north, up = (0.0 if abs(way) > 0.5 else to - here for way, to, here in zip(heads, port, at, strict=True))
    if not any((east, north, up)):
        east, north, up = (float(abs(way) < 0.5) for way in heads)
    return toward((0.0, 0.0, 0.0), (east, north, up))
