"""How to divide the air of a gate set by its gates, as an answer in words and a proposal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from engine.checks import SEVERITIES, Finding
from engine.checks.assess import Assessment, assess
from engine.design import Design, GateSet, Throttle, gate_sets_of
from engine.search.findings import difference
from engine.search.proposals import Proposal, Step, standing
from engine.search.throttling.gates import Gates, Opening
from engine.units.words import counted, listed, share_text
from engine.values import dataclass

# A gain of less than this share of a need is not worth throttling for: judgement.
_WORTH_IT = 0.005
_MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Throttling:
    """The answer for one gate set.

    `met` tells whether every port at work gets its need. `before` is each
    working port's share of its need with all gates wide open, `after` with the
    `openings`, which name the gates that are not. `cleared` and `added` are
    findings of the set, against all wide open. `said` is the answer in a
    sentence. `proposal` writes the openings into the gate set; None where they
    stand there already.
    """

    gate_set: str
    met: bool
    openings: tuple[Opening, ...]
    before: Mapping[str, float]
    after: Mapping[str, float]
    cleared: tuple[Finding, ...]
    added: tuple[Finding, ...]
    said: str
    proposal: Proposal | None


def throttlings(design: Design, assessment: Assessment | None = None, even: bool = False) -> Iterator[Step]:
    """The proposals for every gate set of several machines, one a step and all in the last; see `throttling`."""
    before = assessment or assess(design)
    several = [gate_set.name for gate_set in gate_sets_of(design) if len(gate_set.open) > 1]
    answers: list[Throttling] = []
    for done, name in enumerate(several, 1):
        answers.append(throttling(design, name, before, even=even))
        yield Step(done, len(several), name, _best_first(answers))
    yield Step(len(several), len(several), _summary(answers, even), _best_first(answers))


def _best_first(answers: Iterable[Throttling]) -> tuple[Proposal, ...]:
    return tuple(sorted((one.proposal for one in answers if one.proposal), key=lambda one: one.standing.rank))


def _summary(answers: Sequence[Throttling], even: bool) -> str:
    """How many gate sets throttling changes, and, unless the most `even` division was asked for, in how many nothing is wanting."""
    if not answers:
        return "no gate set has several machines at work"
    drawn = [one for one in answers if one.openings]
    standing_so = sum(one.proposal is None for one in drawn)
    told = [f"{counted(len(answers), 'gate set')} of several machines"]
    if not even:
        served = sum(one.met and not one.openings for one in answers)
        told.append(f"with all gates wide open every machine gets its need in {served or 'none'}")
    told.append(f"gates left part open {'divide the air more evenly' if even else 'help'} in {len(drawn) or 'none'}")
    return "; ".join(told) + (f", {standing_so} of which as it is" if standing_so else "")


def throttling(design: Design, name: str, assessment: Assessment | None = None, *, even: bool = False) -> Throttling:
    """How to throttle the gates of a gate set of a consistent design so that each machine at work gets its need.

    `even` asks for the most even division instead, even where all needs are
    met. What the set throttles already is not regarded. Raises KeyError for a
    gate set the design has not got.
    """
    known = assessment or assess(design)
    gate_set = {one.name: one for one in gate_sets_of(design)}[name]
    wide = _with_openings(design, gate_set, {})
    wide_open = assess(wide, known) if gate_set.throttle else known
    gates = Gates(wide_open.tree, gate_set)
    start = gates.shares({})
    if not start:
        return _no_throttling(wide_open, name)
    goal = None if even else 1.0
    found = {} if not even and min(start.values()) >= 1.0 else gates.divide(goal)
    reached = gates.shares(found)
    was, will = min(start.values()), min(reached.values())
    if will - was < _WORTH_IT and not was < 1.0 <= will:
        found, reached = {}, start
    after = assess(_with_openings(design, gate_set, found), wide_open)
    own = [[one for one in of.findings if one.gate_set == name] for of in (wide_open, after)]
    met = min(reached.values()) >= 1.0
    answer = Throttling(
        gate_set=name, met=met, openings=tuple(gates.opening(gate, share) for gate, share in found.items()),
        before=start, after=reached, cleared=difference(own[0], own[1]), added=difference(own[1], own[0]),
        said=_in_words(gates, start, reached, found), proposal=None,
    )  # fmt: skip
    return replace(answer, proposal=_proposal(answer, after)) if after.design != design and (found or met) else answer


def _no_throttling(assessment: Assessment, name: str) -> Throttling:
    """The answer where nothing balances with all gates wide open, or nothing is at work."""
    result = next(result for result in assessment.sets if result.gate_set.name == name)
    said = f"no: {result.trouble or 'no machine at work has a duct and a need'}"
    return Throttling(gate_set=name, met=False, openings=(), before={}, after={}, cleared=(), added=(), said=said, proposal=None)


def all_throttled(design: Design, found: Iterable[Throttling]) -> Design:
    """The design with what is proposed for several of its gate sets, each in its own."""
    for one in found:
        if one.proposal:
            [new] = [gate_set for gate_set in one.proposal.design.gate_sets if gate_set.name == one.gate_set]
            sets = (new if gate_set.name == new.name else gate_set for gate_set in gate_sets_of(design))
            design = replace(design, gate_sets=tuple(sets))
    return design


def _with_openings(design: Design, gate_set: GateSet, found: Mapping[str, float]) -> Design:
    """The design with that gate set throttled so."""
    throttle = tuple(Throttle(gate=gate, open=share) for gate, share in found.items())
    changed = replace(gate_set, throttle=throttle)
    sets = tuple(changed if one.name == gate_set.name else one for one in gate_sets_of(design))
    return design if sets == gate_sets_of(design) else replace(design, gate_sets=sets)


def _in_words(gates: Gates, start: Mapping[str, float], reached: Mapping[str, float], found: Mapping[str, float]) -> str:
    """The answer in a sentence."""
    port, share = min(reached.items(), key=lambda item: item[1])
    gets, was = share_text(share), share_text(min(start.values()))
    if not found and share >= 1.0:
        return f"nothing to throttle: the neediest, {port}, gets {gets} of its need"
    if share >= 1.0:
        return f"{_openings_in_words(found)}: every machine gets its need, the neediest, {port}, {gets} of it ({was} with all wide open)"
    alone = gates.alone(port)
    why = f"alone it gets {share_text(alone)}" if alone is not None else "alone it has no answer"
    told = [f"{other}, behind the same gate, takes {share_text(reached[other])} of its own" for other in gates.beside(port) if reached[other] > 1.0]
    more = f"; {' and '.join(told)}: a narrower hose or a gate at that port leaves {port} more" if told else ""
    if not found:
        return f"no: throttling gives {port} no more than {gets} of its need; {why}{more}"
    return f"no: even with every other gate throttled, {port} gets {gets} of its need ({was} with all wide open); {why}{more}"


def _openings_in_words(found: Mapping[str, float]) -> str:
    return ", ".join(f"{gate} {100 * share:g} % open" for gate, share in found.items())


def _proposal(answer: Throttling, after: Assessment) -> Proposal:
    added = answer.added
    counts = [counted(number, severity) for severity in SEVERITIES if (number := sum(one.severity == severity for one in added))]
    where = listed([f"{one.code} at {one.where}" for one in added], _MOST_NAMED)
    told = f"; adds {', '.join(counts)}: {where}" if counts else ""
    title = f"{answer.gate_set}: {'gates throttled' if answer.openings else 'gates wide open'}"
    return Proposal(title, answer.said + told, after.design, standing(after))
