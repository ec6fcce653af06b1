"""Where no choice of sizes works: the smallest set of requirements that cannot be met together, and what would free them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from engine.design import Design, GateSet, gate_sets_of
from engine.search.sizing import local
from engine.search.sizing.plant import Plant
from engine.search.sizing.proof import Cut, Model
from engine.search.sizing.rules import Rule

_OF_KIND = {"least": "{what} gets {limit}", "slow": "{what} at {limit} or faster", "fast": "{what} at {limit} or slower"}


def conflict(plant: Plant, cuts: Sequence[Cut]) -> tuple[Rule, ...]:
    """Rules that no choice keeps all at once, none of which can be left out; `cuts` are those of a proof that nothing works.

    A deletion filter: each rule's cuts are left out in turn, and stay out
    where what is left still has no answer.
    """
    rules = list(dict.fromkeys(cut.rule for cut in cuts if cut.rule is not None))
    kept = list(rules)
    for rule in sorted(rules, key=lambda rule: rule.kind == "least"):  # a limit goes rather than a machine's need
        fewer = [other for other in kept if other != rule]
        if _impossible(plant, [cut for cut in cuts if cut.rule is None or cut.rule in fewer]):
            kept = fewer
    return tuple(sorted(kept, key=lambda rule: (rule.gate_set, rule.kind != "least", rule.kind == "fast")))


def _impossible(plant: Plant, cuts: Sequence[Cut]) -> bool:
    model = Model(plant)
    for cut in cuts:
        model.exclude(cut)
    return model.solved(whole=True)[0] == "none"


def in_words(plant: Plant, rules: Sequence[Rule]) -> str:
    """The requirements of a conflict in a sentence, by gate set."""
    parts = []
    for at in dict.fromkeys(rule.gate_set for rule in rules):
        own = [_said(plant, rule) for rule in rules if rule.gate_set == at]
        parts.append(f"{plant.sets[at].name}: {' with '.join(own)}")
    return "; ".join(parts)


def _said(plant: Plant, rule: Rule) -> str:
    dimension = "flow" if rule.kind == "least" else "speed"
    return _OF_KIND[rule.kind].format(what=rule.what, limit=(plant.look.about if dimension == "speed" else plant.look.show)(rule.limit, dimension))


def helpers(plant: Plant, rules: Sequence[Rule]) -> Iterator[tuple[str, str] | None]:
    """(gate set, machine) where that machine's gate opened too lets the sets of a conflict be met; None after a trial without success."""
    design = plant.design
    involved = {plant.sets[at].name for at in {rule.gate_set for rule in rules}}
    connected = {port.split("/")[0] for port in plant.tree.leaf_of}
    for gate_set in (one for one in plant.sets if one.name in involved):
        for machine in design.machines:
            if machine.id in connected and machine.id not in gate_set.open:
                tried = _only(_opened(design, gate_set, machine.id), involved)
                yield (gate_set.name, machine.id) if _can_be_met(type(plant)(tried, lenient=plant.lenient)) else None


def _can_be_met(plant: Plant) -> bool:
    plant.free_idle()
    return any(found.off == 0.0 for found in local.search(plant, local.nearest, starts=1))


def _opened(design: Design, gate_set: GateSet, machine: str) -> Design:
    wider = replace(gate_set, open=(*gate_set.open, machine))
    return replace(design, gate_sets=tuple(wider if one.name == gate_set.name else one for one in gate_sets_of(design)))


def _only(design: Design, names: set[str]) -> Design:
    return replace(design, gate_sets=tuple(one for one in design.gate_sets if one.name in names))
