"""What a search over designs offers: designs with how they stand, as far as the search has come.

A search is a generator of `Step`s. Each tells the best found so far, so it can
be shown while it goes on; to cancel it is to stop asking for the next.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from engine.checks.assess import Assessment
from engine.design import Design
from engine.design.meaning import stays
from engine.parts.price import in_currency, price_of
from engine.parts.touched import touched
from engine.search.ranking import Rank, rank_of
from engine.units.words import counted, listed, share_text
from engine.values import dataclass

_MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Standing:
    """How a design stands over all its gate sets.

    `share` is the least flow of a working port over its need, at `port` in
    `gate_set`; None where a set has no balance or no machine works. `price` is
    that of pipe, hose and fittings in the `currency`, `estimated` how much of it is; `rank` where it stands among others.
    """

    share: float | None
    port: str
    gate_set: str
    faults: int
    cautions: int
    price: float
    rank: Rank
    currency: str = ""
    estimated: float = 0.0

    @property
    def price_text(self) -> str:
        """The price with its currency, where it has one; "about" where some of it is estimated."""
        return f"{'about ' if self.estimated else ''}{in_currency(f'{self.price:.2f}', self.currency)}"


@dataclass(frozen=True, slots=True)
class Proposal:
    """A design offered instead of the one there is: what is changed in a few words, why or at what price, and how it stands."""

    title: str
    reason: str
    design: Design
    standing: Standing

    @property
    def as_taken(self) -> Design:
        """The design as it is once the proposal is taken."""
        return self.design


_One = TypeVar("_One", bound=Proposal)


@dataclass(frozen=True, slots=True)
class Step:
    """How far a search has come: `done` of `of` parts (0 where that cannot be told), what it is at, and what it has found, best first."""

    done: int
    of: int
    said: str
    proposals: tuple[Proposal, ...]


def standing(assessment: Assessment) -> Standing:
    """How an assessed design stands."""
    share, port, name = least_served(assessment)
    priced = price_of(assessment.design)
    price = priced.total
    return Standing(
        share=share, port=port, gate_set=name,
        faults=assessment.count("fault"), cautions=assessment.count("caution"), price=price, rank=rank_of(assessment, share, price),
        currency=assessment.design.currency or "", estimated=priced.estimated,
    )  # fmt: skip


def least_served(assessment: Assessment) -> tuple[float | None, str, str]:
    """The least share of its need that a working port gets, the port and the gate set; None where a set has no balance or no machine works."""
    neediest = [(assessment.neediest(result), result.gate_set.name) for result in assessment.sets]
    known = [(share, port, name) for found, name in neediest if found for port, share in [found]]
    return min(known) if known and all(result.balance for result in assessment.sets) else (None, "", "")


def over_work(before: Design, one: _One) -> _One:
    """A proposal that tells what it does to work that is done: what is then left over was paid for, and is part of its price."""
    found = touched(before, one.design)
    if not found.in_words:
        return one
    dearer = one.standing.rank._replace(price=round(one.standing.rank.price + found.spent, 2))
    stands = replace(one.standing, price=one.standing.price + found.spent, rank=dearer)
    return replace(one, design=found.design, reason=f"{one.reason}; {found.in_words}", standing=stands)


def kept_in_words(design: Design) -> str:
    """Which runs searches leave as they are, and what frees one; "" where there are none."""
    names = [run.id for run in design.runs if stays(run)]
    return f"left alone, kept or bought: {listed(names, _MOST_NAMED)} (kept = no frees a run)" if names else ""


def standing_in_words(found: Standing) -> str:
    """How a design stands, in words."""
    faults = counted(found.faults, "fault", none="no")
    if found.share is None:
        return f"{faults}, and some gate set has no balance"
    priced = f", pipe, hose and fittings for {in_currency(f'{found.price:.0f}', found.currency)}" if found.price else ""
    return f"{faults}, the neediest machine {found.port} gets {share_text(found.share)} of its need in {found.gate_set}{priced}"
