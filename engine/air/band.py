"""How sure a flow is, as a band about it: what `engine.air.bands` estimates and everybody shows."""

from __future__ import annotations

from math import hypot, inf

from engine.units import Quantity, number_text
from engine.units.ranges import ends
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Band:
    """A flow lies between these, m3/s, nine times in ten."""

    low: float
    high: float

    def text(self, flow: float, units: str) -> str:
        """ "+48 -1": how far it goes up and down from the flow shown [m3/s], in "metric" or "imperial" `units`."""
        up, down = (number_text(part, "flow", units) for part in (self.high - flow, flow - self.low))
        return f"+{up} -{down}"


def share_band(band: Band, flow: float, needs: Quantity) -> tuple[float, float]:
    """How far the share that a flow [m3/s] is of its need may lie above and below, as parts of the need: the band's, and what a range of needs adds.

    The two doubts are added as the root of their squares, as those of the band are.
    """
    share, low, high = flow / needs.si, min(ends(needs)), max(ends(needs))
    up = hypot((band.high - flow) / needs.si, share * (needs.si / low - 1.0)) if low else inf
    return up, hypot((flow - band.low) / needs.si, share * (1.0 - needs.si / high))
