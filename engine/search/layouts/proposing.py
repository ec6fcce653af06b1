"""Drafts as proposals: what each layout is, and how it stands, in words."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from engine.checks.earthing import insulating_pipes
from engine.design import Design, system
from engine.search.layouts.drafting import A_TRIFLE, Draft, drafted, floor_points, task_of
from engine.search.layouts.layouts import Layout
from engine.search.layouts.shop import ready, shops_of, why_no_ducts
from engine.search.layouts.steiner import least_length
from engine.search.proposals import Proposal, Step, standing_in_words
from engine.units.words import counted, listed, rough_length

_MAINS = {1: "one main", 2: "two mains from a Y"}


def drafts(design: Design) -> Iterator[Step]:
    """Different layouts for a design, in place of any ducts it had, best first; none where no machine has a port, or there are too many.

    One main, and two from a Y, along walls, beside the machines or through
    their middle, tight under the ceiling where one is known: branches at 45
    deg, a gate that a hand reaches, at most 1 m of hose, cleanouts along the
    main and at its end. Where the site has walls, a ceiling or zones, ways
    through them are avoided. Bores are searched for every layout.
    """
    if why := why_no_ducts(design):
        yield Step(1, 1, why, ())
        return
    several = len(shops_of(design)) > 1
    least, exact = least_length(floor_points(ready(design)))
    for step in drafted(design):
        proposals = tuple(Proposal(title_of(one, several), reason_of(one, least, exact), one.design, one.standing) for one in step.found)
        yield Step(step.done, step.of, title_of(step.at, several), proposals)


def title_of(one: Draft, several: bool = False) -> str:
    """What a draft is, in a few words; with its pipe where the store has several."""
    title = layout_in_words(one.plan)
    return f"{title}, in {one.shop.stock.id}" if several else title


def layout_in_words(plan: Layout) -> str:
    """What a layout is: "one main along the south wall"."""
    place, sides = plan.kind.place, listed(plan.sides, 3)
    match place:
        case "middle":
            where = "through the middle"
        case "low":
            where = "under the benches"
        case "beside":
            where = f"{sides} of the machines"
        case _:
            where = f"along the {sides} wall{'s' if len(plan.sides) > 1 else ''}"
    return f"{_MAINS[plan.kind.mains]} {where}"


def reason_of(one: Draft, least: float, exact: bool) -> str:
    """Why a layout stands where it does, in words; `least` metres on the floor no layout along the walls' directions can go below."""
    said = []
    metres = partial(rough_length, units=system(one.design))
    if one.plan.barred > A_TRIFLE:
        said.append(f"{metres(one.plan.barred)} of it lie behind a wall, above the ceiling or in a zone")
    if one.out_of_reach:
        said.append(f"no hose of good length reaches {', '.join(one.out_of_reach)}")
    said.append(standing_in_words(one.standing))
    bound = f"{metres(least)} is the least there can be" if exact else f"none can do with less than {metres(least)}"
    said.append(f"{metres(one.length)} of duct; seen from above and along the walls' directions {metres(one.on_floor)}, where {bound}")
    if one.shop.stock.id in insulating_pipes(one.design):
        said.append(f"{one.shop.stock.id} cannot be earthed")
    if one.crossings:
        said.append(f"{counted(one.crossings, 'duct meets', 'ducts meet')} another and must be led over or under it")
    if one.plan.kind.place == "low":
        said.append("it lies on the floor, where nobody can walk across it")
    elif task_of(one.shop).is_at_heads(one.plan.height):
        said.append(f"the main runs {metres(one.plan.height)} above the floor: mind heads")
    return "; ".join(said)
