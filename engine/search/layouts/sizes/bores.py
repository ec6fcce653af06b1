"""Bores for the ducts of a layout: a local search at the true balance of every gate set, in the order that drafts are offered in."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain, islice
from math import ceil
from random import Random
from typing import NamedTuple

from engine.air.along import length_of
from engine.checks.conditions import mains
from engine.design import Design
from engine.search.ranking import settled_in
from engine.search.sizing import local
from engine.search.sizing.plant import Choice, Choices, Plant, plant_of
from engine.search.sizing.plant.rules import Answer

# A run in which the load settles counts so much besides what it lacks: fewer such runs come before less of it.
_A_FAULT = 0.1
_ROUNDING = 1e-6
# How far above the slow limit the sizes to begin from are aimed at; the seed of the order of moves: the same finds the same.
_SPEEDS, _SEED = (1.0, 1.3), 1
# What one descent may look at: so many choices, times their runs and gate sets; where that are few, it is not worth its time.
_MOST_WORK, _TOO_FEW = 250_000, 50
# How often a thorough search begins anew near the best it has.
_SHAKEN = 2


def fitted(design: Design, *, margin: float = 0.0, thorough: bool = False, near: Sequence[Design] = ()) -> Design:
    """A consistent design with the sizes that a local search comes to, from its own sizes or those for the flows needed.

    Every machine is to get its need and a `margin`, a share of it, more;
    `thorough` begins from each of them, and anew near the best. Where one of
    the fitted designs `near`, whose runs join as here, has better sizes than
    these, it only goes on from those.
    """
    plant = plant_of(design, share=1.0 + margin)
    worth, rng, choices = _Worth(plant), Random(_SEED), plant.choices
    known = [_sizes_of(choices, other) for other in near if alike(other, design)]
    usual = [choices.today(), *(local.by_speed(choices, factor) for factor in _SPEEDS)]
    plant.answers.prepare([*known, *usual])
    starts, others = (sorted((local.look(plant, choice) for choice in dict.fromkeys(some)), key=worth.by_figures) for some in (usual, known))

    def end(start: local.Found, *, by_figures: bool = True) -> local.Found:
        moves = Random(_SEED)
        return _descended(plant, _descended(plant, start, worth.by_figures, moves) if by_figures else start, worth.by_conditions, moves)

    first = min([*others, *starts], key=worth.by_conditions)
    if first in others and not thorough:
        return choices.design_of(end(first, by_figures=False).choice)
    best = min(map(end, starts if thorough else starts[:1]), key=worth.by_conditions)
    for _ in range(_SHAKEN if thorough else 0):
        best = min(best, end(local.look(plant, local.shaken(choices, best.choice, rng))), key=worth.by_conditions)
    return choices.design_of(best.choice)


def alike(one: Design, other: Design) -> bool:
    """Whether runs of the same names join in the same way."""
    return [(run.id, run.joins) for run in one.runs] == [(run.id, run.joins) for run in other.runs]


def _sizes_of(choices: Choices, other: Design) -> Choice:
    """The choice of the sizes that another design of the same runs has, its own where one cannot be chosen; none widens outward."""
    sizes = {run.id: run.size for run in other.runs}
    rows = zip(choices.runs, choices.options, choices.today(), strict=True)
    return choices.narrow([next((k for k, option in enumerate(options) if option.ref == sizes[run]), own) for run, options, own in rows])


def _descended(plant: Plant, start: local.Found, worth: local.Aim, rng: Random) -> local.Found:
    most = _MOST_WORK // (len(plant.choices.runs) * len(plant.choices.sets))
    if most < _TOO_FEW:
        return start
    return min(chain([start], islice(local.descend(plant, start, worth, rng), most)), key=worth)


class _Broken(NamedTuple):
    """What an answer breaks: how far chips settle, in how many metres of duct, along which mains; along which it is slow, along which fast."""

    off: float
    metres: float
    settling: frozenset[str]
    slow: frozenset[str]
    fast: frozenset[str]


class _Worth:
    """What a choice is worth, the least first: by how far it is off, which leads a search on, and as `ranking` counts."""

    def __init__(self, plant: Plant) -> None:
        choices = plant.choices
        self._wanted = plant.answers.flows.share
        self._settles = {run: choices.look.limits[run].settles.least for run in choices.runs}
        self._main = mains(choices.design.runs)
        self._length = {duct.run: length_of(duct) for duct in choices.tree.runs}
        # Choices share most of their answers. By their ids: each is held, so that it keeps its own.
        self._known: dict[int, tuple[Answer, _Broken]] = {}

    def by_figures(self, found: local.Found) -> local.Worth:
        """Needs, then how far chips settle, then how far speeds are off, then the price."""
        return self._short(found, 10), sum([self._broken(answer).off for answer in found.answers]), found.off, found.price

    def by_conditions(self, found: local.Found) -> local.Worth:
        """Needs, then along how many mains chips settle and in how much duct, how many mains are fast, how many slow, the price."""
        broken = [self._broken(answer) for answer in found.answers]
        settling, fast, slow = (len(frozenset().union(*mains)) for mains in zip(*((one.settling, one.fast, one.slow) for one in broken), strict=True))
        settled = settled_in(sum([one.metres for one in broken]))
        return self._short(found, 10), settling, settled, fast, slow, self._short(found, 100), found.price

    def _short(self, found: local.Found, parts: int) -> int:
        """Parts, begun, of what it should get that the neediest machine lacks."""
        return max(ceil((1.0 - found.share / self._wanted - _ROUNDING) * parts), 0)

    def _broken(self, answer: Answer) -> _Broken:
        known = self._known.get(id(answer))
        if known is None:
            known = self._known[id(answer)] = answer, self._told(answer)
        return known[1]

    def _told(self, answer: Answer) -> _Broken:
        # How far below the speed at which chips settle each slow run is, a share of it.
        misses = [(rule.what, 1.0 - rule.bound * (1.0 - by) / self._settles[rule.what]) for rule, by in answer.broken if rule.kind == "slow"]
        faults = [(run, miss) for run, miss in misses if miss > 0.0]
        return _Broken(
            off=sum(_A_FAULT + miss for _, miss in faults), metres=sum(self._length[run] for run, _ in faults),
            settling=frozenset(self._main[run] for run, _ in faults), slow=frozenset(self._main[run] for run, miss in misses if miss <= 0.0),
            fast=frozenset(self._main[rule.what] for rule, _ in answer.broken if rule.kind == "fast"),
        )  # fmt: skip
