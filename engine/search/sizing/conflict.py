"""Where no choice of sizes works: the smallest set of requirements that cannot be met together, and what would free them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from engine.design import Design, GateSet, gate_sets_of
from engine.search.sizing import local
from engine.search.sizing.cuts import Cut
from engine.search.sizing.plant import Plant, plant_of
from engine.search.sizing.plant.rules import Rule
from engine.search.sizing.program import Program


def conflict(plant: Plant, cuts: Sequence[Cut]) -> tuple[Rule, ...]:
    """Rules that no choice keeps all at once, none of which can be left out; `cuts` are those of a proof that nothing works.

    A deletion filter: each rule's cuts are left out in turn, and stay out
    where what is left still has no answer.
    """
    rules = list(dict.fromkeys(cut.rule for cut in cuts if cut.rule is not None))
    kept = list(rules)
    for rule in sorted(rules, key=lambda rule: rule.kind == "least"):  # a limit goes rather than a machine's need
        fewer = [other for other in kept if other != rule]
        if _is_impossible(plant, [cut for cut in cuts if cut.rule is None or cut.rule in fewer]):
            kept = fewer
    return tuple(sorted(kept, key=lambda rule: (rule.gate_set, rule.kind != "least", rule.kind == "fast")))


def _is_impossible(plant: Plant, cuts: Sequence[Cut]) -> bool:
    program = Program(plant.choices, plant.prices)
    for cut in cuts:
        program.exclude(cut)
    return program.solve(whole=True).impossible


def in_words(plant: Plant, rules: Sequence[Rule]) -> str:
    """Requirements in a sentence."""
    return "; ".join(_rule_in_words(plant, rule) for rule in rules)


def told(plant: Plant, rules: Sequence[Rule]) -> str:
    """A conflict in lines: each requirement, and why no size keeps them all."""
    listed = "".join(f"- {_rule_in_words(plant, rule)}\n" for rule in rules)
    kinds = {rule.kind for rule in rules}
    if "slow" in kinds and len(kinds) > 1:
        return listed + "Narrower pipe keeps the air fast enough, wider pipe gives what the rest wants, and no stocked size does both.\n"
    return listed + "No stocked size gives all of these.\n"


def _rule_in_words(plant: Plant, rule: Rule) -> str:
    look, at = plant.choices.look, plant.choices.sets[rule.gate_set].name
    match rule.kind:
        case "least":
            return f"with {at}, {rule.what} needs {look.show(rule.limit, 'flow')}"
        case "slow":
            return f"with {at}, {rule.what} needs {look.about(rule.limit, 'speed', least=True)} or more to carry its chips"
        case "fast":
            return f"with {at}, {rule.what} is to stay at {look.about(rule.limit, 'speed')} or less"


def helpers(plant: Plant, rules: Sequence[Rule]) -> Iterator[tuple[str, str] | None]:
    """(gate set, machine) where that machine's gate opened too lets the sets of a conflict be met; None after a trial without success."""
    choices = plant.choices
    involved = {choices.sets[at].name for at in {rule.gate_set for rule in rules}}
    connected = {port.split("/")[0] for port in choices.tree.leaf_of}
    for gate_set in (one for one in choices.sets if one.name in involved):
        for machine in choices.design.machines:
            if machine.id in connected and machine.id not in gate_set.open:
                wider = _with_gate_open(choices.design, gate_set, machine.id, only=involved)
                trial = plant_of(wider, share=plant.answers.flows.share, lenient=plant.answers.lenient, throttled=plant.throttled, idle_narrow=True)
                yield (gate_set.name, machine.id) if _can_be_met(trial) else None


def _can_be_met(plant: Plant) -> bool:
    return any(found.off == 0.0 for found in local.search(plant, local.nearest, starts=1))


def _with_gate_open(design: Design, gate_set: GateSet, machine: str, *, only: set[str]) -> Design:
    """The design with a machine more at work in a gate set, and only these of the gate sets written."""
    wider = replace(gate_set, open=(*gate_set.open, machine))
    sets = (wider if one.name == gate_set.name else one for one in gate_sets_of(design))
    return replace(design, gate_sets=tuple(one for one in sets if one.name in only))
