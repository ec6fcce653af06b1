"""A draft in which every machine gets its need even at the low side of what is known of its flow, and what that costs more."""

from __future__ import annotations

from engine.air.bands import bands
from engine.air.gate_sets import working_ports
from engine.checks.assess import Assessment
from engine.search.layouts.drafting import Draft, make_draft
from engine.values import dataclass

# How often a margin is tried, and how much more of it than what was lacking, a share: judgement.
_TRIES, _MORE = 3, 0.01


@dataclass(frozen=True, slots=True)
class Sure:
    """A draft with a margin: the share of its need that the neediest machine gets at the low side, before and now; what it costs more."""

    draft: Draft
    before: float
    now: float
    price: float


def sure(one: Draft) -> Sure | None:
    """The layout of a draft in bores that give every machine its need at the low side of its band, or as near as was found; None without bands."""
    before = low_share(one.assessment)
    if before is None:
        return None
    best, now, margin = one, before, 0.0
    for _ in range(_TRIES):
        if now >= 1.0:
            break
        margin = (1.0 + margin) / now * (1.0 + _MORE) - 1.0
        made = make_draft(one.shop, one.plan, thorough=True, margin=margin)
        share = low_share(made.assessment)
        if share is None or share <= now:
            break
        best, now = made, share
    return Sure(best, before, now, best.standing.price - one.standing.price)


def low_share(found: Assessment) -> float | None:
    """What the neediest working port of any gate set gets of its need at the low side of its band; None where some set has none."""
    shares: list[float] = []
    for result, band in zip(found.sets, bands(found.design, found.tree, found.sets), strict=True):
        working = list(working_ports(result))
        if any(port not in band for port, _ in working):
            return None
        shares += [band[port].low / state.needs for port, state in working]
    return min(shares, default=None)
