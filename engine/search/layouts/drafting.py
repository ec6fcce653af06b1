"""First layouts of ducts from where machines and collector stand: to be edited, not to be built from.

`drafts` takes a design that has everything but ducts and gives it mains with
gated branches in several ways, judged by their air; `draft` takes the best.
What is left open is filled in with ordinary values and written into the
design, where it can be seen and changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from engine.air.gate_sets import solve_set, working_ports
from engine.air.network import Tree, compile_tree
from engine.checks.assess import assess
from engine.checks.look import look_at
from engine.checks.space import SPACE_CHECKS
from engine.design import Design, gate_sets_of, system
from engine.search.layouts.draft_sizes import main_size
from engine.search.layouts.drafted_runs import with_runs
from engine.search.layouts.layouts import Layout, best_of_each
from engine.search.layouts.routes import HOSE_RISE
from engine.search.layouts.shop import Shop, needs_of, ready, shop_of, why_no_ducts
from engine.search.layouts.shop_defaults import position
from engine.search.layouts.steiner import least_length
from engine.search.layouts.trunks import Task
from engine.search.proposals import Proposal, Standing, Step, standing, standing_in_words
from engine.search.ranking import Rank, tenths_lacking, unfit_by
from engine.space.geometry import Space, port_places
from engine.space.room import room_of
from engine.units.words import counted, rough_length

NOTE = "First draft from positions, to be edited: measure the shop, then correct lengths, heights and bores."

# How high a main runs, over heads, and how far a branch drops at least before its hose, m: common practice, no source.
_HEADROOM = {"metric": 2.2, "imperial": 7 * 0.3048}
_LEAST_DROP = 0.2
# A hose or a layout that misses by less than this, m, is a matter of rounding.
_A_TRIFLE = 0.05
# Layouts with something in their way are shown only where there are fewer without.
_FEWEST = 2


def draft(design: Design) -> Design:
    """The design with ducts to every port, in place of any it had; consistent where it was so without them.

    The best of `drafts`; where there is none, the design has no ducts.
    """
    *_, last = drafts(design)
    return last.proposals[0].design if last.proposals else ready(design)


def drafts(design: Design) -> Iterator[Step]:
    """Different layouts for a design, in place of any ducts it had, best first; none where no machine has a port, or there are too many.

    One main, and two from a Y, each along a wall or beside the machines,
    through their middle and, where ports are high enough, under the benches:
    branches at 45 deg with the gate at the main, at most 1 m of hose, cleanouts
    along the main and at its end. Where the site has walls, a ceiling or
    zones, ways through them are avoided. In the order of `ranking`, where a
    layout fits the room if nothing is in its way, every hose is long enough
    and no main lies on the floor; of equals the one of less duct.
    """
    if why := why_no_ducts(design):
        yield Step(1, 1, why, ())
        return
    shop = shop_of(design)
    plans = best_of_each(task_of(shop))
    least, exact = least_length(floor_points(shop.design))
    free = tuple(plan for plan in plans if plan.barred <= _A_TRIFLE)
    plans = free if len(free) >= _FEWEST else plans
    found: list[Draft] = []
    for i, plan in enumerate(plans):
        found.append(best_draft(shop, [plan], draft_order))
        found.sort(key=draft_order)
        yield Step(i + 1, len(plans), title_of(plan), tuple(_proposal(one, least, exact) for one in found))


@dataclass(frozen=True, slots=True)
class Draft:
    """A layout as a design, and how it stands.

    Metres of duct and hose, and as seen from above along the walls'
    directions; how often two ducts are in one place; ports no hose reaches.
    """

    plan: Layout
    design: Design
    standing: Standing
    length: float
    on_floor: float
    crossings: int
    out_of_reach: tuple[str, ...]

    @property
    def troubled(self) -> bool:
        """Whether part of it lies where no duct can, or a hose does not reach."""
        return self.plan.barred > _A_TRIFLE or bool(self.out_of_reach)


def task_of(shop: Shop) -> Task:
    """What is to be laid in a shop with at least one branch."""
    design, branches = shop.design, shop.branches
    main = main_size(design, needs_of(branches), [branch.size for branch in branches], shop.sizes)
    stops = tuple(branch.stop for branch in branches)
    above = HOSE_RISE + _LEAST_DROP + max(stop.pipe.bend for stop in stops)
    height = max(_HEADROOM[system(design)], max(stop.at[2] for stop in stops) + above)
    return Task(position(design.collector), design.collector.faces, stops, main.pipe, height, room_of(design.site))


def best_draft(shop: Shop, plans: Sequence[Layout], order: Callable[[Draft], Any]) -> Draft:
    """The best of at least one layout made into a design and judged, with mains wide or narrow.

    By an `order` that begins as that of drafts does: a design that comes after
    another by how it fits the room, or by the gate set in which that one is
    shortest, is judged no further.
    """
    best: Draft | None = None
    for plan in plans:
        wide, narrow = (with_runs(shop, plan, narrow=narrow) for narrow in (False, True))
        for made in [wide] if [run.size for run in wide.runs] == [run.size for run in narrow.runs] else [wide, narrow]:
            if best is None or _can_come_before(best, plan, made):
                one = _judge(plan, _with_note(made))
                best = one if best is None else min(best, one, key=order)
    if best is None:
        raise ValueError("no layout to draft")
    return best


def _can_come_before(best: Draft, plan: Layout, made: Design) -> bool:
    """Whether the design made of a plan may be better than a draft, by what is quickly told of it."""
    tree, rank = compile_tree(made), best.standing.rank
    in_the_way = best.troubled or rank.unfit > 0
    if not in_the_way and _is_shorter(best, made, tree):
        return False
    look = look_at(made, tree)
    troubles = (plan.barred > _A_TRIFLE, len(_out_of_reach(look.space))), (best.plan.barred > _A_TRIFLE, len(best.out_of_reach))
    if troubles[0] != troubles[1]:
        return best.troubled
    unfit = unfit_by((found for check in SPACE_CHECKS for found in check(look)), made)
    return unfit < rank.unfit or (unfit == rank.unfit and not (in_the_way and _is_shorter(best, made, tree)))


def _is_shorter(best: Draft, made: Design, tree: Tree) -> bool:
    """Whether a design is shorter of air than a draft, in the gate set in which that one is shortest."""
    sets = [one for one in gate_sets_of(made) if one.name == best.standing.gate_set]
    shares = [state.flow / state.needs for one in sets for _, state in working_ports(solve_set(tree, one))]
    return bool(shares) and tenths_lacking(min(shares)) > best.standing.rank.short


def _out_of_reach(space: Space) -> tuple[str, ...]:
    return tuple(port for port, gap in space.gaps.items() if gap.distance > gap.hose + _A_TRIFLE)


def _with_note(made: Design) -> Design:
    if NOTE in (made.notes or ""):
        return made
    return replace(made, notes=f"{made.notes}\n{NOTE}" if made.notes else NOTE)


def _judge(plan: Layout, made: Design) -> Draft:
    found = assess(made)
    space = found.look.space
    return Draft(
        plan=plan, design=made, standing=standing(found),
        length=sum(way.length for way in space.ways.values()),
        on_floor=on_floor(space, made),
        crossings=sum(finding.code == "ducts-cross" for finding in found.findings),
        out_of_reach=_out_of_reach(space),
    )  # fmt: skip


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


def draft_order(one: Draft) -> tuple[bool, int, bool, tuple[float, ...], float, Rank]:
    """What drafts are put in order by, the best first."""
    standing = one.standing.rank.before_notes, round(one.length, 1), one.standing.rank
    return one.plan.barred > _A_TRIFLE, len(one.out_of_reach), one.plan.kind.place == "low", *standing


# ---- in words

_MAINS = {1: "one main", 2: "two mains from a Y"}


def title_of(plan: Layout) -> str:
    """What a layout is, in a few words."""
    where = {
        "wall": f"along the {plan.side} wall", "beside": f"{plan.side} of the machines",
        "middle": "through the middle", "low": "under the benches",
    }[plan.kind.place]  # fmt: skip
    return f"{_MAINS[plan.kind.mains]} {where}"


def _proposal(one: Draft, least: float, exact: bool) -> Proposal:
    return Proposal(title_of(one.plan), reason_of(one, least, exact), one.design, one.standing)


def reason_of(one: Draft, least: float, exact: bool) -> str:
    """Why a layout stands where it does, in words; `least` metres on the floor no layout along the walls' directions can go below."""
    said = []
    metres = partial(rough_length, units=system(one.design))
    if one.plan.barred > _A_TRIFLE:
        said.append(f"{metres(one.plan.barred)} of it lie behind a wall, above the ceiling or in a zone")
    if one.out_of_reach:
        said.append(f"no hose of good length reaches {', '.join(one.out_of_reach)}")
    said.append(standing_in_words(one.standing))
    bound = f"{metres(least)} is the least there can be" if exact else f"none can do with less than {metres(least)}"
    said.append(f"{metres(one.length)} of duct; seen from above and along the walls' directions {metres(one.on_floor)}, where {bound}")
    if one.crossings:
        said.append(f"{counted(one.crossings, 'duct meets', 'ducts meet')} another and must be led over or under it")
    height = one.plan.arms[0].ways[0].joint[2]
    if one.plan.kind.place != "low" and height < _HEADROOM[system(one.design)] - _A_TRIFLE:
        said.append(f"the main runs {metres(height)} above the floor: mind heads")
    if one.plan.kind.place == "low":
        said.append("it lies on the floor, where nobody can walk across it")
    return "; ".join(said)
