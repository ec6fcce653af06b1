"""Where things stand, and how far the hoses at ports reach, in words. Nothing is drawn here."""

from __future__ import annotations

from engine.shapes.vectors import Point
from engine.space.geometry import Gap
from engine.units import show

# A hose that wants no more than this reaches, m; pipe that ends no farther off meets its port.
_TOUCHING, _CLOSE = 1e-6, 0.01


def position_text(at: Point | None, units: str) -> str:
    """ "5.8 m east, 2.3 m north, 0.9 m up"."""
    if at is None:
        return "no position"
    return ", ".join(f"{show(part, 'length', units)} {axis}" for part, axis in zip(at, ("east", "north", "up"), strict=True))


def is_too_short(gap: Gap) -> bool:
    """Whether what is at a port, hose or none, does not reach it."""
    return gap.distance - gap.hose > _TOUCHING


def hose_text(gap: Gap | None, units: str) -> str:
    """How far the hose at a port reaches; pipe without a hose, how far it ends from the port."""
    if gap is None:
        return "no duct reaches it"
    wanting = gap.distance - gap.hose
    if not gap.hose:
        return "pipe meets it" if gap.distance < _CLOSE else f"pipe ends {_about(gap.distance, units)} off"
    if is_too_short(gap):
        return f"hose {_about(max(wanting, _CLOSE), units)} too short"
    return f"hose reaches, {_about(-wanting, units)} spare"


def _about(metres: float, units: str) -> str:
    """A distance as far as it can be measured over a machine: to the centimetre, or to 1/4 in."""
    return show(round(metres, 2), "length", units) if units == "metric" else show(round(metres / 0.0254 * 4) / 4 * 0.0254, "length", units)
