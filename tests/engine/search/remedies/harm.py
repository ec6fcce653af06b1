"""What a remedy must not do, looked at anew on the design it makes."""

from __future__ import annotations

from engine.checks.assess import assess
from engine.checks.conditions import mains
from engine.search.proposals import standing


def harmless(before, one):
    """A remedy applied: no fault more or in a new place, nothing newly fast, none that settles slower, no less for the neediest, something better."""
    after = assess(one.design)
    was, now = standing(before), standing(after)
    fit = {"hose-short", "bent-hose"}
    faults, later = ([(f.code, f.where, f.gate_set) for f in of.findings if f.severity == "fault" and f.code not in fit] for of in (before, after))
    main = mains(one.design.runs)

    def spread(rows):
        return {(code, main.get(where, where), gate_set) for code, where, gate_set in rows}

    assert len(later) <= len(faults) and spread(later) <= spread(faults), one.title
    fast, faster = ({(f.where, f.gate_set) for f in of.findings if f.code == "fast-run"} for of in (before, after))
    assert faster <= fast, one.title
    slow, slower = (_settling(of) for of in (before, after))
    deeper = {what: (slow[what], speed) for what, speed in slower.items() if what in slow and speed < 0.979 * slow[what]}
    assert not deeper, (one.title, deeper)
    if was.share is not None:
        assert now.share >= min(was.share, 1.0) - 0.0021, one.title
    assert one.effect.rank.gains < was.rank.gains


def _settling(assessment):
    """Gate set in which chips settle -> flow over bore squared where that is least."""
    found = {}
    for one in assessment.findings:
        if (one.code, one.severity) == ("slow-run", "fault"):
            result = next(result for result in assessment.sets if result.gate_set.name == one.gate_set)
            speed = result.balance.runs[one.where].flow / assessment.look.widest[one.where].bore ** 2
            found[one.gate_set] = min(speed, found.get(one.gate_set, speed))
    return found
