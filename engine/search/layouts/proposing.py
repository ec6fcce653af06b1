"""Drafts as proposals: what each layout is, and how it stands, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from engine.checks.subjects.earthing import insulating_pipes
from engine.design import Design, system
from engine.search.layouts.drafting import A_TRIFLE, Draft, drafted, floor_points, task_of
from engine.search.layouts.proven import proven
from engine.search.layouts.shop import ready, shops_of, why_no_ducts
from engine.search.layouts.sizes.sure import Sure, sure
from engine.search.layouts.standing_against import Barrier, barriers
from engine.search.layouts.ways.steiner import least_length
from engine.search.proposals import Proposal, Step, over_work, standing_in_words
from engine.units.words import counted, listed, rough_length, share_text

# So many ways out are told of each fault; less than this is no difference in price.
_MOST_WAYS, _NO_MONEY = 3, 0.5


def drafts(design: Design, *, certain: bool = False) -> Iterator[Step]:
    """Different layouts for a design, in place of any ducts it had, best first; none where no machine has a port, or there are too many.

    One main, and two from a Y, along walls, beside the machines or through
    their middle, tight under the ceiling where one is known: branches at 45
    deg, a gate that a hand reaches, at most 1 m of hose, cleanouts along the
    main and at its end. Where the site has walls, a ceiling or zones, ways
    through them are avoided. Bores are searched for every layout. `certain`:
    the best is offered too in bores that give every machine its need at the
    low side of its band.
    """
    if why := why_no_ducts(design):
        yield Step(1, 1, why, ())
        return
    several = len(shops_of(design)) > 1
    least, exact = least_length(floor_points(ready(design)))

    def proposal(one: Draft) -> Proposal:
        return over_work(design, Proposal(title_of(one, several), reason_of(one, least, exact), one.design, one.standing))

    for step in drafted(design):
        yield Step(step.done, step.of, title_of(step.at, several), tuple(map(proposal, step.found)))
    best, *others = step.found
    if best.standing.faults:
        best, known = proven(best)
    if best.standing.faults:
        told = " ".join(sentence(one, best.design) for one in barriers(best, others))
        first = replace(proposal(best), reason=f"{reason_of(best, least, exact)}. {told} {known}")
        yield Step(step.of, step.of, "what would free it of faults", (first, *map(proposal, others)))
    else:
        first = proposal(best)
    if certain and (made := sure(best)):
        safe = replace(
            proposal(made.draft), title=f"{title_of(best, several)}, sure", reason=f"{in_words(made, best.design)}; {proposal(made.draft).reason}"
        )
        yield Step(step.of, step.of, "sure of every need", (first, *map(proposal, others), safe))


def title_of(one: Draft, several: bool = False) -> str:
    """What a draft is, in a few words; with its pipe where the store has several."""
    return f"{one.title}, in {one.shop.stock.id}" if several else one.title


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


def in_words(made: Sure, design: Design) -> str:
    """What a draft that is sure of every need gives, and costs more."""
    if made.now <= made.before < 1.0:
        return f"no surer bores were found: at the low side of its band the neediest machine gets {share_text(made.before)} of its need"
    got = share_text(made.now) if made.now < 1.0 else "all"
    costs = f"for {made.price:.0f}{f' {design.currency}' if design.currency else ''} more" if made.price >= _NO_MONEY else "for no more"
    return f"at the low side of its band the neediest machine gets {got} of its need, {share_text(made.before)} without, {costs}"


def sentence(one: Barrier, design: Design) -> str:
    """What stands against a draft, and what would free it, tried and priced."""
    finding, sets = one.finding, one.gate_sets
    runs = len({fault.where for fault in one.faults})
    more = f" (and {counted(runs - 1, 'run')} beyond or before it)" if runs > 1 else ""
    worst = f", worst in {finding.gate_set}" if len(sets) > 1 else ""
    happens = f" in {listed(sets, _MOST_WAYS)}{worst}" if sets else ""
    against = f"Against it stands {finding.where}{more}{happens}: {finding.message}."
    if not one.ways_out:
        return f"{against} None of what was tried would free it: a gate opened too, a set split, a bleed inlet, a stronger collector, another layout."
    ways = sorted(one.ways_out, key=lambda way: way.price)
    return f"{against} It would be free with {'; or '.join(way.title + _price(way.price, design) for way in ways[:_MOST_WAYS])}."


def _price(more: float, design: Design) -> str:
    if abs(more) < _NO_MONEY:
        return ""
    return f" ({abs(more):.0f}{f' {design.currency}' if design.currency else ''} {'more' if more > 0 else 'less'})"
