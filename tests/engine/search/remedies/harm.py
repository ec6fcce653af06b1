"""What a remedy must not do, looked at anew on the design it makes."""

from __future__ import annotations

from engine.checks.assess import assess
from engine.search.proposals import standing
from engine.search.ranking import mains


def harmless(before, one):
    """A remedy applied: no fault more or in a new place, nothing newly fast, no less for the neediest, something better."""
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
    if was.share is not None:
        assert now.share >= min(was.share, 1.0) - 0.0021, one.title
    assert one.effect.rank.gains < was.rank.gains
