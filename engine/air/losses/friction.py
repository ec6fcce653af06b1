"""Friction of straight pipe: Darcy-Weisbach with the Colebrook factor."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import sqrt

_SLOWEST = 1e-9
_SURELY_LAMINAR = 100.0
_ROUGHEST = 0.5
_LN10_HALF = 1.1512925464970228  # ln(10) / 2
_ROUGH = 0.12396818633541755  # ln(10) / 18.574, with 18.574 = 2 x 2.51 x 3.7


def colebrook(reynolds: float, relative_roughness: float) -> tuple[float, float]:
    """Darcy friction factor f and d ln f / d ln Re, at a Reynolds number and a roughness over bore, 0 or more.

    f is the larger of 64/Re and Colebrook's 1/sqrt(f) = -2 log10(e/3.7 D + 2.51/(Re sqrt(f)))
    (C. F. Colebrook, J. Inst. Civ. Eng. 11 (1939) 133), solved by `fluids`. So f is continuous:
    the jump that real pipes show between Re 2000 and 4000 is left out. The slope is exact:
    with F = ln(10) / (2 sqrt(f)) and X = ln(10)/18.574 e/D Re, Colebrook reads F + ln(X + F) =
    ln Re + const, hence d ln f / d ln Re = -2/(1 + X + F); it is -1 where 64/Re rules.

    Valid for e/D up to 0.05; the formula is followed up to 0.5 and held there. No flow and
    backward flow (Re <= 0) count as Re 1e-9, below 100 the flow is taken as laminar.
    Raises ValueError for a negative roughness.
    """
    if not 0.0 <= relative_roughness <= _ROUGHEST:
        relative_roughness = _held(relative_roughness)
    if reynolds < _SURELY_LAMINAR:
        return 64.0 / (reynolds if reynolds > _SLOWEST else _SLOWEST), -1.0
    factor = _solver()(reynolds, relative_roughness)
    laminar = 64.0 / reynolds
    if laminar > factor:
        return laminar, -1.0
    return factor, -2.0 / (1.0 + _ROUGH * relative_roughness * reynolds + _LN10_HALF / sqrt(factor))


@cache
def _solver() -> Callable[[float, float], float]:
    from fluids.friction import Clamond  # with NumPy, slow to load: not before air flows

    clamond: Callable[[float, float], float] = Clamond
    return clamond


def _held(relative_roughness: float) -> float:
    if relative_roughness > _ROUGHEST:
        return _ROUGHEST
    raise ValueError(f"relative roughness {relative_roughness}; wanted 0 or more")
