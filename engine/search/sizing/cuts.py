"""What a broken rule excludes: not only the choice that breaks it, but the largest box of sizes around it.

A box is as large as its best corner breaks the rule still. That a corner is
best rests on monotonicity: a port's flow rises with the bores on its way and
falls with all others that carry air; a run's with those on its way and beyond
it.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.search.sizing.plant import Choice, Plant
from engine.search.sizing.plant.rules import Rule
from engine.values import dataclass

_CUTS_A_CHOICE = 12


@dataclass(frozen=True, slots=True)
class Cut:
    """Sizes excluded by a rule, None for one choice alone.

    (run, size): at least one run of `above` is to be larger than that, or one
    of `below` smaller.
    """

    rule: Rule | None
    above: tuple[tuple[int, int], ...]
    below: tuple[tuple[int, int], ...]


def cut_alone(choice: Choice) -> Cut:
    """The cut of one choice and no other."""
    return Cut(None, tuple(enumerate(choice)), tuple(enumerate(choice)))


def cuts_of(plant: Plant, choice: Choice) -> Iterator[Cut]:
    """A cut for the most broken rules of a choice, one for each gate set at least."""
    broken = sorted(((by, rule) for answer in plant.answers.every(choice) for rule, by in answer.broken), key=lambda pair: -pair[0])
    firsts = list({rule.gate_set: rule for _, rule in reversed(broken)}.values())
    rest = [rule for _, rule in broken if rule not in firsts]
    for rule in (firsts + rest)[:_CUTS_A_CHOICE]:
        yield cut_of(plant, choice, rule)


def cut_of(plant: Plant, choice: Choice, rule: Rule) -> Cut:
    """The largest box around a choice that the best corner of breaks the rule in too, as grown one run after the other."""
    sides = _sides(plant, rule)
    corner = list(choice)
    for i in (*sides.hinder, *sides.help):
        end = len(plant.choices.options[i]) - 1 if i in sides.help else 0
        step = 1 if end > corner[i] else -1
        for k in range(end, corner[i], -step):
            tried = corner.copy()
            tried[i] = k
            if plant.answers.answer(tuple(tried), rule.gate_set).breaks(rule):
                corner = tried
                break
    own = [(i, choice[i]) for i in sides.own]
    above = [(i, corner[i]) for i in sides.help] + own
    below = [(i, corner[i]) for i in sides.hinder] + own
    return Cut(rule, tuple(above), tuple(below))


@dataclass(frozen=True, slots=True)
class _Sides:
    """The runs whose larger bores help against a broken rule, those whose smaller ones do, and those held as they are."""

    help: list[int]
    hinder: list[int]
    own: list[int]


def _sides(plant: Plant, rule: Rule) -> _Sides:
    live, choices = plant.answers.live[rule.gate_set], plant.choices
    if rule.kind == "least":
        way = set(choices.way_to(rule.what))
        return _Sides([i for i in live if i in way], [i for i in live if i not in way], [])
    run = choices.tree.index[rule.what]
    near = {*choices.inward(run), *choices.outward(run)} - {run}
    feeding, taking = [i for i in live if i in near], [i for i in live if i not in near and i != run]
    return _Sides(feeding, taking, [run]) if rule.kind == "slow" else _Sides(taking, feeding, [run])
