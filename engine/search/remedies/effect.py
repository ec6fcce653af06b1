"""What a change does: its gain and its score, and both in words.

The score is benefit over effort. All weights are judgement:

    benefit = 10 x rise of the neediest machine's share of its need, as far as it was short of it
            +  1 x rise of that share beyond the need
            +  1 for each fault cleared, -3 for each new one
            +  0.2 for each caution less, 0.05 for each note less, the same against it for each one more;
               three times as much for one about how the ducts are made, which holds in every gate set
            +  the merit of the change, see `Change`
    effort  = 1 + work / 4 + price rise / (a tenth of what the ducts cost)

Work is in fittings exchanged, see `Change`. What is saved on pipe does not
count: the pipe that hangs there has been paid for.

Ranked below all others is what makes matters worse: a change with new faults,
unless it clears three times as many; or one that gives less to the machine
that has too little, unless faults become fewer.

That a pipe then ends elsewhere, so that its hose is short or bends more, is
no fault of a change: straights are cut to measure. It is said.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from engine.checks import SEVERITIES, Finding
from engine.checks.assess import Assessment
from engine.search.proposals import Proposal, Standing, standing
from engine.search.remedies.change import Change
from engine.units.words import counted, listed, share_text, shares_beside

_BELOW_NEED, _BEYOND_NEED = 10.0, 1.0
_WORTH = {"fault": 1.0, "caution": 0.2, "note": 0.05}
_NEW_FAULT, _IN_EVERY_SET = 3.0, 3.0
_WORK, _PRICE_SHARE = 0.25, 0.1
_LEAST_BENEFIT = 0.02
_NO_LOSS, _SOME_GAIN = 0.002, 0.01  # of a share: less is none
_MOST_NAMED = 2
# Findings of how straights are cut.
_FIT = ("hose-short", "bent-hose")


@dataclass(frozen=True, slots=True)
class Effect:
    """From one assessment to another.

    `share` is what the machine that was neediest gets of its need then, in the
    gate set where it was; None where it is not at work there any more.
    `cleared` and `added` are findings; one whose severity changes is both. `misfits`
    are runs whose straights then want cutting anew.
    `price` is the difference of the ducts'. `worse`: see the module.
    """

    before: Standing
    after: Standing
    share: float | None
    cleared: tuple[Finding, ...]
    added: tuple[Finding, ...]
    misfits: tuple[str, ...]
    price: float
    benefit: float
    score: float
    worse: bool

    def net(self, severity: str) -> int:
        """How many findings of a severity there are more, or less."""
        return _count(self.added, severity) - _count(self.cleared, severity)

    @property
    def helps(self) -> bool:
        """Whether it is worth being offered."""
        if self.worse:
            return _count(self.cleared, "fault") > 0 or (self.after.share or 0.0) - (self.before.share or 0.0) > _SOME_GAIN
        return self.benefit >= _LEAST_BENEFIT


@dataclass(frozen=True, slots=True)
class Remedy(Proposal):
    """A proposal that tells its changes, one or two, and what they do."""

    changes: tuple[Change, ...]
    effect: Effect

    @property
    def rank(self) -> tuple[bool, float, str]:
        """Sorts the best first."""
        return self.effect.worse, -self.effect.score, self.title


def remedy(changes: Sequence[Change], after: Assessment, before: Assessment, was: Standing) -> Remedy:
    """A remedy of one change or several, with what they do to the assessment `before`, whose standing `was` is."""
    title = ", and ".join(change.title for change in changes)
    effect = effect_of(after, before, was, sum(change.work for change in changes), sum(change.merit for change in changes))
    notes = [change.note for change in changes if change.note]
    return Remedy(title, "; ".join([*_words(effect), *notes]), after.design, effect.after, tuple(changes), effect)


def effect_of(after: Assessment, before: Assessment, was: Standing, work: float, merit: float = 0.0) -> Effect:
    """What a change of so much work does."""
    will = standing(after)
    new = difference(after.findings, before.findings)
    cleared, added = ([f for f in found if f.code not in _FIT] for found in (difference(before.findings, after.findings), new))
    low, high = was.share or 0.0, will.share or 0.0
    benefit = merit + _BELOW_NEED * (min(high, 1.0) - min(low, 1.0)) + _BEYOND_NEED * (max(high, 1.0) - max(low, 1.0))
    benefit += sum(map(_worth, cleared)) - sum(_worth(finding) * (_NEW_FAULT if finding.severity == "fault" else 1.0) for finding in added)
    price = will.price - was.price
    effort = 1.0 + _WORK * work + (max(price, 0.0) / (_PRICE_SHARE * was.price) if was.price else 0.0)
    more, gone = _count(added, "fault"), _count(cleared, "fault")
    worse = _NEW_FAULT * more > gone or (high < min(low, 1.0) - _NO_LOSS and more >= gone)
    misfits = tuple(dict.fromkeys(finding.where for finding in new if finding.code in _FIT and finding.severity == "fault"))
    return Effect(was, will, _share_of(after, was), tuple(cleared), tuple(added), misfits, price, benefit, benefit / effort, worse)


def _worth(finding: Finding) -> float:
    return _WORTH[finding.severity] * (1.0 if finding.gate_set else _IN_EVERY_SET)


def _key(finding: Finding) -> tuple[str, str, str, str | None]:
    return finding.severity, *_matter(finding)


def _matter(finding: Finding) -> tuple[str, str, str | None]:
    return finding.code, finding.where, finding.gate_set


def difference(some: Sequence[Finding], others: Sequence[Finding]) -> tuple[Finding, ...]:
    """Those findings of some that the others lack; their figures do not count."""
    left = Counter(map(_key, others))
    found = []
    for finding in some:
        if left[_key(finding)]:
            left[_key(finding)] -= 1
        else:
            found.append(finding)
    return tuple(found)


def _count(findings: Sequence[Finding], severity: str) -> int:
    return sum(finding.severity == severity for finding in findings)


def _share_of(after: Assessment, was: Standing) -> float | None:
    for result in after.sets:
        if result.gate_set.name == was.gate_set and result.balance and was.port.split("/")[0] in result.gate_set.open:
            state = result.balance.ports.get(was.port)
            return state.flow / state.needs if state and state.needs else None
    return None


def _words(effect: Effect) -> list[str]:
    said = []
    before, after = effect.before, effect.after
    if before.share is None:
        said.append("every gate set then has an answer" if after.share is not None else "")
    elif effect.share is not None and abs(effect.share - before.share) >= 0.0005:
        said.append(f"{before.port} in {before.gate_set}: {' -> '.join(shares_beside(before.share, effect.share))} of its need")
    if after.share is not None and (after.port, after.gate_set) != (before.port, before.gate_set):
        said.append(f"neediest then {after.port} in {after.gate_set}, {share_text(after.share)}")
    said += _told(effect)
    if faults := [finding for finding in effect.added if finding.severity == "fault"]:
        told = [f"{fault.code} at {fault.where}" + (f" ({fault.gate_set})" if fault.gate_set else "") for fault in faults]
        said.append(f"worse: {listed(told, _MOST_NAMED)}")
    if effect.misfits:
        said.append(f"then cut the straights of {', '.join(effect.misfits)} to measure: a hose no longer reaches")
    if abs(effect.price) >= 0.005:
        said.append(f"the ducts' price {effect.price:+.2f}")
    return [words for words in said if words]


def _told(effect: Effect) -> Iterator[str]:
    """The findings cleared, eased and added, counted."""
    now = {_matter(finding): finding.severity for finding in effect.added}
    was = {_matter(finding): finding.severity for finding in effect.cleared}
    groups: dict[str, list[str]] = {"clears": [], "eases": [], "adds": [], "hardens": []}
    for matter, severity in was.items():
        groups["clears" if matter not in now else "eases" if _lighter(now[matter], severity) else "hardens"].append(severity)
    groups["adds"] = [severity for matter, severity in now.items() if matter not in was]
    for verb, found in groups.items():
        counts = [counted(found.count(severity), severity) for severity in _WORTH if severity in found]
        if counts:
            yield f"{verb} {', '.join(counts)}"


def _lighter(one: str, other: str) -> bool:
    return SEVERITIES.index(one) > SEVERITIES.index(other)
