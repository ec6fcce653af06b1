"""What a change does: its gain and its score.

The score is benefit over effort. All weights are judgement, and stand in
`catalog/remedies.toml`; as they are there,

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

from collections.abc import Sequence
from dataclasses import dataclass

from engine.checks import Finding
from engine.checks.assess import Assessment
from engine.search.findings import difference
from engine.search.proposals import Standing, standing
from engine.search.remedies import weights

_NO_LOSS, _SOME_GAIN = 0.002, 0.01  # of a share: less is none
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
        return count(self.added, severity) - count(self.cleared, severity)

    @property
    def helps(self) -> bool:
        """Whether it is worth being offered."""
        if self.worse:
            return count(self.cleared, "fault") > 0 or (self.after.share or 0.0) - (self.before.share or 0.0) > _SOME_GAIN
        return self.benefit >= weights.benefit("least")


def effect_of(after: Assessment, before: Assessment, was: Standing, *, work: float, merit: float = 0.0) -> Effect:
    """What a change does to the assessment `before`, whose standing `was` is; `work` in fittings exchanged, `merit` in cleared faults."""
    will = standing(after)
    new = difference(after.findings, before.findings)
    cleared, added = (tuple(f for f in found if f.code not in _FIT) for found in (difference(before.findings, after.findings), new))
    price = will.price - was.price
    low, high = was.share or 0.0, will.share or 0.0
    below, beyond = weights.benefit("below_need"), weights.benefit("beyond_need")
    benefit = merit + below * (min(high, 1.0) - min(low, 1.0)) + beyond * (max(high, 1.0) - max(low, 1.0))
    benefit += sum(map(_worth, cleared)) - sum(_worth(finding) * (_new_fault() if finding.severity == "fault" else 1.0) for finding in added)
    effort = 1.0 + weights.effort("work") * work + (max(price, 0.0) / (weights.effort("price_share") * was.price) if was.price else 0.0)
    return Effect(
        before=was, after=will, share=_share_of(after, was), cleared=cleared, added=added,
        misfits=tuple(dict.fromkeys(finding.where for finding in new if finding.code in _FIT and finding.severity == "fault")),
        price=price, benefit=benefit, score=benefit / effort,
        worse=_is_worse(count(added, "fault"), count(cleared, "fault"), low, high),
    )  # fmt: skip


def _worth(finding: Finding) -> float:
    return weights.benefit(finding.severity) * (1.0 if finding.gate_set else weights.benefit("in_every_set"))


def _new_fault() -> float:
    return weights.benefit("new_fault")


def _is_worse(more: int, gone: int, low: float, high: float) -> bool:
    """By faults that are new and gone, and by the neediest machine's share before and after."""
    return _new_fault() * more > gone or (high < min(low, 1.0) - _NO_LOSS and more >= gone)


def count(findings: Sequence[Finding], severity: str) -> int:
    """How many findings of a severity there are."""
    return sum(finding.severity == severity for finding in findings)


def _share_of(after: Assessment, was: Standing) -> float | None:
    for result in after.sets:
        if result.gate_set.name == was.gate_set and result.balance and was.port.split("/")[0] in result.gate_set.open:
            state = result.balance.ports.get(was.port)
            return state.flow / state.needs if state and state.needs else None
    return None
