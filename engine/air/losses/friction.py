"""Friction of straight pipe: Darcy-Weisbach with the Colebrook factor."""

from __future__ import annotations

from math import log

_SLOWEST = 1e-9
_SURELY_LAMINAR = 100.0
_ROUGHEST = 0.5
_LN10_HALF = 1.1512925464970228  # ln(10) / 2
_ROUGH = 0.12396818633541755  # ln(10) / 18.574, with 18.574 = 2 x 2.51 x 3.7
_SMOOTH = 0.7793974884556819  # ln(ln(10) / 5.02)
_GUESS = 1.6  # about ln(X + F) of the slowest turbulent flow in smooth pipe


def colebrook(reynolds: float, relative_roughness: float) -> tuple[float, float]:
    """Darcy friction factor f and d ln f / d ln Re, at a Reynolds number and a roughness over bore, 0 or more.

    f is the larger of 64/Re and Colebrook's 1/sqrt(f) = -2 log10(e/3.7 D + 2.51/(Re sqrt(f)))
    (C. F. Colebrook, J. Inst. Civ. Eng. 11 (1939) 133). So f is continuous: the jump that real
    pipes show between Re 2000 and 4000 is left out. With F = ln(10) / (2 sqrt(f)) and
    X = ln(10)/18.574 e/D Re, Colebrook reads F + ln(X + F) = ln Re - ln(ln(10)/5.02): a step of
    fourth order (D. Clamond, Ind. Eng. Chem. Res. 48 (2009) 3665) from F put into itself twice
    leaves less than 1e-12 of it, and d ln f / d ln Re = -2/(1 + X + F); it is -1 where 64/Re rules.

    Valid for e/D up to 0.05; the formula is followed up to 0.5 and held there. No flow and
    backward flow (Re <= 0) count as Re 1e-9, below 100 the flow is taken as laminar.
    Raises ValueError for a negative roughness.
    """
    if not 0.0 <= relative_roughness <= _ROUGHEST:
        relative_roughness = _held(relative_roughness)
    if reynolds < _SURELY_LAMINAR:
        return 64.0 / (reynolds if reynolds > _SLOWEST else _SLOWEST), -1.0
    rough, smooth = _ROUGH * relative_roughness * reynolds, log(reynolds) - _SMOOTH
    root = smooth - log(rough + smooth - log(rough + smooth - _GUESS))
    both = rough + root
    slope = 1.0 + both
    miss = (log(both) + root - smooth) / slope
    root -= (slope + 0.5 * miss) * miss * both / (slope + miss * (1.0 + miss / 3.0))
    factor = _LN10_HALF / root
    factor *= factor
    laminar = 64.0 / reynolds
    if laminar > factor:
        return laminar, -1.0
    return factor, -2.0 / (1.0 + rough + root)


def _held(relative_roughness: float) -> float:
    if relative_roughness > _ROUGHEST:
        return _ROUGHEST
    raise ValueError(f"relative roughness {relative_roughness}; wanted 0 or more")
