"""The runs of a layout, from the collector outward: mains that step down, gated branches, cleanouts, hoses that reach."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, degrees, dist, hypot, radians

from engine.checks.rules import limit
from engine.design import Cleanout, Design, Elbow, Gate, Machine, Piece, Port, Run, Straight, system
from engine.design.names import fresh_name
from engine.edits.new_items import new_piece
from engine.search.layouts.draft_sizes import LEAN, Size, branch_size, main_size, widest
from engine.search.layouts.layouts import Layout
from engine.search.layouts.route_pieces import STEP, pieces, rounded, toward
from engine.search.layouts.routes import HOSE_SLACK, Arm, Stop, Way, longest_hose
from engine.search.layouts.shop_defaults import in_store
from engine.shapes.vectors import Point, heading
from engine.space.geometry import Gap, port_places, space_of
from engine.units import parse

# A cleanout goes beside a fitting rather than into a pipe where it is at least this far from the last, m: judgement.
_WORTH_ONE = 1.5
# Bent at least so far, since nobody has seen the machine, and to steps of; no hose is shorter than this, m: judgement.
_HOSE_BEND, _BEND_STEP, _SHORTEST_HOSE = radians(45.0), 15.0, 0.25
# Ports of one machine this near to each other, level and in height, share a branch, m: judgement.
_ONE_BRANCH, _ONE_HEIGHT = 1.0, 0.3


@dataclass(frozen=True)
class Branch:
    """One branch off the main: to ports of a machine that lie together, the neediest first, and the size of its pipe."""

    machine: Machine
    ports: tuple[Port, ...]
    size: Size
    stop: Stop

    @property
    def needs(self) -> float:
        """Flow of its ports, m3/s."""
        return sum(port.needs.si for port in self.ports)


def branches_of(design: Design, sizes: Sequence[Size]) -> tuple[Branch, ...]:
    """The branches a placed design wants: one for each machine, more where its ports lie apart."""
    places = port_places(design)
    found = []
    for machine in design.machines:
        at = {port.id: places[f"{machine.id}/{port.id}"] for port in machine.ports}
        for ports in _together(machine, at):
            size, spots = branch_size(design, ports, sizes), [at[port.id] for port in ports]
            middle = tuple((min(values) + max(values)) / 2 for values in zip(*(spot[:2] for spot in spots)))
            found.append(Branch(machine, ports, size, Stop((*middle, max(spot[2] for spot in spots)), size.pipe)))
    return tuple(found)


def _together(machine: Machine, at: Mapping[str, Point]) -> Iterator[tuple[Port, ...]]:
    """Groups of ports near each other, each with its neediest first."""
    groups: list[list[Port]] = []
    for port in sorted(machine.ports, key=lambda port: -port.needs.si):
        here = at[port.id]
        for group in groups:
            others = [at[other.id] for other in group]
            if all(hypot(here[0] - x, here[1] - y) <= _ONE_BRANCH and abs(here[2] - z) <= _ONE_HEIGHT for x, y, z in others):
                group.append(port)
                break
        else:
            groups.append([port])
    return (tuple(group) for group in groups)


def needs_of(branches: Sequence[Branch]) -> dict[str, float]:
    """Machine -> flow (m3/s) at its ports on these branches."""
    needs: dict[str, float] = {}
    for branch in branches:
        needs[branch.machine.id] = needs.get(branch.machine.id, 0.0) + branch.needs
    return needs


def with_runs(shop: Design, plan: Layout, branches: Sequence[Branch], sizes: Sequence[Size], *, narrow: bool = False) -> Design:
    """The design with the ducts of a layout, each hose as long as its gap wants.

    Mains are as wide as the largest flow beyond them lets them be, or as
    `narrow` as the widest branch there.
    """
    runs = _Drafter(shop, branches, sizes, narrow).runs(plan)
    made = replace(shop, collector=replace(shop.collector, faces=plan.faces), runs=runs)
    gaps, units = space_of(made).gaps, system(shop)
    return replace(made, runs=tuple(_reaching(run, gaps.get(run.ends), units) for run in runs))


def _reaching(run: Run, gap: Gap | None, units: str) -> Run:
    if gap is None:
        return run
    length = min(max(HOSE_SLACK * gap.distance, _SHORTEST_HOSE), longest_hose())
    bend = _BEND_STEP * ceil(degrees(max(gap.turn, _HOSE_BEND)) / _BEND_STEP - 1e-6)
    hose = replace(run.pieces[-1], length=rounded(length, units), bend=parse(f"{bend:.0f} deg", "angle"))
    return replace(run, pieces=(*run.pieces[:-1], hose))


class _Drafter:
    """Writes down the runs of a layout, each name once."""

    def __init__(self, shop: Design, branches: Sequence[Branch], sizes: Sequence[Size], narrow: bool) -> None:
        self._shop, self._branches, self._sizes, self._narrow = shop, branches, sizes, narrow
        self._units, self._stocked = system(shop), in_store(shop)
        self._made: list[Run] = []
        self._gates: set[str] = set()
        self._lids = 0

    def runs(self, plan: Layout) -> tuple[Run, ...]:
        """Every run of the layout."""
        if len(plan.arms) == 1:
            self._arm(plan.arms[0], "collector", plan.trunk, "main", 0.0)
        else:
            size = widest([self._main_size(range(len(self._branches))), *(self._steps(arm)[0] for arm in plan.arms)])
            made, since = self._with_lids(pieces(plan.trunk, size.pipe.bend, self._units), 0.0, size, falls=plan.faces == "down")
            trunk = self._run("main", "collector", size, made)
            for arm in plan.arms:
                side = toward((0.0, 0.0, 0.0), arm.direction)
                self._arm(arm, trunk, arm.start, f"main {side}", since, as_="leg", angle=parse(LEAN, "angle"), toward=side)
        return tuple(self._made)

    def _run(self, wanted: str, joins: str, size: Size, made: Sequence[Piece] = (), **rest) -> str:
        """Add a run; its name."""
        name = fresh_name(wanted, {run.id for run in self._made} | {"collector"})
        self._made.append(Run(id=name, joins=joins, size=size.ref, pieces=tuple(made), **rest))
        return name

    def _arm(self, arm: Arm, joins: str, start: Sequence[Point], name: str, since: float, **joint) -> None:
        """The main of one arm, which steps down past its branches, each followed by the branch at its end."""
        for way, size in zip(arm.ways, self._steps(arm)):
            points, gate = [*start, way.joint], self._gate(way)
            falls = heading(*points[:2])[2] < -0.5
            made, since = self._with_lids(pieces(points, size.pipe.bend, self._units), since, size, falls=falls)
            is_last = way is arm.ways[-1]
            if is_last:
                made = (*(made[:-1] if made and isinstance(made[-1], Cleanout) else made), Cleanout(name=f"end of the {name}"))
            # What lies still behind a shut gate is short: the end of a main has its gate where it begins.
            early = is_last and joins != "collector" and sum(map(dist, points, points[1:])) > limit("dead-leg", "length")
            joins = self._run(name, joins, size, (gate, *made) if early else made, **joint)
            self._drop(way, arm.direction, joins, () if early else (gate,))
            start, joint = (way.joint,), {}

    def _gate(self, way: Way) -> Gate:
        gate = Gate(name=fresh_name(f"{self._branches[way.stop].machine.id} gate", self._gates))
        self._gates.add(gate.name)
        return gate

    def _with_lids(self, made: Sequence[Piece], since: float, size: Size, *, falls: bool = False) -> tuple[tuple[Piece, ...], float]:
        """Pieces of a main with cleanouts, the last of which lies `since` m back, and how far back it lies at their end.

        One goes at either end of a low point, where the way comes down and
        where it goes up again; `falls` where it begins by going down.
        """
        found: list[Piece] = []
        every, fell = limit("no-cleanout", "spacing"), False
        for piece in made:
            turns = isinstance(piece, Elbow)
            length = piece.angle.si * size.pipe.bend if turns else piece.length.si
            too_far = since + length > every and (turns or since >= _WORTH_ONE)
            if too_far or (turns and fell and piece.toward == "up" and since > 0.0):
                found.append(self._lid())
                since = 0.0
            if not turns and since + length > every:
                *parts, piece = self._parts(length, every - since, every)
                found += parts
                length, since = piece.length.si, 0.0
            found.append(piece)
            since += length
            if turns and falls:
                found.append(self._lid())
                since, fell = 0.0, True
            falls = (turns and piece.toward == "down") or (falls and not turns)
        return tuple(found), since

    def _parts(self, length: float, first: float, every: float) -> Iterator[Piece]:
        """A straight in parts, the first at most `first` m long, with a cleanout after each but the last."""
        step, most = STEP[self._units], first
        while length > most:
            part = rounded(most // step * step, self._units)
            yield from (Straight(length=part), self._lid())
            length, most = length - part.si, every
        yield Straight(length=rounded(length, self._units))

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
        return widest(wide) if self._narrow else main_size(self._shop, needs_of(branches), wide, self._sizes)

    def _drop(self, way: Way, main: Point, joins: str, gate: tuple[Gate, ...]) -> None:
        """A branch, its gate first, and what it parts into near several ports."""
        branch = self._branches[way.stop]
        machine, size, ports = branch.machine, branch.size, branch.ports
        made = (*gate, *pieces(way.points, size.pipe.bend, self._units))
        joint = {"as_": "branch", "angle": parse(LEAN, "angle"), "toward": toward(main, heading(*way.points[:2]))}
        if len(ports) == 1:
            self._to_port(f"{machine.id} drop", joins, size, machine, ports[0], made, **joint)
            return
        places, heads = port_places(self._shop), heading(*way.points[-2:])
        made = (*gate, *self._with_lids(made[len(gate) :], 0.0, size)[0])
        joins = self._run(f"{machine.id} drop", joins, size, made, **joint)
        for i, port in enumerate(ports[1:]):
            if i:
                joins = self._run(f"{machine.id} drop", joins, size)
            side = _aside(heads, way.points[-1], places[f"{machine.id}/{port.id}"])
            lean = {"as_": "branch", "angle": parse(LEAN, "angle"), "toward": side}
            self._to_port(f"{machine.id} {port.id}", joins, self._port_size(port), machine, port, **lean)
        self._to_port(f"{machine.id} {ports[0].id}", joins, self._port_size(ports[0]), machine, ports[0])

    def _to_port(self, name: str, joins: str, size: Size, machine: Machine, port: Port, made: Sequence[Piece] = (), **joint) -> None:
        """A run that ends with the hose to a port."""
        hose = new_piece("hose", self._stocked, Run(id=name, joins=joins, size=size.ref))
        self._run(name, joins, size, (*made, hose), ends=f"{machine.id}/{port.id}", **joint)

    def _port_size(self, port: Port) -> Size:
        return branch_size(self._shop, [port], self._sizes)


def _aside(heads: Point, at: Point, port: Point) -> str:
    """The direction across the way of a pipe's end that leads most toward a port."""
    aim = tuple(0.0 if abs(way) > 0.5 else to - here for way, to, here in zip(heads, port, at))
    return toward((0.0, 0.0, 0.0), aim if any(aim) else tuple(float(abs(way) < 0.5) for way in heads))
