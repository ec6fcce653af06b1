"""Where to put the collector: spots on a grid, each with a layout drafted from there and judged by its air.

A study is a search: every step has the grid as far as it is filled, the best
spots as proposals and today's spot to compare with.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

from engine.checks.rules import limit
from engine.design import Design, defaults, system
from engine.search.floor import Middle, least_longest, least_total, longest_way, total_way
from engine.search.layouts.drafting import Draft, floor_points, make_draft, rough_draft, task_of
from engine.search.layouts.shop import Shop, shops_of, why_no_ducts
from engine.search.layouts.shop_defaults import position
from engine.search.layouts.sizes.bores import alike
from engine.search.layouts.ways.layouts import best_by_mains
from engine.search.proposals import Proposal, Standing, Step, standing_in_words
from engine.search.quantities import round_length
from engine.search.spots import MOST_SPOTS, floor_of, is_free, marks_of
from engine.shapes.vectors import DIRECTIONS
from engine.units import show
from engine.units.words import counted, rough_length
from engine.values import dataclass

# How far apart spots lie where nobody says, m.
SPACING = {"metric": 1.0, "imperial": 3 * 0.3048}
# A layout is judged by its air only where it takes at most this much more duct than the shortest from its spot: judgement.
_NEARLY_AS_SHORT = 1.15
_BEST = 3
# So many of the best spots are drafted anew in bores that are searched.
_SIZED = 12


@dataclass(frozen=True, slots=True)
class Spot:
    """A place for the collector, with its best heading: metres of duct drafted from there, and how that stands.

    `crossings` are ducts that meet another, to be led over or under it;
    `troubled` where part of it lies behind a wall or in a zone, or a hose does
    not reach; `total` and `longest` are the ways straight to the machines, m.
    """

    east: float
    north: float
    faces: str
    length: float
    standing: Standing
    crossings: int
    troubled: bool
    total: float
    longest: float


@dataclass(frozen=True, slots=True)
class Grid:
    """The spots tried, by their rows from south to north; None where none may stand, or none was tried yet (`free` tells)."""

    easts: tuple[float, ...]
    norths: tuple[float, ...]
    free: tuple[tuple[bool, ...], ...]
    spots: tuple[tuple[Spot | None, ...], ...]

    @property
    def tried(self) -> tuple[Spot, ...]:
        """Every spot tried."""
        return tuple(spot for row in self.spots for spot in row if spot)


@dataclass(frozen=True, slots=True)
class Study(Step):
    """A step of a placement study; `today` is None where the collector has no place yet.

    `total` and `longest` are the spots of the least total and longest way to
    the machines as the crow flies, `total_along` and `longest_along` along the
    walls' directions; what gets `tolerated` of its need is not found short.
    `sized` are the layouts of the spots whose bores were searched.
    """

    grid: Grid
    today: Spot | None
    tolerated: float
    sized: tuple[Proposal, ...]
    total: Middle
    longest: Middle
    total_along: Middle
    longest_along: Middle

    def sized_from(self, spot: Spot) -> Proposal | None:
        """The layout from a spot of the grid where its bores were searched: what was found before led that search, so it is not to be had again."""
        at = spot.east, spot.north, spot.faces
        return next((one for one in self.sized if (*position(one.design.collector)[:2], one.design.collector.faces) == at), None)


class NoStudy(ValueError):  # noqa: N818 - it is no fault of anyone's
    """Why there is nothing to study, in one line."""


def placements(design: Design, *, spacing: float | None = None) -> Iterator[Study]:
    """Try the collector at every spot of a grid `spacing` m (more than 0) apart, and every heading; the likeliest spots first.

    The grid fills the room outside its zones and clear of machines, or the
    floor that machines span where no walls are known, or the places where the
    collector may stand, where those are said; without `spacing` its
    spots are 1 m or 3 ft apart. The inlet keeps its height. Each step is one
    spot more, drafted in bores for the flows needed; then the best dozen are
    drafted anew in bores that are searched, one led by the others, and the
    best of these by themselves. Its proposals are the best three by `order`,
    no two of them neighbours. NoStudy where no machine has a port,
    there are too many, or the grid has no spots or too many.
    """
    if why := why_no_ducts(design):
        raise NoStudy(why)
    shop, *_ = shops_of(design)
    search = _Search(shop)
    grid = _grid(search, spacing or SPACING[search.units])
    return _steps(search, grid, placed_today=bool(design.collector.east and design.collector.north))


def from_spot(design: Design, spot: Spot, today: Spot | None) -> Proposal:
    """The layout drafted from a spot of a study, as a proposal; `today` is the study's, and may be the spot."""
    search = _Search(shops_of(design)[0])
    return search.proposal(search.today() if spot == today else search.sized(search.spot_at(spot.east, spot.north, search.headings)), today)


