"""Where machines, ports and the collector stand, and how far the hoses at ports reach, in words. Nothing is drawn here."""

from __future__ import annotations

from engine.design import Collector, Machine, Port
from engine.shapes.vectors import Point
from engine.space.geometry import Gap
from engine.units import show

# A hose that wants no more than this reaches, m; pipe that ends no farther off meets its port.
TOUCHING = 1e-6
_CLOSE = 0.01


def position_of(item: Machine | Port | Collector) -> Point | None:
    """East, north and up, m; None where one of them is not given."""
    if item.east is None or item.north is None or item.up is None:
        return None
    return item.east.si, item.north.si, item.up.si


def position_text(at: Point | None, units: str) -> str:
    """ "5.8 m east, 2.3 m north, 0.9 m up"."""
    if at is None:
        return "no position"
    return ", ".join(f"{show(part, 'length', units)} {axis}" for part, axis in zip(at, ("east", "north", "up"), strict=True))


def hose_text(gap: Gap | None, units: str) -> str:
    """How far the hose at a port reaches; pipe without a hose, how far it ends from the port."""
    if gap is None:
        return "no duct reaches it"
    wanting = gap.distance - gap.hose
    if not gap.hose:
        return "pipe meets it" if gap.distance < _CLOSE else f"pipe ends {_about(gap.distance, units)} off"
    if wanting > TOUCHING:
        return f"hose {_about(max(wanting, _CLOSE), units)} too short"
    return f"hose reaches, {_about(-wanting, units)} spare"


def _about(metres: float, units: str) -> str:
    """A distance as far as it can be measured over a machine: to the centimetre, or to 1/4 in."""
    return show(round(metres, 2), "length", units) if units == "metric" else show(round(metres / 0.0254 * 4) / 4 * 0.0254, "length", units)
