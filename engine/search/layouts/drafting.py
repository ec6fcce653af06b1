"""Layouts of ducts from where machines and collector stand, sized and judged: to be looked at, taken, and then corrected.

`drafts` takes a design that has everything but ducts and gives it mains with
gated branches in several ways, in bores that suit every gate set; `draft`
takes the best. What is left open is filled in with ordinary values and written
into the design, where it can be seen and changed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

from engine.checks.assess import Assessment, assess
from engine.design import Design
from engine.search.layouts.drafted_runs import with_runs
from engine.search.layouts.shop import Shop, ready, shops_of, why_no_ducts
from engine.search.layouts.shop_defaults import position
from engine.search.layouts.sizes.bores import fitted
from engine.search.layouts.task import Task, band_of
from engine.search.layouts.ways.layouts import Layout, best_of_each, best_of_kind, laid_anew
from engine.search.proposals import Standing, standing
from engine.search.ranking import Rank
from engine.space.geometry import Space, port_places, space_of
from engine.space.on_floor import body_of
from engine.space.room import room_of
from engine.values import dataclass

NOTE = "First draft from positions, to be edited: measure the shop, then correct lengths, heights and bores."

# A hose or a layout that misses by less than this, m, is a matter of rounding.
A_TRIFLE = 0.05
# What tells that a layout was laid for fittings of other bores.
_CLOSE = ("crowded-fittings", "inlet-elbow")
# Layouts with something in their way are shown only where there are fewer without.
_FEWEST = 2
# So many of the best are laid anew in the bores found, and sized with care.
_BEST = 2


@dataclass(frozen=True, slots=True)
class Draft:
    """A layout as a design, and how it stands.

    Metres of duct and hose, and as seen from above along the walls'
    directions; how often two ducts are in one place; straights that cannot be
    made; ports no hose reaches.
    """

    shop: Shop
    plan: Layout
    assessment: Assessment
    standing: Standing
    length: float
    on_floor: float
    crossings: int
    unmade: int
    out_of_reach: tuple[str, ...]

    @property
    def design(self) -> Design:
        """The shop with its ducts."""
        return self.assessment.design

    @property
    def title(self) -> str:
        """What it is, in a few words."""
        return self.plan.title

    @property
    def troubled(self) -> bool:
        """Whether part of it lies where no duct can, or a hose does not reach."""
        return self.plan.barred > A_TRIFLE or bool(self.out_of_reach)


@dataclass(frozen=True, slots=True)
class Drafted:
    """How far drafting has come: `done` of `of` layouts, the one it is at, and those found, best first."""

    done: int
    of: int
    at: Draft
    found: tuple[Draft, ...]


def drafted(design: Design) -> Iterator[Drafted]:
    """Draft every layout of a design for which `why_no_ducts` knows no reason against; at least one.

    Each kind of layout in the first pipe of the store; the most promising ones
    again with more care, and the first of these in each other pipe. In the
    order of `ranking`, where a layout fits the room if nothing is in its way,
    every hose is long enough and no main lies on the floor; of equals the one
    of less duct.
    """
    shop, *others = shops_of(design)
    plans = best_of_each(task_of(shop))
    free = tuple(plan for plan in plans if plan.barred <= A_TRIFLE)
    plans = free if len(free) >= _FEWEST else plans
    of = len(plans) + min(_BEST, len(plans)) + len(others)
    found: list[Draft] = []
    for done, (one, before) in enumerate(_in_turn(shop, others, plans), 1):
        found = sorted([one, *(other for other in found if other is not before)], key=order)
        yield Drafted(done, of, one, tuple(found))


def _in_turn(shop: Shop, others: Sequence[Shop], plans: Sequence[Layout]) -> Iterator[tuple[Draft, Draft | None]]:
    """Drafts as they are made, each with the one whose place it takes."""
    made = []
    for plan in plans:
        made.append(make_draft(shop, plan))
        yield made[-1], None
    made.sort(key=_promise)
    for one in made[:_BEST]:
        yield refined(one), one
    for other in others:
        task = task_of(other)
        plan = best_of_kind(task, made[0].plan.kind) or best_of_each(task)[0]
        yield refined(make_draft(other, plan)), None


def _promise(one: Draft) -> tuple[bool, int, int, int, float]:
    """What drafts to be sized with care are chosen by: those that lack least."""
    rank = one.standing.rank
    return one.plan.barred > A_TRIFLE, len(one.out_of_reach), rank.unfit + rank.short, one.standing.faults, one.standing.price


def draft(design: Design) -> Design:
    """The design with ducts to every port, in place of any it had; consistent where it was so without them.

    The best of `drafted`; where there can be none, the design has no ducts.
    """
    if why_no_ducts(design):
        return ready(design)
    *_, last = drafted(design)
    return last.found[0].design


def task_of(shop: Shop) -> Task:
    """What is to be laid in a shop with at least one branch."""
    collector, site = shop.design.collector, shop.design.site
    main, band = shop.main.pipe, band_of(shop.design)
    stops = tuple(branch.stop(main, gated=band.low) for branch in shop.branches)
    sized = [one for one in shop.design.machines if one.size.up]
    mine = ((body_of(one), frozenset(i for i, branch in enumerate(shop.branches) if branch.machine is one)) for one in sized)
    return Task(
        position(collector), collector.faces, stops, main, band, room_of(site), collector.inlet.si, site.joists,
        step=shop.step, bodies=tuple((body, own) for body, own in mine if body),
    )  # fmt: skip


def make_draft(shop: Shop, plan: Layout, *, thorough: bool = False, margin: float = 0.0, near: Sequence[Design] = ()) -> Draft:
    """A layout made into a design with the bores that suit it, and judged; `margin` and `near` as for `fitted`.

    As it lies; where fittings of these bores want more room, or `thorough`, or laid anew with that and the bores searched on: the better of both.
    """
    suit = partial(fitted, margin=margin, thorough=thorough)
    lies = _judged(shop, plan, with_runs(shop, plan, _sizes(suit(with_runs(shop, plan), near=near))))
    if not (thorough or lies.unmade or any(one.code in _CLOSE and one.severity == "caution" for one in lies.assessment.findings)):
        return lies
    known = shop.with_sizes_of(lies.design)
    anew = laid_anew(task_of(known), plan)
    if anew is None or anew == plan:
        return lies
    by = (*near, lies.design) if near else ()
    relaid = _judged(known, anew, with_runs(known, anew, _sizes(suit(with_runs(known, anew, _sizes(lies.design)), near=by))))
    return min(lies, relaid, key=order)


def in_sizes_of(one: Draft, design: Design) -> Draft:
    """A draft in the sizes that its runs have in a design."""
    return _judged(one.shop, one.plan, with_runs(one.shop, one.plan, _sizes(design)))


def _sizes(design: Design) -> dict[str, str]:
    return {run.id: run.size for run in design.runs if run.size}


def rough_draft(shop: Shop, plan: Layout) -> Draft:
    """A layout made into a design with bores for the flows needed, and judged: much faster."""
    return _judged(shop, plan, with_runs(shop, plan))


def _judged(shop: Shop, plan: Layout, made: Design) -> Draft:
    found, space = assess(_with_note(made)), space_of(made)
    codes = [finding.code for finding in found.findings]
    return Draft(
        shop=shop, plan=plan, assessment=found, standing=standing(found),
        length=sum(way.length for way in space.ways.values()),
        on_floor=on_floor(space, made),
        crossings=codes.count("ducts-cross"), unmade=codes.count("short-straight"),
        out_of_reach=tuple(port for port, gap in space.gaps.items() if gap.distance > gap.hose + A_TRIFLE),
    )  # fmt: skip


def refined(one: Draft) -> Draft:
    """A draft sized with care: the better of this and itself."""
    return min(one, make_draft(one.shop, one.plan, thorough=True), key=order)


def order(one: Draft) -> tuple[bool, int, bool, tuple[int, ...], int, tuple[float, ...], float, Rank]:
    """What drafts are put in order by, the best first: straights that cannot be made go before cautions, since a shift of the fitting mends them."""
    rank = one.standing.rank
    fits = one.plan.barred > A_TRIFLE, len(one.out_of_reach), one.plan.kind.place == "low"
    return *fits, rank.faulty, one.unmade, rank.before_notes, round(one.length, 1), rank


def _with_note(made: Design) -> Design:
    if NOTE in (made.notes or ""):
        return made
    return replace(made, notes=f"{made.notes}\n{NOTE}" if made.notes else NOTE)


def floor_points(design: Design) -> list[tuple[float, float]]:
    """Where the collector and every port of a placed design stand on the floor, m."""
    return [position(design.collector)[:2], *(at[:2] for at in port_places(design).values())]


def on_floor(space: Space, design: Design) -> float:
    """Metres of duct on the floor plan, eastward and northward added up, hoses led to their ports."""
    ends = {run.id: space.ports[run.ends] for run in design.runs if run.ends and run.ends in space.gaps}
    length = 0.0
    for run, way in space.ways.items():
        for stretch in way.stretches:
            last = stretch is way.stretches[-1]
            end = ends.get(run, stretch.end) if last else stretch.end
            length += abs(end[0] - stretch.start[0]) + abs(end[1] - stretch.start[1])
    return length
