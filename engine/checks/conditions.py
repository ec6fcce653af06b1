"""Conditions: the findings of one cause, told as one.

A finding is about one place in one gate set. What wants mending is one thing
along a main, however many of its runs and gate sets show it; and hoses that
are too long, or gates out of reach, are one habit. So conditions are what is
counted and told; their findings are what they unfold into.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from functools import cached_property

from engine.checks.rules import Finding, Severity
from engine.design import Design, Gate, Hose, Run, joins_as
from engine.design.kept import WHOLES, kept
from engine.design.names import label
from engine.design.places import PieceAt
from engine.units.words import listed
from engine.values import dataclass

About = tuple[str, str]
# What is made alike all over a shop, by names that no run can have.
_ALIKE: Mapping[type, str] = {Hose: " hoses", Gate: " gates"}
_MOST_PLACES = 3


@dataclass(frozen=True)
class Condition:
    """Findings of one code and severity `about` one main or one place of a design, the worst first; all accepted, or none."""

    about: About
    findings: tuple[Finding, ...]
    design: Design = field(repr=False, compare=False)

    @cached_property
    def where(self) -> str:
        """Its places in a few words."""
        return _where(self.about, self.findings, self.design)

    @property
    def key(self) -> tuple[str, About]:
        """What it is known by from one assessment to the next: its standing, and what it is about."""
        return self.standing, self.about

    @property
    def worst(self) -> Finding:
        """The finding that is farthest past its limit; the first where none has one."""
        return self.findings[0]

    @property
    def code(self) -> str:
        """The code of its findings."""
        return self.worst.code

    @property
    def severity(self) -> Severity:
        """The severity of its findings."""
        return self.worst.severity

    @property
    def accepted(self) -> bool:
        """Whether its findings are accepted."""
        return self.worst.accepted is not None

    @property
    def standing(self) -> str:
        """Its severity in words: "fault", "accepted fault"."""
        return f"accepted {self.severity}" if self.accepted else self.severity

    @property
    def sets(self) -> tuple[str, ...]:
        """The gate sets it happens in; none where it always holds."""
        return tuple(dict.fromkeys(one.gate_set for one in self.findings if one.gate_set))

    @property
    def message(self) -> str:
        """What is the matter, from the least value to the largest, in the design's units."""
        return _message(self.findings)

    @property
    def remark(self) -> str:
        """Where it is worst, where that is not said by the rest; "" for one finding."""
        worst = self.worst
        if len(self.findings) == 1 or worst.measure is None or _range(self.findings) == worst.measure.told:
            return ""
        sets, runs = self.sets, {one.where for one in self.findings}
        return "worst" + (f" at {worst.where}" if len(runs) > 1 else "") + (f" with {worst.gate_set}" if len(sets) > 1 else "")

    @property
    def title(self) -> str:
        """Where it is and in how many gate sets, in one breath."""
        sets = self.sets
        if not sets:
            return self.where
        return f"{self.where} ({sets[0]})" if len(sets) == 1 else f"{self.where}, in {len(sets)} gate sets"

    @property
    def text(self) -> str:
        """All of it in one sentence: "main, all 6 stretches, in 5 gate sets: 10.2 to 14.7 m/s, slower than ...; worst with lathe alone"."""
        return f"{self.title}: {self.message}" + (f"; {self.remark}" if self.remark else "")

    @property
    def brief(self) -> str:
        """What, where and how much, for a line that is short."""
        sets = f", {len(self.sets)} gate sets" if len(self.sets) > 1 else ""
        told = _range(self.findings) if self.worst.measure else self.message.split(": ")[0].split("; ")[0]
        return f"{self.code}, {self.where}{sets}: {told}"


@kept(WHOLES)
def conditions_of(findings: tuple[Finding, ...], design: Design) -> tuple[Condition, ...]:
    """The conditions that some findings of a design are of, in the order of the findings; hoses of one cause are one, and gates, but for faults."""
    groups: dict[tuple[bool, Severity, About], list[Finding]] = {}
    for one, about in with_condition(findings, design):
        groups.setdefault((one.accepted is not None, one.severity, _habit(one, design) or about), []).append(one)
    return tuple(Condition(about, tuple(sorted(group, key=nearness)), design) for (_, _, about), group in groups.items())