def in_words(spot: Spot, today: Spot | None, least: float, units: str) -> str:
    """How a spot stands and how it compares with today's; `least` is the least longest way there can be, m."""
    metres = partial(rough_length, units=units)
    said = [standing_in_words(spot.standing), f"{metres(spot.length)} of duct"]
    if spot.crossings:
        said.append(f"{counted(spot.crossings, 'duct meets', 'ducts meet')} another")
    if spot.troubled:
        said.append("something is in its way, or a hose does not reach")
    if today and spot != today:
        more = spot.length - today.length
        as_much = metres(abs(more)) == metres(0.0)
        than = "as much as is" if as_much else f"{metres(abs(more))} {'more' if more > 0 else 'less'} than"
        said.append(f"{than} drafted from where it stands today")
    said.append(f"the farthest machine {metres(spot.longest)} off, the least there can be {metres(least)}")
    return "; ".join(said)


def _steps(search: _Search, grid: Grid, *, placed_today: bool) -> Iterator[Study]:
    middles = [middle(search.machines, along_walls=along) for along in (False, True) for middle in (least_total, least_longest)]
    found: dict[tuple[int, int], Draft] = {}
    spots: dict[tuple[int, int], Spot] = {}
    rows = [list(row) for row in grid.spots]
    waiting = [(i, j) for i, row in enumerate(grid.free) for j, free in enumerate(row) if free]
    waiting.sort(key=lambda at: search.straight_ways((grid.easts[at[1]], grid.norths[at[0]])))
    today = search.today() if placed_today else None
    compared = search.spot_of(today) if today else None
    of = len(waiting) + min(_SIZED, len(waiting)) + min(_BEST, len(waiting))

    def step(done: int, at: tuple[int, int], drafted: Draft) -> Study:
        i, j = at
        found[at] = drafted
        rows[i][j] = spots[at] = search.spot_of(drafted)
        best = best_apart()
        told = {one: search.proposal(found[one], compared) for one in (*best, *refined)}
        so_far, sized = replace(grid, spots=tuple(map(tuple, rows))), tuple(told[one] for one in refined)
        return Study(done, of, where(spots[at], search.units), tuple(told[one] for one in best), so_far, compared, search.tolerated, sized, *middles)

    def best_apart() -> list[tuple[int, int]]:
        """The best three; those whose bores are searched come first, once there are some."""
        return _best_apart(sorted(found, key=lambda one: (one not in refined, order(spots[one]))))

    # Spots whose bores are searched, and those of them that another led to theirs.
    refined, led = list[tuple[int, int]](), set[tuple[int, int]]()
    for done, (i, j) in enumerate(waiting, 1):
        yield step(done, (i, j), search.spot_at(grid.easts[j], grid.norths[i], search.headings))
    for done, at in enumerate(sorted(found, key=lambda at: order(spots[at]))[:_SIZED], len(waiting) + 1):
        others = [found[one].design for one in refined] + ([today.design] if today else [])
        near = [other for other in others if alike(other, found[at].design)]
        led |= {at} if near else set()
        refined.append(at)
        yield step(done, at, search.sized(found[at], near))
    # What is told is searched by itself too.
    for done in range(of - min(_BEST, len(waiting)) + 1, of + 1):
        best = best_apart()
        at = next((one for one in best if one in led), best[0])
        yield step(done, at, search.sized(found[at]) if at in led else found[at])
        led.discard(at)


