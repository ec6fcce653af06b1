"""The one order in which designs are offered: drafts, sizes, remedies, substitutes, throttles and places for the collector.

What counts are conditions (`engine/checks/conditions.py`), not the findings that tell of them.
"""

from __future__ import annotations

from math import ceil
from typing import NamedTuple

from engine.air.along import length_of
from engine.checks import Finding
from engine.checks.assess import Assessment
from engine.checks.conditions import About, with_condition

IN_WORDS = (
    "Best first: what fits the room, then what gives every machine its need, lets nothing settle, has no other fault, runs nowhere too fast, "
    "has the fewest cautions, each counted once along a main, and has the lowest price."
)
# What a need is measured to in the field: a tenth of it. A set without an answer is worse than one that gives nothing.
_TENTHS, _NO_ANSWER = 10, 11
# Metres in which chips settle are counted so many at once: a main cut into other runs stays what it is; judgement.
_TEN = 10.0
# A need that is missed by less than this share of it is met: rounding.
_ROUNDING = 1e-6


class Rank(NamedTuple):
    """Where a design stands among others, the least first.

    Conditions that keep it from being built as it stands; tenths of its need,
    begun, that the neediest machine lacks; conditions that let chips settle;
    tens of metres of duct, begun, in which they do, those of every gate set
    added up; other faults; what is fast; other cautions; hundredths of its need that the
    neediest machine lacks; the price of pipe, hose and fittings; notes.
    """

    unfit: int
    short: int
    settling: int
    settled: int
    faults: int
    fast: int
    cautions: int
    lacks: int
    price: float
    notes: int

    @property
    def faulty(self) -> tuple[int, ...]:
        """What must not be: all that comes before cautions."""
        return self.unfit, self.short, self.settling, self.settled, self.faults

    @property
    def conditions(self) -> tuple[int, ...]:
        """What counts most: all that comes before the last hundredths of a need."""
        return *self.faulty, self.fast, self.cautions

    @property
    def before_notes(self) -> tuple[float, ...]:
        """All that matters; a note more or less is no reason for more duct."""
        return *self.conditions, self.lacks, self.price

    @property
    def gains(self) -> tuple[int, ...]:
        """All but the price."""
        return *self.conditions, self.lacks, self.notes


def rank_of(assessment: Assessment, share: float | None, price: float) -> Rank:
    """The rank of an assessed design whose neediest machine gets a `share` of its need, None without an answer."""
    found: dict[str, set[About]] = {name: set() for name in ("unfit", "settling", "faults", "fast", "cautions", "notes")}
    settled, length = 0.0, {duct.run: length_of(duct) for duct in assessment.tree.runs}
    for one, about in with_condition(assessment.findings, assessment.design):
        found[column := _column(one)].add(about)
        settled += length.get(one.where, 0.0) if column == "settling" else 0.0
    counts = {name: len(those) for name, those in found.items()}
    return Rank(**counts, settled=settled_in(settled), short=_lack(share, _TENTHS), lacks=_lack(share, 10 * _TENTHS), price=round(price, 2))


def settled_in(metres: float) -> int:
    """Tens of metres, begun, of duct in which chips settle."""
    return ceil(metres / _TEN - _ROUNDING)


def _lack(share: float | None, parts: int) -> int:
    """Parts of its need, begun, that a machine lacks."""
    return _NO_ANSWER * parts // _TENTHS if share is None else min(max(ceil((1.0 - share - _ROUNDING) * parts), 0), parts)


def _column(one: Finding) -> str:
    """Which count of a rank a finding adds to."""
    if one.code == "ducts-cross" or (one.concerns == "fit" and one.severity != "note"):
        return "unfit"
    if one.severity == "note":
        return "notes"
    if one.severity == "fault":
        return "settling" if one.concerns == "settling" else "faults"
    return "fast" if one.code == "fast-run" else "cautions"
