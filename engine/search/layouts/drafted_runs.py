"""The runs of a layout, written down from the collector outward: mains that step down, gated branches, cleanouts, hoses that reach."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from math import ceil, degrees, hypot, radians

from engine.checks.rules import limit
from engine.design import Cleanout, Design, Gate, Hose, Machine, Piece, Port, Run, Straight, defaults, ports_of, stock_sizes, system
from engine.design.meaning import hose_bore
from engine.design.names import fresh_name
from engine.edits.new_items import new_piece
from engine.search.layouts.lids import LID, with_lids
from engine.search.layouts.shop import Shop, needs_of
from engine.search.layouts.shop_defaults import in_store
from engine.search.layouts.sizes.draft_sizes import Size, branch_size, main_size, widest
from engine.search.layouts.sizes.pipes import LEAN, Wants
from engine.search.layouts.ways.layouts import Layout
from engine.search.layouts.ways.route_pieces import pieces, straights, toward
from engine.search.layouts.ways.routes import HOSE_SLACK, Arm, Way
from engine.search.quantities import round_length, whole_degrees
from engine.shapes.vectors import WAYS, Point, dot, heading, moved
from engine.space.fitted import fitted_runs
from engine.space.geometry import Gap, space_of
from engine.values import dataclass

# Bent at least so far, since nobody has seen the machine, and to steps of; no hose is shorter than this, m: judgement.
_HOSE_BEND, _BEND_STEP, _SHORTEST_HOSE = radians(45.0), 15.0, 0.25
# Where a main is out of reach, a gate stands in the drop at the height of a hand, m: judgement.
_HAND = 1.5
# A port less than so far beside its drop is under it, m.
_UNDER = 0.05
# Pipe that is shorter than this is not worth its joints, m: judgement.
_SHORTEST_PIPE = 0.15


def with_runs(shop: Shop, plan: Layout, sizes: Mapping[str, str] | None = None) -> Design:
    """The shop's design with the ducts of a layout, each hose as long as its gap wants.

    Runs have the stock size that `sizes` gives by their id; others are as
    wide as the flow that is needed beyond them lets them be.
    """
    design = shop.design
    runs = _Drafter(shop, sizes or {}).runs(plan)
    made = _without_stubs(replace(design, collector=replace(design.collector, faces=plan.faces), runs=runs), shop.main.pipe.wants)
    gaps, stocked, ports = space_of(made).gaps, stock_sizes(made), ports_of(made)

    def finish(run: Run) -> Run:
        end = run.ends
        if end is None or not isinstance(hose := run.pieces[-1], Hose):
            return run
        run = _stretch_hose(run, hose, gaps.get(end), system(design), shop.main.pipe.wants.hose)
        bore, port = hose_bore(hose, run, stocked), ports[end][1].bore.si
        return replace(run, port_taper=defaults.TAPER) if abs(bore - port) > limit(design, "hose-mismatch", "alike") * port else run

    return replace(made, runs=tuple(_one_of_equals(finish(run)) for run in _with_lids_counted(made.runs)))


@lru_cache(maxsize=10_000)
def _one_of_equals(run: Run) -> Run:
    """The same run for all that are equal: what was computed of one is kept for the drafts of other spots too."""
    return run


def _without_stubs(made: Design, wants: Wants) -> Design:
    """The design without the straights before its hoses of which fittings leave nothing that can be made, where the hose reaches without."""
    fitted, gaps = fitted_runs(made), space_of(made).gaps

    def without(run: Run) -> Run:
        at = len(run.pieces) - 2
        pipe = fitted[run.id].pipes.get(at) if run.ends in gaps else None
        if pipe is None or pipe.seen >= wants.shortest or HOSE_SLACK * (gaps[run.ends or ""].distance + pipe.given) > wants.hose:
            return run
        return replace(run, pieces=(*run.pieces[:at], run.pieces[-1]))

    return replace(made, runs=tuple(map(without, made.runs)))


def _stretch_hose(run: Run, hose: Hose, gap: Gap | None, units: str, most: float) -> Run:
    """The run with the hose at its end as long, at most so many m, and as bent, as its gap wants."""
    if gap is None:
        return run
    length = min(max(HOSE_SLACK * gap.distance, _SHORTEST_HOSE), most)
    bend = _BEND_STEP * ceil(degrees(max(gap.bends, _HOSE_BEND)) / _BEND_STEP - 1e-6)
    hose = replace(hose, length=round_length(length, units), bend=whole_degrees(round(bend)))
    return replace(run, pieces=(*run.pieces[:-1], hose))


def _with_lids_counted(runs: Sequence[Run]) -> list[Run]:
    """The runs with their lids numbered."""
    found, count = [], 0
    for run in runs:
        made: list[Piece] = []
        for piece in run.pieces:
            count += piece is LID
            made.append(Cleanout(name=f"lid {count}") if piece is LID else piece)
        found.append(replace(run, pieces=tuple(made)))
    return found


@dataclass(frozen=True, slots=True)
class _Joint:
    """What a run joins, and as what it leaves there: straight on, or at 45 deg toward a side."""

    joins: str
    as_: str | None = None
    toward: str | None = None


class _Drafter:
    """Writes down the runs of a layout, each name once."""

    def __init__(self, shop: Shop, sizes: Mapping[str, str]) -> None:
        self._design, self._branches, self._sizes = shop.design, shop.branches, shop.sizes
        self._wanted = {run: size for run, ref in sizes.items() for size in shop.sizes if size.ref == ref}
        self._units, self._stocked = system(shop.design), in_store(shop.design)
        self._made: list[Run] = []
        self._gates: set[str] = set()

    def runs(self, plan: Layout) -> tuple[Run, ...]:
        """Every run of the layout."""
        if len(plan.arms) == 1:
            self._arm(plan.arms[0], _Joint("collector"), plan.trunk, "main", 0.0)
        else:
            guess = widest([self._main_size(range(len(self._branches))), *(self._steps(arm)[0] for arm in plan.arms)])
            name, size = self._named("main", guess)
            made, since = self._with_lids(plan.trunk, size, 0.0)
            self._add(name, _Joint("collector"), size, made)
            for arm in plan.arms:
                side = toward((0.0, 0.0, 0.0), arm.direction)
                self._arm(arm, _Joint(name, "leg", side), arm.start, f"main {side}", since)
        return tuple(self._made)

    def _named(self, wanted: str, guess: Size) -> tuple[str, Size]:
        """The name of the next run, and its size."""
        name = fresh_name(wanted, {run.id for run in self._made} | {"collector"})
        return name, self._wanted.get(name, guess)

    def _add(self, name: str, joint: _Joint, size: Size, made: Sequence[Piece] = (), *, ends: str | None = None) -> None:
        angle = whole_degrees(LEAN) if joint.as_ else None
        run = Run(id=name, joins=joint.joins, as_=joint.as_, angle=angle, toward=joint.toward, size=size.ref, pieces=tuple(made), ends=ends)
        self._made.append(_one_of_equals(run))

    def _arm(self, arm: Arm, joint: _Joint, start: Sequence[Point], wanted: str, since: float) -> None:
        """One main, which steps down past its branches, each followed by the branch at its end.

        `since` is how far back the last cleanout lies, m.
        """
        for way, guess in zip(arm.ways, self._steps(arm), strict=True):
            if way.straight:
                self._drop(way, joint, [*start, *way.corners, *way.points[1:]], since)
                return
            points = [*start, *way.corners, way.joint]
            name, size = self._named(wanted, guess)
            made, since = self._with_lids(points, size, since)
            if way is arm.ways[-1]:
                made = (*(made[:-1] if made and made[-1] is LID else made), Cleanout(name=f"end of the {wanted}"))
            self._add(name, joint, size, made)
            joint, start = _Joint(name), (way.joint,)
            side = toward(way.main, heading(*way.points[:2]))
            self._drop(way, _Joint(name, "branch", side), way.points, 0.0)

    def _with_lids(self, points: Sequence[Point], size: Size, since: float) -> tuple[tuple[Piece, ...], float]:
        bend, falls = size.pipe.bend, heading(*points[:2])[2] < -0.5
        every = limit(self._design, "no-cleanout", "spacing")
        return with_lids(pieces(points, bend, self._units), since, bend, self._units, every=every, falls=falls)

    def _gate(self, way: Way) -> Gate:
        gate = Gate(name=fresh_name(f"{self._branches[way.stop].machine.id} gate", self._gates))
        self._gates.add(gate.name)
        return gate

    def _steps(self, arm: Arm) -> list[Size]:
        """The size of the main before each branch of an arm, none narrower than those beyond it."""
        steps: list[Size] = []
        for i in reversed(range(len(arm.ways))):
            steps.append(widest([self._main_size([way.stop for way in arm.ways[i:]]), *steps[-1:]]))
        return steps[::-1]

    def _main_size(self, beyond: Sequence[int]) -> Size:
        branches = [self._branches[i] for i in beyond]
        return main_size(self._design, needs_of(branches), [branch.size for branch in branches], self._sizes)

    # ---- to a machine

    def _drop(self, way: Way, joint: _Joint, points: Sequence[Point], since: float) -> None:
        """The way to a machine along its points, with its gate, and what it parts into where several ports share it."""
        branch, onward = self._branches[way.stop], heading(*points[-2:])
        falls, gate = onward[2] < -0.5, self._gate(way)
        for i, outlet in enumerate(branch.outlets):
            is_last = outlet is branch.outlets[-1]
            own = is_last and i > 0
            name, size = self._named(f"{branch.machine.id} {outlet.port.id if own else 'drop'}", self._port_size(outlet.port) if own else branch.size)
            if not i:
                lidded = way.straight or not is_last
                made = self._with_lids(points, size, since)[0] if lidded else pieces(points, size.pipe.bend, self._units)
                made = self._with_gate(made, gate, points, size, at_joint=joint.joins != "collector")
            else:
                down = branch.outlets[i - 1].leaves - outlet.leaves
                made = tuple(straights(down if falls else size.pipe.apart, self._units))
            if is_last:
                self._to_port(name, joint, size, (branch.machine, outlet.port), made)
                return
            self._add(name, joint, size, made)
            side, its = self._named(f"{branch.machine.id} {outlet.port.id}", self._port_size(outlet.port))
            side_of = _side_of(points[-1], outlet.at)
            leaves = side_of if falls else _aside(onward, side_of)
            self._to_port(side, _Joint(name, "branch", leaves), its, (branch.machine, outlet.port), tuple(straights(outlet.pipe, self._units)))
            joint = _Joint(name)

    def _with_gate(self, made: Sequence[Piece], gate: Gate, points: Sequence[Point], size: Size, *, at_joint: bool) -> tuple[Piece, ...]:
        """The pieces of a way with its gate: in front, or at the height of a hand where the main is out of reach and the way comes down."""
        top, foot = points[-2][2] - size.pipe.bend, points[-1][2]
        last, above, reach = made[-1] if made else None, top - max(_HAND, foot), limit(self._design, "out-of-reach", "height")
        if (at_joint and points[0][2] <= reach) or foot > reach or not isinstance(last, Straight) or above < size.pipe.apart:
            return (gate, *made)
        below = last.length.si - above
        if below < _SHORTEST_PIPE:
            return (*made, gate)
        return (*made[:-1], *straights(above, self._units), gate, *straights(below, self._units))

    def _to_port(self, name: str, joint: _Joint, size: Size, to: tuple[Machine, Port], made: Sequence[Piece] = ()) -> None:
        """A run that ends with the hose to a machine's port."""
        machine, port = to
        hose = new_piece("hose", self._stocked, Run(id=name, joins=joint.joins, size=size.ref))
        self._add(name, joint, size, (*made, hose), ends=f"{machine.id}/{port.id}")

    def _port_size(self, port: Port) -> Size:
        return branch_size(self._design, [port], self._sizes)


def _side_of(foot: Point, at: Point) -> str:
    """The level direction from a drop to a port; one or the other where it is under it."""
    east, north, _ = moved(at, foot, -1.0)
    return toward((0.0, 0.0, 0.0), (east, north, 0.0)) if hypot(east, north) > _UNDER else "east"


def _aside(heads: Point, wanted: str) -> str:
    """A direction across the way of a pipe's end: the one wanted, where it is across."""
    return wanted if abs(dot(heads, WAYS[wanted])) < 0.5 else "down" if abs(heads[2]) < 0.5 else "east"
