"""Converging joints as momentum: what each leg's air loses of total pressure on its way into the combined leg.

The law is Idelchik's (Handbook of Hydraulic Resistance, section 7, converging
wyes, eqs 7-1 and 7-2, read in the source), written with the momentum of every
leg in place of flow ratios, so that any bores, any number of legs and idle
legs fit, and the gradient is exact. With areas A, c = density / (2 A_c^2),
r = A_c/A and the angle a of each leg to the combined one (0 for the straight):

    J_i = C_i c [q_c^2 + r_i^2 q_i^2 - 2 sum_j r_j cos(a_j) q_j^2]

C is 1 for the straight and for the legs of a Y (symmetric wye: from memory).
For a branch it is max(0.9 (1 - q_b/q_c), 0.55) where A_b/A_c > 0.35, else 1:
the step at 0.35 is the published law's, and a change of bore may step over it.

Beside a branch at 90 deg the straight leg loses 1.55 x - x^2 velocity
pressures, x = 1 - q_s/q_c; the momentum above would give 2 x - x^2. So each
branch takes 0.45 w c q_c q_b off the straight leg, w rising linearly in
cos(a) from 0 at 60 deg to 1 at 90 deg: the blend is judgement.

Negative losses are real: the faster stream drags the slower. Idelchik's
formulas and SMACNA's table for the 45 deg wye agree within 0.3 up to an area
ratio of 0.3; for larger branches much faster than the main Idelchik's lie
0.3 to 0.45 branch velocity pressures lower (the factor 0.55).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import cos
from typing import Literal, NamedTuple

LegKind = Literal["straight", "branch", "leg"]

# Of the published law, read in the source.
_SMALL_BRANCH = 0.35
FALLING, LEAST = 0.9, 0.55
_TEE_RELIEF = 0.45  # 2 - 1.55
_BLEND_COS = 0.5


@dataclass(frozen=True, slots=True)
class Leg:
    """One duct that flows into a joint.

    `area` [m2, more than 0]; `angle` [rad, 0 to pi / 2] to the way of the combined flow, 0 for the
    straight. `coefficient`, where known, is on the combined velocity pressure
    and stands in place of the formula: J = coefficient c q_c^2.
    """

    kind: LegKind
    area: float
    angle: float
    coefficient: float | None = None


class _Terms(NamedTuple):
    """What of a leg does not depend on flow.

    `own` = r^2, `drag` = 2 r cos(a), `relief` = what a branch takes off the
    straight leg, `eased` whether it is such a straight leg, `falls` whether C
    depends on the flow ratio, `known` the coefficient that replaces it all.
    """

    own: float
    drag: float
    relief: float
    eased: bool
    falls: bool
    known: float | None


@dataclass(frozen=True, slots=True)
class Joint:
    """Where legs meet: air `density` [kg/m3], area of the combined leg [m2], and the legs.

    `scale` = c and `terms`, one for each leg, are what does not depend on flow.
    Raises ValueError unless density and areas are positive.
    """

    density: float
    combined_area: float
    legs: tuple[Leg, ...]
    scale: float = field(init=False, repr=False, compare=False)
    terms: tuple[_Terms, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not (self.density > 0.0 and self.combined_area > 0.0 and all(leg.area > 0.0 for leg in self.legs)):
            raise ValueError("a joint wants an air density and areas of more than 0")
        object.__setattr__(self, "scale", self.density / (2.0 * self.combined_area**2))
        object.__setattr__(self, "terms", tuple(_terms(leg, self.combined_area) for leg in self.legs))


def _terms(leg: Leg, combined_area: float) -> _Terms:
    ratio = combined_area / leg.area
    straight, branch = leg.kind == "straight", leg.kind == "branch"
    along = 1.0 if straight else cos(leg.angle)
    blend = min(1.0, max(0.0, 1.0 - along / _BLEND_COS))
    return _Terms(
        own=ratio * ratio,
        drag=2.0 * ratio * along,
        relief=_TEE_RELIEF * blend if branch else 0.0,
        eased=straight,
        falls=branch and leg.area > _SMALL_BRANCH * combined_area,
        known=leg.coefficient,
    )


def momentum(joint: Joint, flows: Sequence[float]) -> tuple[list[float], list[list[float]]]:
    """Loss of total pressure from each leg to the combined one, Pa, and its Jacobian dJ_i/dq_j, Pa s/m3.

    `flows` [m3/s, 0 or more] of the legs, in their order; the combined flow is
    their sum, and without any every loss is 0. A loss below 0 is a gain.

    Idelchik, section 7, eqs 7-1 and 7-2, and SMACNA's tables: see the module.
    """
    combined = sum(flows)
    if combined == 0.0:
        return [0.0] * len(flows), [[0.0] * len(flows) for _ in flows]
    if len(flows) == 2:
        return _two(joint, combined, *flows)
    scale, terms = joint.scale, joint.terms
    shared = combined * combined - sum([t.drag * q * q for t, q in zip(terms, flows, strict=True)])
    slopes = [2.0 * (combined - t.drag * q) for t, q in zip(terms, flows, strict=True)]
    relief = sum([t.relief * q for t, q in zip(terms, flows, strict=True)])
    losses, jacobian = [], []
    for i, (leg, flow) in enumerate(zip(terms, flows, strict=True)):
        core, row = shared + leg.own * flow * flow, slopes
        if leg.eased:
            core -= combined * relief
            row = [slope - relief - combined * t.relief for slope, t in zip(slopes, terms, strict=True)]
        factor, by_flow, by_total = _factor(leg, flow, combined)
        row = [scale * (factor * slope + by_total * core) for slope in row]
        row[i] += scale * (factor * 2.0 * leg.own * flow + by_flow * core)
        if leg.known is not None:
            core, factor, row = leg.known * combined * combined, 1.0, [2.0 * leg.known * scale * combined] * len(flows)
        losses.append(scale * factor * core)
        jacobian.append(row)
    return losses, jacobian


def _factor(leg: _Terms, flow: float, combined: float) -> tuple[float, float, float]:
    """C of a leg, its slope in the leg's own flow and in the combined flow."""
    if not leg.falls:
        return 1.0, 0.0, 0.0
    factor = FALLING * (1.0 - flow / combined)
    if factor <= LEAST:
        return LEAST, 0.0, 0.0
    return factor, -FALLING / combined, FALLING * flow / (combined * combined)


