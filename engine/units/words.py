"""Counts and shares in words: "3 faults", "99 %".

One rule for every share that is told: it is cut to a whole per cent, never
rounded, so that what falls short of a need, or of a limit told in per cent,
never reads as if it reached it: 99.6 % is "99 %", and 89.9 % is not "90 %".
Tenths are told only where two shares stand beside each other that would look
alike without them; these are cut too.
"""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal


def counted(count: int, one: str, many: str = "", *, none: str = "0") -> str:
    """ "1 fault", "2 faults"; `many` is the plural where an s does not make it, `none` what stands for 0."""
    return f"{count or none} {one if count == 1 else many or f'{one}s'}"


def percent(share: float, decimals: int = 0) -> str:
    """The figure of a share (1 is all of it) in per cent, cut: "99"; for a column that has its sign elsewhere or no room for a space."""
    cut = Decimal(str(share)).scaleb(2 + decimals).to_integral_value(ROUND_FLOOR)  # as decimals: 0.57 is 57 %, though 100 * 0.57 is a little less
    return f"{cut.scaleb(-decimals):.{decimals}f}"


def share_text(share: float | None) -> str:
    """A share in per cent, cut: "99 %"; "no answer" where there is none."""
    return "no answer" if share is None else f"{percent(share)} %"


def shares_beside(one: float | None, other: float | None) -> tuple[str, str]:
    """Two shares to be told beside each other, with tenths where they differ and whole per cents would look alike."""
    texts = share_text(one), share_text(other)
    if one is None or other is None or one == other or texts[0] != texts[1]:
        return texts
    return f"{percent(one, 1)} %", f"{percent(other, 1)} %"
