"""Counts, shares and rough lengths in words: "3 faults", "99 %", "12.4 m".

One rule for every share that is told: it is cut to a whole per cent, never
rounded, so that what falls short of a need, or of a limit told in per cent,
never reads as if it reached it: 99.6 % is "99 %", and 89.9 % is not "90 %".
Tenths are told only of shares that stand beside each other and would look
alike without them; these are cut too.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_FLOOR, Decimal

from engine.units.shown import show


def counted(count: int, one: str, many: str = "", *, none: str = "0") -> str:
    """ "1 fault", "2 faults"; `many` is the plural where an s does not make it, `none` what stands for 0."""
    return f"{count or none} {one if count == 1 else many or f'{one}s'}"


def listed(names: Sequence[str], most: int) -> str:
    """The first so many of some names, and how many more there are: "main, saw drop and 3 more"."""
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")


def rough_length(metres: float, units: str) -> str:
    """A length to the tenth of a metre or the foot, as far as a draft can be relied on."""
    return show(metres, "length", units, digits=1 if units == "metric" else 0)


def percent(share: float, decimals: int = 0) -> str:
    """The figure of a share (1 is all of it) in per cent, cut: "99"; for a column that has its sign elsewhere or no room for a space."""
    cut = Decimal(str(share)).scaleb(2 + decimals).to_integral_value(ROUND_FLOOR)  # as decimals: 0.57 is 57 %, though 100 * 0.57 is a little less
    return f"{cut.scaleb(-decimals):.{decimals}f}"


def share_text(share: float | None, decimals: int = 0) -> str:
    """A share in per cent, cut: "99 %"; "no answer" where there is none."""
    return "no answer" if share is None else f"{percent(share, decimals)} %"


def shares_beside(*shares: float | None) -> list[str]:
    """Shares to be told beside each other, with tenths where these tell apart what looks alike in whole per cents."""
    whole, tenths = ([share_text(share, decimals) for share in shares] for decimals in (0, 1))
    return tenths if len(set(tenths)) > len(set(whole)) else whole