def _two(joint: Joint, combined: float, first: float, second: float) -> tuple[list[float], list[list[float]]]:
    """`momentum` for two legs, which most joints have: the same law with nothing gathered in lists."""
    scale = joint.scale
    one, other = joint.terms
    shared = combined * combined - one.drag * first * first - other.drag * second * second
    by_first, by_second = 2.0 * (combined - one.drag * first), 2.0 * (combined - other.drag * second)
    loss, own, cross = _one_of_two(one, other.relief, first, second, combined, shared, by_first, by_second)
    loss2, own2, cross2 = _one_of_two(other, one.relief, second, first, combined, shared, by_second, by_first)
    return [scale * loss, scale * loss2], [[scale * own, scale * cross], [scale * cross2, scale * own2]]


def _one_of_two(
    leg: _Terms, relief: float, flow: float, other: float, combined: float, shared: float, by_flow: float, by_other: float
) -> tuple[float, float, float]:
    """A leg's loss and its slopes in its own and the other leg's flow, all over c; `relief` is the other leg's."""
    own, _, _, eased, falls, known = leg
    if known is not None:
        slope = 2.0 * known * combined
        return known * combined * combined, slope, slope
    core = shared + own * flow * flow
    by_flow += 2.0 * own * flow
    if eased:
        taken = relief * other
        return core - combined * taken, by_flow - taken, by_other - taken - combined * relief
    if not falls:
        return core, by_flow, by_other
    factor = FALLING * (1.0 - flow / combined)
    if factor <= LEAST:
        return LEAST * core, LEAST * by_flow, LEAST * by_other
    by_share = FALLING * core / combined
    share = flow / combined
    return factor * core, factor * by_flow - by_share * (1.0 - share), factor * by_other + by_share * share