def _habit(one: Finding, design: Design) -> About | None:
    """What a finding is about that tells how all hoses or gates of a shop are made, whatever gates are open; None for any other."""
    if one.gate_set is not None or one.severity == "fault" or not isinstance(one.place, PieceAt):
        return None
    kind = _ALIKE.get(type(design.runs[one.place.run].pieces[one.place.piece]))
    return (one.code, kind) if kind else None


def narrowed(condition: Condition, design: Design, gate_set: str) -> Condition | None:
    """What of a condition holds in a gate set; None for nothing."""
    own = tuple(one for one in condition.findings if one.gate_set in (None, gate_set))
    if len(own) == len(condition.findings):
        return condition
    return Condition(condition.about, own, design) if own else None


def with_condition(findings: Iterable[Finding], design: Design) -> list[tuple[Finding, About]]:
    """The findings of a design, each with what its condition is about: its code, and its main or its place."""
    main = mains(design.runs)
    return [(one, (one.code, main.get(one.where, one.where))) for one in findings]


@kept(WHOLES)
def mains(runs: tuple[Run, ...]) -> Mapping[str, str]:
    """Run -> the first run of the main it belongs to: those that go straight on from each other, from the collector or a joint outward."""
    inward = {run.id: run.joins for run in runs if joins_as(run) == "straight" and run.joins != "collector"}

    def first(run: str) -> str:
        while run in inward:
            run = inward[run]
        return run

    return {run.id: first(run.id) for run in runs}


def place_of(finding: Finding, design: Design) -> str:
    """The place of a finding in a few words, a piece with its run: "hose of lathe drop"."""
    return finding.where if finding.piece is None else label(design, finding.place)


def told_alone(finding: Finding, design: Design) -> str:
    """One finding in one sentence."""
    return f"{place_of(finding, design)}{f' ({finding.gate_set})' if finding.gate_set else ''}: {finding.message}"


def _where(about: About, findings: tuple[Finding, ...], design: Design) -> str:
    places = list(dict.fromkeys(place_of(one, design) for one in findings))
    if len(places) == 1:
        return places[0]
    runs, main = {one.where for one in findings}, mains(design.runs)
    first = main.get(findings[0].where, findings[0].where)
    if len(runs) == 1:
        return listed(places, _MOST_PLACES)
    if about[1] in _ALIKE.values():
        return f"{about[1].strip()} of {listed(list(dict.fromkeys(one.where for one in findings)), _MOST_PLACES)}"
    of = sum(known == first for known in main.values())
    part = f"{len(runs)} of {of}" if len(runs) < of else "both" if of == 2 else f"all {of}"
    return f"{first}, {part} stretches"


def nearness(one: Finding) -> float:
    """How little a finding is past its limit, negative for much."""
    return -abs(one.measure.value / one.measure.limit - 1.0) if one.measure and one.measure.limit else 0.0


def _message(findings: tuple[Finding, ...]) -> str:
    """What the findings say, with the range of their values; where limits differ each with its own, the worst first."""
    worst, alike = findings[0], dict[str, list[Finding]]()
    for one in findings:
        alike.setdefault(_without_value(one), []).append(one)
    told = [_one_message(tuple(own)) for own in alike.values()]
    tails = {message.partition(": ")[2] for message in told}
    if len(told) == 1 or len(tails) > 1 or any(one.measure is None for one in findings):
        return told[0] if len(told) == 1 else worst.message
    return ", and ".join(message.partition(": ")[0] for message in told) + (f": {tail}" if (tail := tails.pop()) else "")


def _one_message(findings: tuple[Finding, ...]) -> str:
    """The message of findings that say the same but for their values, with the range of these."""
    worst = findings[0]
    return worst.message if worst.measure is None else worst.message.replace(worst.measure.told, _range(findings), 1)


def _without_value(one: Finding) -> str:
    return one.message.replace(one.measure.told, "", 1) if one.measure else one.message


def _range(findings: tuple[Finding, ...]) -> str:
    """ "1.9 to 14.7 m/s" of the findings' values; one value where all read alike."""
    measures = [one.measure for one in findings if one.measure]
    low, high = min(measures, key=lambda one: one.value), max(measures, key=lambda one: one.value)
    if low.told == high.told:
        return low.told
    number, _, unit = low.told.rpartition(" ")
    return f"{number if high.told.endswith(f' {unit}') else low.told} to {high.told}"
