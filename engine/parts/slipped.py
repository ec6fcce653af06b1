"""How long pipe is cut that slips into what it meets."""

from __future__ import annotations

from engine.catalog.joining import practice
from engine.parts.chain import Chain


def cut_length(chain: Chain, index: int) -> float:
    """Length that the straight at an index of a chain is cut to, m: as it is seen, and what slips in at both ends."""
    part = chain.parts[index]
    before = chain.parts[index - 1].group if index else chain.begins
    after = chain.parts[index + 1].group if index + 1 < len(chain.parts) else "fitting"
    return (part.length or 0.0) + _slipped(chain, before, inner=True) + _slipped(chain, after, inner=False)


def _slipped(chain: Chain, met: str, *, inner: bool) -> float:
    """How far pipe slips into what it meets at its inner or outer end, m."""
    if met == "hose":
        return practice().hose_lap
    return chain.rule.insertion if inner or chain.rule.slips_in == "both" else 0.0
