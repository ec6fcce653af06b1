"""From the collector to the line: where a main may lie, and every sensible trunk that leads there.

Points are (east, north, up) in m.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations
from statistics import median

from engine.search.layouts.task import OFF_WALL, Task
from engine.search.layouts.ways.route_pieces import corners
from engine.shapes.vectors import WAYS, Point, moved
from engine.values import dataclass

# Lines nearer to each other than this are one, m.
_SAME_LINE = 0.25
_NOTHING = 1e-6


def lines(task: Task, along: int, *, few: bool = False) -> list[float]:
    """How far across, m, a main along an axis (0 or 1) may lie: amid machines, along walls; unless `few`, past zones and beside each machine."""
    across, pipe = 1 - along, task.main
    stops = [(stop.at[across], stop) for stop in task.stops]
    middle, spur = median(at for at, _ in stops), max(stop.spur for stop in task.stops)
    off = OFF_WALL + pipe.bore / 2
    wanted = [middle + spur, middle - spur]
    wanted += [task.off_wall(wall) for wall in task.walls[along]]
    if few:
        return wanted
    wanted += [side for _, box in task.room.obstacles for side in (box.low[across] - off, box.high[across] + off)]
    wanted += [at + way * (stop.spur + stop.pipe.leg) for at, stop in stops for way in (1, -1)]
    kept: list[float] = []
    for at in wanted:
        if all(abs(at - other) > _SAME_LINE for other in kept):
            kept.append(at)
    return kept


# ---- from the collector to the line


@dataclass(frozen=True, slots=True)
class Start:
    """How a main sets out: the way it leaves the collector, the axis of its line (0 or 1), and the sides (1, -1) its arms go to."""

    faces: str
    along: int
    sides: tuple[int, ...]

    @property
    def parts(self) -> bool:
        """Whether it parts at a Y."""
        return len(self.sides) > 1

    @property
    def axis(self) -> int:
        """The axis along which it leaves the collector."""
        return next(axis for axis in range(3) if WAYS[self.faces][axis])


@dataclass(frozen=True, slots=True)
class Trunk:
    """The way from the inlet to the corner where the main goes along its line, and whether it turns there."""

    points: tuple[Point, ...]
    turns: bool

    @property
    def corner(self) -> Point:
        """Where the line begins."""
        return self.points[-1]


def trunks(task: Task, start: Start, lines: Sequence[float]) -> Iterator[Trunk]:
    """Every sensible trunk to one of these lines, given by how far they lie across, m; or to one near the inlet.

    Corners are as far apart as elbows want, and a Y wants a straight before it.
    """
    along, across, leg = start.along, 1 - start.along, task.main.leg
    parting = task.main.spur if start.parts else 0.0
    for more in {0.0, parting}:
        for entry, height in _entries(task, start, more):
            first = entry[-1]
            here = first[across]
            for line in (here, here + leg + parting, here - leg - parting, *lines):
                for corner in _corners(task, start, first):
                    target = (corner, line, height) if along == 0 else (line, corner, height)
                    by = [abs(target[axis] - first[axis]) for axis in range(3)]
                    moves = [axis for axis in (along, across, 2) if by[axis] > _NOTHING]
                    if not moves and more < parting:
                        continue
                    for order in permutations(moves):
                        room = all(by[axis] >= leg + (parting if axis == order[-1] else 0.0) - _NOTHING for axis in order)
                        if room and _can_be_laid(start, first, target, order):
                            last = order[-1] if order else start.axis
                            yield Trunk(corners((*entry, *_onward(first, target, order))), last != along)


def _entries(task: Task, start: Start, more: float) -> list[tuple[tuple[Point, ...], float]]:
    """From the inlet to where the main may first turn, and how high it runs then, m; `more` straight than its inlet wants.

    A riser between two elbows where there is room for one; else a slant to the
    height wanted; else straight on, or as little up or down as can be.
    """
    way, main = WAYS[start.faces], task.main
    first = moved(task.inlet, way, task.lead + more)
    found: list[tuple[tuple[Point, ...], float]] = []
    for height in task.heights:
        by = height - first[2]
        if abs(by) < _NOTHING or abs(by) >= main.leg:
            found.append(((task.inlet, first), height))
        elif start.axis != 2 and abs(by) >= main.slant:
            corner = moved(task.inlet, way, task.lead)
            level = moved((*corner[:2], height), way, abs(by))
            found.append(((task.inlet, corner, level, moved(level, way, main.leg + more)), height))
    if not found:
        heights = [height for height in (first[2], first[2] + main.leg, first[2] - main.leg) if height <= max(task.most, first[2])]
        found = [((task.inlet, first), min(heights, key=lambda height: (task.is_at_heads(height), abs(height - task.overhead))))]
    return found


def _corners(task: Task, start: Start, first: Point) -> list[float]:
    """Where along its line the main may begin: where the collector stands, before the first machine; a Y amid them."""
    along = start.along
    stops = sorted(stop.at[along] for stop in task.stops)
    if start.parts:
        middle, run_up = (len(stops) - 1) // 2, task.behind_y + max(stop.spur for stop in task.stops)
        near = zip(stops[max(middle - 1, 0) : middle + 2], stops[max(middle, 1) :], strict=False)
        return [first[along], *(at for low, high in near for at in _between(low, high, run_up))]
    [side] = start.sides
    run_up = task.main.bend + task.main.apart + max(stop.spur for stop in task.stops)
    before = min(side * at for at in stops) - run_up
    if task.room.corners:
        # No farther than the wall behind the first machine lets it.
        walls = [side * corner[along] for corner in task.room.corners]
        before = max(before, min(walls) + OFF_WALL + task.main.bore / 2)
    return [first[along]] if before >= side * first[along] else [first[along], side * before]


def _between(low: float, high: float, run_up: float) -> Iterator[float]:
    """Where between two machines a Y may part: in the middle, and as far from either as its branch wants."""
    if high - low > _SAME_LINE:
        yield from {(low + high) / 2, *(at for at in (low + run_up, high - run_up) if low < at < high)}


def _can_be_laid(start: Start, first: Point, target: Point, order: Sequence[int]) -> bool:
    """Whether it never turns back; a Y wants its last part to lie across the line, one main never comes from ahead."""
    last, way = start.axis, WAYS[start.faces][start.axis]
    if order:
        onward = 1 if target[order[0]] > first[order[0]] else -1
        if order[0] == last and onward != way:
            return False
        last, way = order[-1], 1 if target[order[-1]] > first[order[-1]] else -1
    return last != start.along or (not start.parts and way == start.sides[0])


def _onward(first: Point, target: Point, order: Sequence[int]) -> Iterator[Point]:
    """From the first corner to the target, axis after axis."""
    now = first
    for axis in order:
        east, north, up = (target[i] if i == axis else at for i, at in enumerate(now))
        now = (east, north, up)
        yield now
