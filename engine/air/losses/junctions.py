"""Converging joints as momentum: what each leg's air loses of total pressure on its way into the combined leg.

The law is Idelchik's (Handbook of Hydraulic Resistance, section 7, converging
wyes, eqs 7-1 and 7-2, read in the source), written with the momentum of every
leg in place of flow ratios, so that any bores, any number of legs and idle
legs fit, and the gradient is exact. With areas A, c = density / (2 A_c^2),
r = A_c/A and the angle a of each leg to the combined one (0 for the straight):

    J_i = C_i c [q_c^2 + r_i^2 q_i^2 - 2 sum_j r_j cos(a_j) q_j^2]

C is 1 for the straight. For a branch Idelchik has 1 where A_b/A_c <= 0.35,
else 0.9 s, at least 0.55, with s = q_s/q_c the share of the straight. SMACNA's
table A-10B for the tee at 90 deg says the same. Its A-10A for the wye at
45 deg agrees within 0.25 while the straight brings most of the air; with the
straight at rest it lies above the momentum, Idelchik far below it, even below
a plain widening of the branch into the main, (1 - A_b/A_c)^2 of the branch's
velocity pressures, which no lone branch can be. Here C goes between them:

    s >= 11/18:  C = 1 - d + 0.9 d s                          (Idelchik)
    s < 11/18:   C = (1 - x) (1 - 0.45 d t p^2) + x (1 - 0.45 d),  x = s / (11/18)

so that a lone branch loses its momentum up to 45 deg, and a lone square one
Idelchik's and SMACNA's 0.55 of it. t = -cos(2a), at least 0, p the branch's
share of what comes from the sides; both are judgement. d rises from 0 at
A_b/A_c = 0.3 to 1 at 0.4: the sources step between those two columns. The leg
of a Y (symmetric wye: from memory) follows the branch's law with the straight
at rest, so that a joint loses the same by either name.

Beside a branch at 90 deg the straight leg loses 1.55 x - x^2 velocity
pressures, x = 1 - q_s/q_c; the momentum above would give 2 x - x^2. So each
branch takes 0.45 w c q_c q_b off the straight leg, w rising linearly in
cos(a) from 0 at 60 deg to 1 at 90 deg: the blend is judgement.

Negative losses are real: the faster stream drags the slower.

How far the law can be off goes by a `lean` from -1 to 1. It adds
lean x c x (the sum of the products of the legs' flows, two by two), by which
the two sources differ where both streams flow; and a lone branch loses from
Idelchik's 0.55, at least the plain widening, to SMACNA's 1.5 times the law. A
coefficient that was given goes 30 % either way: judgement.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field
from math import cos
from typing import Literal, NamedTuple

from engine.design.kept import ROWS, kept
from engine.values import dataclass

LegKind = Literal["straight", "branch", "leg"]

# Of the published law, read in the source: C of a large branch, and the share of the straight where its two pieces meet.
FALLING, LEAST = 0.9, 0.55
MEETS = LEAST / FALLING
_SMALL_BRANCH, _LARGE_BRANCH = 0.3, 0.4
# Of a lone branch, as a factor on the law, and of two streams that mix, in c q_i q_j: the spread of the sources.
_LONE_LOW, _LONE_HIGH = 0.55, 1.5
_MIXING = 1.0
# Of a coefficient that was given in place of the law: one number for every state of a joint is no surer than the law.
_GIVEN = 0.3
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


class Terms(NamedTuple):
    """What of a leg does not depend on flow.

    `own` = r^2, `drag` = 2 r cos(a), `relief` = what a branch takes off the
    straight leg, `main` whether it is the straight, `known` the coefficient
    that replaces it all. Of C, see the module: `lone` = its factor at s = 0,
    `square` = 0.45 d t, `depth` = d; `plain` where C is 1 whatever the flows.
    """

    own: float
    drag: float
    relief: float
    main: bool
    known: float | None
    lone: float
    square: float
    depth: float
    plain: bool


@dataclass(frozen=True, slots=True)
class Joint:
    """Where legs meet: air `density` [kg/m3], area of the combined leg [m2], and the legs.

    `lean` from -1 to 1 is how far the law is taken to the low or the high side of its sources.
    `scale` = c, `mixing` and `terms`, one for each leg, are what does not depend on flow.
    Raises ValueError unless density and areas are positive.
    """

    density: float
    combined_area: float
    legs: tuple[Leg, ...]
    lean: float = field(default=0.0, kw_only=True)
    scale: float = field(init=False, repr=False, compare=False)
    mixing: float = field(init=False, repr=False, compare=False)
    terms: tuple[Terms, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not (self.density > 0.0 and self.combined_area > 0.0 and all(leg.area > 0.0 for leg in self.legs)):
            raise ValueError("a joint wants an air density and areas of more than 0")
        object.__setattr__(self, "scale", self.density / (2.0 * self.combined_area**2))
        object.__setattr__(self, "mixing", _MIXING * self.lean)
        object.__setattr__(self, "terms", tuple(_terms(leg, self.combined_area, self.lean) for leg in self.legs))


def _terms(leg: Leg, combined_area: float, lean: float) -> Terms:
    ratio = combined_area / leg.area
    main = leg.kind == "straight"
    along = 1.0 if main else cos(leg.angle)
    blend = min(1.0, max(0.0, 1.0 - along / _BLEND_COS))
    depth = min(1.0, max(0.0, (1.0 / ratio - _SMALL_BRANCH) / (_LARGE_BRANCH - _SMALL_BRANCH)))
    square = (1.0 - LEAST) * depth * max(0.0, 1.0 - 2.0 * along * along)
    lone = _lone(ratio, along, square, lean)
    return Terms(
        own=ratio * ratio,
        drag=2.0 * ratio * along,
        relief=_TEE_RELIEF * blend if leg.kind == "branch" else 0.0,
        main=main,
        known=None if leg.coefficient is None else leg.coefficient * (1.0 + _GIVEN * lean),
        lone=lone,
        square=square,
        depth=depth,
        plain=main or (lone == 1.0 and depth == 0.0),
    )


def _lone(ratio: float, along: float, square: float, lean: float) -> float:
    """Factor on the loss of a lone branch: no lean takes it under that of a plain widening."""
    if lean >= 0.0:
        return 1.0 + lean * (_LONE_HIGH - 1.0)
    loss = (1.0 - square) * (1.0 + ratio * ratio - 2.0 * ratio * along)
    widening = max(0.0, ratio - 1.0) ** 2
    least = max(_LONE_LOW, widening / loss) if loss > 0.0 else 1.0
    return 1.0 + lean * (1.0 - least)


def momentum(joint: Joint, flows: Sequence[float]) -> tuple[list[float], list[list[float]]]:
    """Loss of total pressure from each leg to the combined one, Pa, and its Jacobian dJ_i/dq_j, Pa s/m3.

    `flows` [m3/s, 0 or more] of the legs, in their order; the combined flow is
    their sum, and without any every loss is 0. A loss below 0 is a gain.

    Idelchik, section 7, eqs 7-1 and 7-2, and SMACNA's tables: see the module.
    """
    combined = sum(flows)
    if combined == 0.0:
        return [0.0] * len(flows), [[0.0] * len(flows) for _ in flows]
    if len(flows) == 2 and not joint.mixing:
        return _two(joint, combined, *flows)
    scale, terms = joint.scale, joint.terms
    shared, main, relief = combined * combined, 0.0, 0.0
    for t, q in zip(terms, flows, strict=True):
        shared -= t.drag * q * q
        relief += t.relief * q
        if t.main:
            main += q
    slopes = [2.0 * (combined - t.drag * q) for t, q in zip(terms, flows, strict=True)]
    losses, jacobian = [], []
    for i, (leg, flow) in enumerate(zip(terms, flows, strict=True)):
        if leg.known is not None:
            losses.append(scale * leg.known * combined * combined)
            jacobian.append([2.0 * leg.known * scale * combined] * len(flows))
            continue
        core, row = shared + leg.own * flow * flow, slopes[:]
        row[i] += 2.0 * leg.own * flow
        if leg.main:
            core -= combined * relief
            row = [slope - relief - combined * t.relief for slope, t in zip(row, terms, strict=True)]
        elif not leg.plain:
            factor, by_own, by_main, by_side = _factor(leg, flow, main, combined)
            row = [factor * slope + (by_main if t.main else by_side) * core for slope, t in zip(row, terms, strict=True)]
            row[i] += by_own * core
            core *= factor
        losses.append(scale * core)
        jacobian.append([scale * slope for slope in row])
    if joint.mixing:
        _mix(joint, flows, combined, losses, jacobian)
    return losses, jacobian


@kept(ROWS)
def lone_leg(joint: Joint, leg: int) -> tuple[float, ...]:
    """Loss of every leg over the square of the flow, Pa s2/m6, where one leg alone draws: all shares of the flow then stay what they are."""
    return tuple(momentum(joint, [float(at == leg) for at in range(len(joint.legs))])[0])


def _factor(leg: Terms, flow: float, main: float, combined: float) -> tuple[float, float, float, float]:
    """C of a leg and its slopes: in its own flow, beyond those in every flow of the straight and of the sides."""
    share = main / (MEETS * combined)
    if share >= 1.0:
        slope = leg.depth * LEAST
        by_share, by_part, part, side = slope, 0.0, 0.0, 1.0
        factor = 1.0 - leg.depth + slope * share
    else:
        side = combined - main
        part = flow / side
        lone, met = leg.lone * (1.0 - leg.square * part * part), 1.0 - (1.0 - LEAST) * leg.depth
        factor, by_share = lone + (met - lone) * share, met - lone
        by_part = -2.0 * (1.0 - share) * leg.lone * leg.square * part / side
    return factor, by_part, by_share * (1.0 / MEETS - share) / combined, -by_share * share / combined - by_part * part


def _two(joint: Joint, combined: float, first: float, second: float) -> tuple[list[float], list[list[float]]]:
    """`momentum` for two legs, which most joints have: the same law with nothing gathered in lists."""
    scale = joint.scale
    one, other = joint.terms
    shared = combined * combined - one.drag * first * first - other.drag * second * second
    by_first, by_second = 2.0 * (combined - one.drag * first), 2.0 * (combined - other.drag * second)
    loss, own, cross = _one_of_two(one, other, first, second, combined, shared, by_first, by_second)
    loss2, own2, cross2 = _one_of_two(other, one, second, first, combined, shared, by_second, by_first)
    return [scale * loss, scale * loss2], [[scale * own, scale * cross], [scale * cross2, scale * own2]]


def _one_of_two(
    leg: Terms, beside: Terms, flow: float, other: float, combined: float, shared: float, by_flow: float, by_other: float
) -> tuple[float, float, float]:
    """A leg's loss and its slopes in its own flow and in that of the one beside, all over c."""
    if leg.known is not None:
        slope = 2.0 * leg.known * combined
        return leg.known * combined * combined, slope, slope
    core = shared + leg.own * flow * flow
    by_flow += 2.0 * leg.own * flow
    if leg.main:
        taken = beside.relief * other
        return core - combined * taken, by_flow - taken, by_other - taken - combined * beside.relief
    if leg.plain:
        return core, by_flow, by_other
    factor, by_own, by_main, by_side = _factor(leg, flow, other if beside.main else 0.0, combined)
    return factor * core, factor * by_flow + (by_side + by_own) * core, factor * by_other + (by_main if beside.main else by_side) * core


def _mix(joint: Joint, flows: Sequence[float], combined: float, losses: list[float], jacobian: list[list[float]]) -> None:
    """Add what a lean says of streams that mix."""
    more = joint.scale * joint.mixing
    products = (combined * combined - sum([q * q for q in flows])) / 2.0
    for i, leg in enumerate(joint.terms):
        if leg.known is None:
            losses[i] += more * products
            jacobian[i] = [slope + more * (combined - q) for slope, q in zip(jacobian[i], flows, strict=True)]
