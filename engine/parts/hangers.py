"""Where straights are hung, and what a hanger carries."""

from __future__ import annotations

from math import ceil, pi

from engine.catalog.joining import practice
from engine.parts.chain import Chain, Part


def hangers(chain: Chain, part: Part) -> tuple[float, ...]:
    """How far from its inner end each hanger of a straight is, m.

    One near either fitting, more where these are farther apart than hangers
    of the material may be; a short straight has one in its middle, a very
    short one hangs on its neighbours.
    """
    length, rules = part.length or 0.0, practice()
    if part.kind != "straight" or length < rules.least_hung:
        return ()
    if length <= 2 * rules.from_fitting:
        return (length / 2,)
    near = min(rules.from_fitting, length / 4)
    gaps = ceil((length - 2 * near) / chain.rule.spacing(chain.bore) - 1e-9)
    return tuple(near + (length - 2 * near) * i / gaps for i in range(gaps + 1))


def load(chain: Chain) -> float:
    """What a metre of a chain's pipe weighs when it is half full of chips, kg."""
    rules = practice()
    return pi * chain.bore * chain.rule.wall + pi * chain.bore**2 / 4 * rules.full * rules.chips
