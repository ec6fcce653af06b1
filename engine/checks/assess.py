"""Assess a design: every gate set solved, and all findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from engine.air.gate_sets import SetResult, solve_sets, working_ports
from engine.air.one.ducts import area
from engine.air.one.network import Tree, compile_tree
from engine.air.properties import Air
from engine.checks.accepted import RECORD_CHECKS, with_accepted
from engine.checks.conditions import Condition, conditions_of
from engine.checks.look import Limits, Look, look_at
from engine.checks.opposites import joined
from engine.checks.rules import SEVERITIES, Finding
from engine.checks.subjects.air import SET_CHECKS
from engine.checks.subjects.fittings import FITTING_CHECKS
from engine.checks.subjects.given import GIVEN_CHECKS
from engine.checks.subjects.layout import LAYOUT_CHECKS
from engine.checks.subjects.room import ROOM_CHECKS
from engine.checks.subjects.space import SPACE_CHECKS
from engine.checks.subjects.stock import STOCK_CHECKS
from engine.checks.subjects.whole_shop import SHOP_CHECKS
from engine.design import Design, gate_sets_of
from engine.design.kept import WHOLES, kept
from engine.values import dataclass

DESIGN_CHECKS = (*GIVEN_CHECKS, *LAYOUT_CHECKS, *FITTING_CHECKS, *SPACE_CHECKS, *ROOM_CHECKS, *STOCK_CHECKS, *RECORD_CHECKS)


@dataclass(frozen=True, slots=True)
class Assessment:
    """What screens and reports show of a design; `of_sets` are the findings of each gate set by itself, as its checks made them."""

    design: Design
    look: Look
    sets: tuple[SetResult, ...]
    of_sets: tuple[tuple[Finding, ...], ...]
    findings: tuple[Finding, ...]

    @property
    def tree(self) -> Tree:
        """The compiled network."""
        return self.look.tree

    @property
    def air(self) -> Air:
        """The air of the shop."""
        return self.look.tree.air

    def limits(self, run: str) -> Limits:
        """How fast a run should be, m/s."""
        return self.look.limits[run]

    @property
    def conditions(self) -> tuple[Condition, ...]:
        """The findings folded: one for each cause, in their order."""
        return conditions_of(self.findings, self.design)

    def count(self, severity: str) -> int:
        """How many conditions of a severity there are that nobody accepted."""
        return sum(one.severity == severity and not one.accepted for one in self.conditions)

    def spread(self, severity: str) -> int:
        """In how many places and gate sets together the conditions of a severity show that nobody accepted."""
        return sum(found.severity == severity and not found.accepted for found in self.findings)

    @property
    def accepted(self) -> int:
        """How many conditions are accepted."""
        return sum(one.accepted for one in self.conditions)

    @property
    def has_faults(self) -> bool:
        """Whether there is a fault, accepted or not: accepting one mends nothing."""
        return any(found.severity == "fault" for found in self.findings)

    def slowest(self, result: SetResult) -> tuple[str, float] | None:
        """(run, speed where it is widest) of the drawing run that is slowest against its own slow limit."""
        carried = result.balance.carried if result.balance else {}
        runs = [(run, flow / area(self.look.widest[run].bore)) for run, flow in carried.items()]
        return min(runs, key=lambda row: row[1] / self.limits(row[0]).slow.value, default=None)

    def neediest(self, result: SetResult) -> tuple[str, float] | None:
        """(port, share of its need) of the working machine that gets least of what it needs."""
        return min(((port, state.flow / state.needs) for port, state in working_ports(result)), key=lambda row: row[1], default=None)

    def worst(self, result: SetResult) -> str:
        """Severity of the worst finding of a gate set's own: "fault", "caution", "note", or "" for none."""
        return _worst_of_sets(self).get(result.gate_set.name, "")

    def passes(self, result: SetResult) -> bool:
        """Whether a gate set is free of faults of its own."""
        return self.worst(result) != "fault"


@kept(WHOLES)
def _worst_of_sets(assessment: Assessment) -> Mapping[str, str]:
    """Severity of the worst finding of each gate set's own; without those that have none."""
    worst: dict[str, str] = {}
    for found in sorted(assessment.findings, key=lambda found: SEVERITIES.index(found.severity)):
        for name in (found.gate_set,) if found.gate_set else _sets_cut_off(assessment, found):
            worst.setdefault(name, found.severity)
    return worst


def _sets_cut_off(assessment: Assessment, found: Finding) -> Iterator[str]:
    """The gate sets with a machine at work that a hose which does not reach keeps from its duct."""
    run = assessment.look.runs.get(found.where)
    if run and run.ends and found.code == "hose-short" and found.severity == "fault":
        machine = run.ends.split("/")[0]
        yield from (result.gate_set.name for result in assessment.sets if machine in result.gate_set.open)


def assess(design: Design, before: Assessment | None = None) -> Assessment:
    """Solve every gate set of a consistent design and gather its findings, worst first, in the order of CONCERNS.

    A set that does not balance is reported as a finding, not raised. `before`
    is the assessment of a design much alike: what has not changed is taken
    over from it, and the rest starts from its answers.
    """
    look = look_at(design, compile_tree(design, before=before.tree if before else None))
    return assessed(look, found_of_ducts(look), before)


def found_of_ducts(look: Look) -> tuple[Finding, ...]:
    """What is found of a design whatever gates are open."""
    return tuple([f for check in DESIGN_CHECKS for f in check(look)])


def assessed(look: Look, of_ducts: Iterable[Finding], before: Assessment | None = None) -> Assessment:
    """The assessment of a design that has been looked at, with what was found of its ducts; `before` as for `assess`."""
    design, tree = look.design, look.tree
    sets = solve_sets(tree, gate_sets_of(design), before.sets, before.tree) if before else solve_sets(tree, gate_sets_of(design))
    of_sets = _of_sets(look, sets, before)
    of_shop = [f for check in SHOP_CHECKS for f in check(look, sets)]
    told = with_accepted(design, joined([*(f for of_set in of_sets for f in of_set), *of_shop, *of_ducts]))
    return Assessment(design, look, sets, of_sets, tuple(sorted(told, key=lambda f: f.rank)))


def _of_sets(look: Look, sets: Iterable[SetResult], before: Assessment | None) -> tuple[tuple[Finding, ...], ...]:
    """The findings of each gate set; those of the assessment `before` where its answer, and all else that its checks look at, is the same."""
    known: dict[int, tuple[Finding, ...]] = {}
    if before and look.sees_sets_as(before.look):
        rows = zip(before.sets, before.of_sets, strict=True)
        known = {id(result): found for result, found in rows if look.sees_runs_as(before.look, result.balance.carried if result.balance else ())}
    return tuple([
        known[id(result)] if id(result) in known else tuple([found for check in SET_CHECKS for found in check(look, result)]) for result in sets
    ])  # fmt: skip
