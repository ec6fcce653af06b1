"""What a change does, and whether it is worth being offered.

It is where the design then stands better by the one order of `ranking`, and
nothing that matters gets worse: in no gate set is a condition new that is a
fault or keeps the design from being built, faults show in no more places
than before, no run is faster than `fast` that was not so in that gate set, the
slowest run in which chips settle is in no gate set slower still, and the
machine that has too little does not get less.

What is saved on pipe does not count: the pipe that hangs there has been paid
for. That a pipe then ends elsewhere, so that its hose is short or bends more,
is no fault of a change: straights are cut to measure. It is said.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from engine.air.gate_sets import working_ports
from engine.air.one.ducts import area
from engine.checks import Finding
from engine.checks.assess import Assessment
from engine.checks.conditions import About, with_condition
from engine.search.findings import difference
from engine.search.proposals import Standing, standing
from engine.search.ranking import Rank, rank_of
from engine.values import dataclass

NO_LOSS = 0.002  # of a share: less is none
# A machine that gets so much less of what it had is told so, and a run in which chips settle is slower still, a share: judgement.
TOLD = 0.02
# Findings of how straights are cut.
FIT = ("hose-short", "bent-hose")
# Pipe that cannot be cut.
_UNMADE = "short-straight"


@dataclass(frozen=True, slots=True)
class Loss:
    """A port at work that gets less of its need than before, in a gate set."""

    port: str
    gate_set: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Effect:
    """From one assessment to another.

    `share` is what the machine that was neediest gets of its need then, in the
    gate set where it was; None where it is not at work there any more.
    `cleared` and `added` are findings; one whose severity changes is both. `misfits`
    are runs whose straights then want cutting anew, `unmade` straights for
    which fittings then leave too little. `losses` are the machines
    that get less, the largest loss first. `price` is the difference of the
    ducts'. `rank` is where the design then stands, its straights cut to
    measure. `worse`: see the module.
    """

    before: Standing
    after: Standing
    share: float | None
    cleared: tuple[Finding, ...]
    added: tuple[Finding, ...]
    misfits: tuple[str, ...]
    unmade: tuple[Finding, ...]
    losses: tuple[Loss, ...]
    price: float
    rank: Rank
    worse: bool

    def net(self, severity: str) -> int:
        """How many findings of a severity there are more, or less, in every place and gate set."""
        return count(self.added, severity) - count(self.cleared, severity)

    @property
    def helps(self) -> bool:
        """Whether it is worth being offered."""
        return not self.worse and self.rank.gains < self.before.rank.gains

    @property
    def half_helps(self) -> bool:
        """Whether another change may make it worth being offered: it clears faults, and makes worse what matters."""
        return self.worse and self.net("fault") < 0


def effect_of(after: Assessment, before: Assessment, was: Standing) -> Effect:
    """What a change does to the assessment `before`, whose standing `was` is."""
    will = standing(after)
    new = difference(after.findings, before.findings)
    cleared, added = (tuple(f for f in found if f.code not in FIT) for found in (difference(before.findings, after.findings), new))
    uncut = [finding for finding in new if finding.code in FIT]
    cut = replace(after, findings=cut_to_measure(after.findings, before))
    return Effect(
        before=was, after=will, share=_share_of(after, was), cleared=cleared, added=added,
        misfits=tuple(dict.fromkeys(finding.where for finding in uncut if finding.severity == "fault")),
        unmade=tuple(finding for finding in new if finding.code == _UNMADE),
        losses=tuple(sorted(_losses(before, after), key=lambda loss: loss.after / loss.before)),
        price=will.price - was.price, rank=rank_of(cut, will.share, max(will.price, was.price)),
        worse=_is_worse(cut, before, added, was.share, will.share),
    )  # fmt: skip


def cut_to_measure(findings: tuple[Finding, ...], before: Assessment) -> tuple[Finding, ...]:
    """The findings that are left once straights are cut anew: without those of how they are cut that were not there before."""
    uncut = difference([finding for finding in findings if finding.code in FIT], [finding for finding in before.findings if finding.code in FIT])
    return tuple([finding for finding in findings if finding not in uncut]) if uncut else findings


def _is_worse(after: Assessment, before: Assessment, added: Iterable[Finding], low: float | None, high: float | None) -> bool:
    """By what is new, and by the neediest machine's share before and after."""
    if (high is None and low is not None) or (high or 0.0) < min(low or 0.0, 1.0) - NO_LOSS:
        return True
    if after.spread("fault") > before.spread("fault") or any(finding.code == "fast-run" for finding in added):
        return True
    return bool(set(grave(after)) - set(grave(before))) or _settles_more(after, before)


def grave(assessment: Assessment) -> Iterator[tuple[About, str | None]]:
    """Conditions that are faults, or keep a design from being built as it stands, each with its gate set."""
    for finding, about in with_condition(assessment.findings, assessment.design):
        if finding.severity == "fault" or (finding.concerns == "fit" and finding.severity == "caution"):
            yield about, finding.gate_set


def _settles_more(after: Assessment, before: Assessment) -> bool:
    """Whether in some gate set the slowest run in which chips settle is slower than before."""
    was = slowest_settling(before)
    return any(name in was and share < (1.0 - TOLD) * was[name] for name, share in slowest_settling(after).items())


def slowest_settling(assessment: Assessment) -> dict[str, float]:
    """Gate set in which chips settle -> the least speed, of that at which they do, where a run is widest."""
    answers = {result.gate_set.name: result.balance for result in assessment.sets}
    found: dict[str, float] = {}
    for finding in assessment.findings:
        name, run = finding.gate_set or "", finding.where
        if finding.severity == "fault" and finding.code == "slow-run" and (balance := answers.get(name)):
            share = balance.carried[run] / area(assessment.look.widest[run].bore) / assessment.limits(run).settles.value
            found[name] = min(share, found.get(name, share))
    return found


def _losses(before: Assessment, after: Assessment) -> Iterator[Loss]:
    later = {result.gate_set.name: dict(working_ports(result)) for result in after.sets}
    for result in before.sets:
        for port, was in working_ports(result):
            now = later.get(result.gate_set.name, {}).get(port)
            if now is not None and was.flow > 0 and now.flow < (1.0 - TOLD) * was.flow:
                yield Loss(port, result.gate_set.name, was.flow / was.needs, now.flow / now.needs)


def count(findings: Sequence[Finding], severity: str) -> int:
    """How many findings of a severity there are."""
    return sum(finding.severity == severity for finding in findings)


def _share_of(after: Assessment, was: Standing) -> float | None:
    for result in after.sets:
        if result.gate_set.name == was.gate_set and result.balance and was.port.split("/")[0] in result.gate_set.open:
            state = result.balance.ports.get(was.port)
            return state.flow / state.needs if state and state.needs else None
    return None