def _best_apart(ranked: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The best of the ranked places of the grid, no two of them neighbours."""
    kept: list[tuple[int, int]] = []
    for at in ranked:
        if all(max(abs(at[0] - other[0]), abs(at[1] - other[1])) > 1 for other in kept):
            kept.append(at)
        if len(kept) == _BEST:
            break
    return kept


def order(spot: Spot) -> tuple[bool, tuple[float, ...], float, float, float, float]:
    """What spots are put in order by, the best first: as drafts are, then by the farthest machine."""
    return spot.troubled, spot.standing.rank.before_notes, round(spot.length, 1), spot.longest, spot.east, spot.north


class _Search:
    """What every spot shares: the shop, the task but for the inlet, the machines, the floor."""

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self.units = system(shop.design)
        self.task, self.tolerated = task_of(shop), limit(shop.design, "starved-machine", "tolerance")
        self.machines = floor_points(shop.design)[1:]
        self.floor = floor_of(shop.design, self.task)
        self.headings = [faces] if (faces := shop.design.collector.faces) in DIRECTIONS[4:] else list(DIRECTIONS[:4])

    def straight_ways(self, at: tuple[float, float]) -> float:
        """What no duct from a spot to a machine can be shorter than, m: the longest way as the crow flies, and the mean."""
        return longest_way(at, self.machines) + total_way(at, self.machines) / len(self.machines)

    def today(self) -> Draft:
        """The layout drafted from where the collector stands, facing as it does, in bores that are searched."""
        return self.sized(self.spot_at(*self.task.inlet[:2], [self.task.faces or defaults.FACES]))

    def spot_at(self, east: float, north: float, headings: Sequence[str]) -> Draft:
        """The best layout from a spot, over these headings, in bores for the flows needed."""
        at_east, at_north = round_length(east, self.units), round_length(north, self.units)
        task = replace(self.task, inlet=(at_east.si, at_north.si, self.task.inlet[2]))
        plans = best_by_mains(task, headings)
        most = _NEARLY_AS_SHORT * min(plan.effort for plan in plans)
        design = self._shop.design
        shop = replace(self._shop, design=replace(design, collector=replace(design.collector, east=at_east, north=at_north)))
        judged = [rough_draft(shop, plan) for plan in plans if plan.effort <= most]
        return min(judged, key=lambda one: order(self.spot_of(one)))

    def sized(self, one: Draft, near: Sequence[Design] = ()) -> Draft:
        """A layout drafted from a spot, in bores that are searched, from those of drafts `near` by; itself where that is no better."""
        return min(one, make_draft(one.shop, one.plan, near=near), key=lambda one: order(self.spot_of(one)))

    def spot_of(self, one: Draft) -> Spot:
        """A drafted layout as a spot of the grid."""
        east, north, _ = position(one.design.collector)
        return Spot(
            east=east, north=north, faces=one.plan.faces, length=one.length, standing=one.standing,
            crossings=one.crossings, troubled=one.troubled,
            total=total_way((east, north), self.machines), longest=longest_way((east, north), self.machines),
        )  # fmt: skip

    def proposal(self, one: Draft, today: Spot | None) -> Proposal:
        """A spot as a design, with its reasons."""
        spot = self.spot_of(one)
        reason = f"{one.title}; {in_words(spot, today, least_longest(self.machines).way, self.units)}"
        return Proposal(f"collector at {where(spot, self.units)}, facing {spot.faces}", reason, one.design, one.standing)


def where(spot: Spot, units: str) -> str:
    """ "4.5 m east and 1.5 m north"."""
    return f"{show(spot.east, 'length', units)} east and {show(spot.north, 'length', units)} north"


def _grid(search: _Search, spacing: float) -> Grid:
    easts, norths = (marks_of(search.floor, axis, spacing) for axis in (0, 1))
    if len(easts) * len(norths) > MOST_SPOTS:
        raise NoStudy(f"more than {MOST_SPOTS} spots: space them wider")
    free = tuple(tuple(is_free(search.floor, (east, north)) for east in easts) for north in norths)
    if not any(map(any, free)):
        raise NoStudy("no spot on the floor is free: walls, zones and machines leave no room, or the spots lie too far apart")
    return Grid(easts, norths, free, tuple((None,) * len(easts) for _ in norths))
