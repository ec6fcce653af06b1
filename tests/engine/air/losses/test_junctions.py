"""Joints against Idelchik's formulas in another library, published tables and examples, and their own gradient."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product
from math import cos, pi, radians, sqrt

import fluids
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engine.air.losses.junctions import Joint, Leg, momentum
from tests.engine.air.losses.wye import branch_coefficient, straight_coefficient, wye

RIGHT = radians(90)
AREA_RATIOS = (0.1, 0.2, 0.3, 0.4, 0.6, 0.8, 1.0)

# SMACNA, HVAC Systems Duct Design, 4th ed., Table A-10B, converging tee at 90 deg (read in the source):
# rows by flow ratio, columns by AREA_RATIOS.
TEE_BRANCH = {
    0.2: (3.8, 0.72, 0.17, -0.02, -0.14, -0.18, -0.24),
    0.5: (26, 6.8, 3.2, 1.1, 0.66, 0.49, 0.42),
    0.6: (37, 9.7, 4.7, 1.6, 0.92, 0.69, 0.57),
    0.8: (65, 17, 7.9, 2.7, 1.5, 1.1, 0.86),
}
# Printed with the factor for small branches, though the branch is as large as the main.
TEE_DEPARTS = {(0.2, 1.0)}
TEE_STRAIGHT = {0.1: 0.16, 0.2: 0.27, 0.3: 0.38, 0.4: 0.46, 0.5: 0.53, 0.6: 0.57, 0.7: 0.59, 0.8: 0.60, 0.9: 0.59, 1.0: 0.55}

# The same, Table A-10A, converging wye at 45 deg: rows by the ratio of branch to combined velocity.
WYE_BRANCH = {
    0.7: (-0.26, -0.16, -0.08, -0.01, 0.10, 0.20, 0.28),
    1.0: (0.22, 0.31, 0.38, 0.44, 0.53, 0.62, 0.69),
    1.5: (1.4, 1.5, 1.5, 1.6, 1.7, 1.7, 1.8),
    2.0: (3.1, 3.2, 3.2, 3.2, 3.3, 3.3, 3.3),
}
WYE_DEPARTS = {
    # More air in the branch than in the combined leg: no state of a joint.
    "impossible": {(1.5, 0.8), (1.5, 1.0), (2.0, 0.6), (2.0, 0.8), (2.0, 1.0)},
    # Idelchik has 0.55 for a large branch that carries most of the air, SMACNA more than 1; the law goes between them.
    "the sources part": {(1.5, 0.4), (1.5, 0.6), (2.0, 0.4)},
}  # fmt: skip


@pytest.mark.parametrize("q, a, expected", [
    (q, a, c) for q, row in TEE_BRANCH.items() for a, c in zip(AREA_RATIOS, row, strict=True) if (q, a) not in TEE_DEPARTS
])  # fmt: skip
def test_branch_of_a_square_tee_by_smacna(q, a, expected):
    assert branch_coefficient(q, a, RIGHT) == pytest.approx(expected, rel=0.045, abs=0.03)


@pytest.mark.parametrize("q, expected", TEE_STRAIGHT.items())
def test_straight_leg_of_a_square_tee_by_smacna(q, expected):
    assert straight_coefficient(q, 0.5, RIGHT) == pytest.approx(expected, abs=0.016)


@pytest.mark.parametrize("v, a, expected", [
    (v, a, c) for v, row in WYE_BRANCH.items() for a, c in zip(AREA_RATIOS, row, strict=True)
    if not any((v, a) in cells for cells in WYE_DEPARTS.values())
])  # fmt: skip
def test_branch_of_a_45_deg_wye_by_smacna(v, a, expected):
    """The two sources differ by up to 0.25 where they mean the same."""
    assert branch_coefficient(v * a, a, radians(45)) == pytest.approx(expected, abs=0.25)


@pytest.mark.parametrize("v, a", sorted(WYE_DEPARTS["the sources part"]))
def test_where_the_sources_part_the_law_goes_between(v, a):
    """On the branch's own velocity pressure it is within 0.25 of either, and as far as it leans it reaches both."""
    q, smacna = v * a, WYE_BRANCH[v][AREA_RATIOS.index(a)]
    momentum_alone = 1 + v * v - 2 * (1 - q) ** 2 - 2 * q * v * cos(radians(45))
    idelchik = 0.55 * momentum_alone
    assert idelchik < branch_coefficient(q, a, radians(45)) < smacna
    assert branch_coefficient(q, a, radians(45)) == pytest.approx((idelchik + smacna) / 2, abs=0.1 * v * v)
    low, high = (momentum(replace(wye(a, radians(45)), lean=lean), (1 - q, q))[0][1] for lean in (-1.0, 1.0))
    assert low <= idelchik and high >= 0.97 * smacna


@pytest.mark.parametrize("v, a, expected", [
    (v, a, c) for v, row in WYE_BRANCH.items() for a, c in zip(AREA_RATIOS, row, strict=True) if (v, a) not in WYE_DEPARTS["impossible"]
])  # fmt: skip
def test_a_lean_reaches_the_table_of_the_45_deg_wye(v, a, expected):
    """Within 5 % or 0.06, with which the table is printed at small branches."""
    low, high = (momentum(replace(wye(a, radians(45)), lean=lean), (1 - v * a, v * a))[0][1] for lean in (-1.0, 1.0))
    assert low - max(0.06, 0.05 * abs(expected)) <= expected <= high + max(0.06, 0.05 * abs(expected))


# The cells of the formula that the law replaces: a large branch at less than a right angle that brings more than 0.39 of the air.
# There the formula has 0.55 of the momentum, below a plain widening for a lone branch, and SMACNA's table for the wye is above the momentum.
CRANE_REPLACED = set(product((30, 45, 60), (0.5, 0.8, 1.0), (0.45, 0.7, 0.95)))


@pytest.mark.parametrize("q", [0.1, 0.3])
def test_the_factor_of_a_branch_is_the_published_one_from_either_side_of_its_step(q):
    """Idelchik, section 7 (read in the source): 1 up to an area ratio of 0.35, 0.9 (1 - q) beyond; between 0.3 and 0.4 the law goes over."""

    def core(a):
        return 1 + (q / a) ** 2 - 2 * (1 - q) ** 2 - 2 * q * q / a * cos(radians(45))

    assert branch_coefficient(q, 0.3, radians(45)) == pytest.approx(core(0.3))
    assert branch_coefficient(q, 0.4, radians(45)) == pytest.approx(core(0.4) * 0.9 * (1 - q))
    assert branch_coefficient(q, 0.35, radians(45)) == pytest.approx(core(0.35) * (1 + 0.9 * (1 - q)) / 2)


def test_crane_tp410_example_7_35():
    """90 deg tee, all legs 0.1023 m, run 300 and branch 100 gpm (read in the source)."""
    assert branch_coefficient(100 / 400, 1.0, RIGHT) == pytest.approx(-0.040, abs=0.003)
    assert straight_coefficient(100 / 400, 1.0, RIGHT) == pytest.approx(0.33, abs=0.01)


@pytest.mark.parametrize("angle", [30, 45, 60, 90])
@pytest.mark.parametrize("a", [0.1, 0.3, 0.5, 0.8, 1.0])
@pytest.mark.parametrize("q", [0.05, 0.2, 0.35, 0.45, 0.7, 0.95])
def test_crane_tp410_in_a_library_of_fluid_flow(q, a, angle):
    """fluids, where its formulas hold: they round 2 cos(angle) to 1.74 and 1.41."""
    branch = fluids.K_branch_converging_Crane(1.0, sqrt(a), 1 - q, q, angle)
    straight = fluids.K_run_converging_Crane(1.0, sqrt(a), 1 - q, q, angle)
    rounding = 0.009 * q * q / a + 1e-9
    if (angle, a, q) in CRANE_REPLACED:
        assert branch - rounding <= branch_coefficient(q, a, radians(angle)) <= branch / 0.55 + rounding
    else:
        assert branch_coefficient(q, a, radians(angle)) == pytest.approx(branch, abs=rounding)
    assert straight_coefficient(q, a, radians(angle)) == pytest.approx(straight, abs=rounding)


def test_two_equal_legs_lose_little_at_gentle_angles():
    """Conservation of momentum for a Y of equal areas: (1 + r^2/4 - r cos a) at half the flow each."""
    for angle in (20, 30, 45):
        for a in (0.5, 0.7, 1.0):
            r = 1 / a
            losses, _ = momentum(Joint(2.0, 1.0, (Leg("leg", a, radians(angle)),) * 2), (0.5, 0.5))
            assert losses == pytest.approx([1 + r * r / 4 - r * cos(radians(angle))] * 2, abs=1e-12)
            assert losses[0] < 0.6


def test_straight_on_alone_loses_nothing():
    for legs in ((Leg("straight", 0.02, 0.0),), (Leg("straight", 0.02, 0.0), Leg("branch", 0.01, 0.8))):
        joint = Joint(1.2, 0.02, legs)
        losses, _ = momentum(joint, (0.3, *[0.0] * (len(legs) - 1)))
        assert losses[0] == 0.0


def test_no_flow_loses_nothing():
    for count in (1, 2, 3):
        joint = Joint(1.2, 0.02, (Leg("straight", 0.02, 0.0), Leg("branch", 0.01, 0.8), Leg("branch", 0.01, 0.8))[:count])
        assert momentum(joint, (0.0,) * count) == ([0.0] * count, [[0.0] * count] * count)


def test_the_faster_stream_drags_the_slower():
    assert branch_coefficient(0.05, 0.3, radians(45)) < 0
    assert straight_coefficient(0.6, 0.2, radians(30)) < 0


def test_a_known_coefficient_replaces_the_formula_of_its_leg_alone():
    known = Leg("branch", 0.5, radians(45), coefficient=0.3)
    plain = Leg("branch", 0.5, radians(45))
    straight = Leg("straight", 1.0, 0.0)
    losses, jacobian = momentum(Joint(1.2, 1.0, (straight, known)), (3.0, 2.0))
    assert losses[1] == pytest.approx(0.3 * 0.6 * 25) and jacobian[1] == pytest.approx([0.3 * 1.2 * 5] * 2)
    assert losses[0] == momentum(Joint(1.2, 1.0, (straight, plain)), (3.0, 2.0))[0][0]
    for lean in (-1.0, 1.0):
        assert momentum(Joint(1.2, 1.0, (straight, known), lean=lean), (3.0, 2.0))[0][1] == pytest.approx((1 + 0.3 * lean) * losses[1])


def test_loss_scales_with_density_and_area():
    small = momentum(Joint(1.2, 0.02, (Leg("straight", 0.02, 0.0), Leg("branch", 0.01, 0.8))), (0.2, 0.1))[0]
    large = momentum(Joint(2.4, 0.04, (Leg("straight", 0.04, 0.0), Leg("branch", 0.02, 0.8))), (0.4, 0.2))[0]
    assert large == pytest.approx([2 * loss for loss in small])


flow = st.floats(0.01, 1.0)
area = st.floats(0.1, 1.2)
angle = st.floats(radians(15), RIGHT)


@given(st.floats(0.0, 1.0), st.floats(0.05, 1.0), angle)
def test_joints_never_give_energy(q, a, a_rad):
    """What one stream gains the other loses, and more: Sum q_i J_i >= 0."""
    gained = q * branch_coefficient(q, a, a_rad) + (1 - q) * straight_coefficient(q, a, a_rad)
    assert gained >= -1e-9


@given(flow, flow, area, angle)
def test_a_branch_in_two_halves_is_one_branch_to_the_straight_leg(q_straight, q_branch, a, a_rad):
    half = Leg("branch", a / 2, a_rad)
    whole = momentum(wye(a, a_rad), (q_straight, q_branch))[0][0]
    halves = momentum(Joint(2.0, 1.0, (Leg("straight", 1.0, 0.0), half, half)), (q_straight, q_branch / 2, q_branch / 2))[0][0]
    assert halves == pytest.approx(whole, abs=1e-12)


@given(flow, flow, area, angle)
def test_an_idle_leg_changes_nothing_for_the_others(q_straight, q_branch, a, a_rad):
    two = momentum(wye(a, a_rad), (q_straight, q_branch))
    idle = Joint(2.0, 1.0, (*wye(a, a_rad).legs, Leg("branch", 0.3, a_rad)))
    losses, jacobian = momentum(idle, (q_straight, q_branch, 0.0))
    assert losses[:2] == pytest.approx(two[0], abs=1e-12)
    assert [row[:2] for row in jacobian[:2]] == [pytest.approx(row, abs=1e-12) for row in two[1]]


@given(flow, flow, area)
def test_the_straight_leg_changes_steadily_from_60_to_90_deg(q_straight, q_branch, a):
    # 0.45 and 2 r are the most that each of the two terms changes by over a cosine of 1/2.
    most = 2 * (0.45 / 0.5 + 2 / a) * (q_straight + q_branch) ** 2
    losses = [momentum(wye(a, radians(k / 2)), (q_straight, q_branch))[0][0] for k in range(100, 181)]
    assert all(abs(high - low) <= most * radians(0.5) for low, high in pairwise(losses))
    x = q_branch / (q_straight + q_branch)
    assert losses[-1] == pytest.approx((1.55 * x - x * x) * (q_straight + q_branch) ** 2, abs=1e-9)


@pytest.mark.parametrize("lean", [-1.0, 0.0, 1.0])
@given(a=st.floats(0.05, 1.0), a_rad=angle)
def test_a_lone_branch_loses_at_least_a_plain_widening(lean, a, a_rad):
    """Borda and Carnot: (1 - A1/A2)^2 of its own velocity pressure, which a bend on the way can but add to."""
    lone = momentum(replace(wye(a, a_rad), lean=lean), (0.0, 1.0))[0][1] * a * a
    assert lone >= (1 - a) ** 2 - 1e-12


@pytest.mark.parametrize("lean, factor", [(-1.0, 0.55), (-0.5, 0.775), (0.0, 1.0), (0.5, 1.25), (1.0, 1.5)])
def test_a_lean_takes_a_lone_branch_evenly_between_the_sides_of_its_sources(lean, factor):
    """Idelchik's 0.55 of the law at the low side, half as much again at the high one (judgement: the spread of the sources)."""
    lone = momentum(replace(wye(1.0, radians(45)), lean=lean), (0.0, 1.0))[0][1]
    assert lone == pytest.approx(factor * branch_coefficient(1.0, 1.0, radians(45)))


@pytest.mark.parametrize("lean, factor", [(-1.0, 0.7), (0.0, 1.0), (0.5, 1.15), (1.0, 1.3)])
def test_a_lean_takes_a_coefficient_that_was_given_by_up_to_three_tenths(lean, factor):
    """Judgement."""
    given_one = Joint(1.2, 1.0, (Leg("straight", 1.0, 0.0), Leg("branch", 0.5, radians(45), coefficient=0.4)), lean=lean)
    assert momentum(given_one, (0.6, 0.4))[0][1] == pytest.approx(0.4 * factor * 0.6)


def test_a_lone_branch_of_the_main_s_bore_lies_by_a_mitred_elbow():
    """SMACNA, Table A-7, mitred: 45 deg 0.34, 60 deg 0.55, 75 deg 0.81, 90 deg 1.2; a bore that goes on past the bend costs more or less of it."""
    for degrees_, mitred in ((45, 0.34), (60, 0.55), (75, 0.81), (90, 1.2)):
        assert 0.9 * mitred < branch_coefficient(1.0, 1.0, radians(degrees_)) < 1.75 * mitred


@given(flow, area, angle, st.floats(-1.0, 1.0))
def test_the_same_joint_loses_the_same_by_either_name(q, a, a_rad, lean):
    """A branch into a dead main, one that joins alone, and the one leg at work of a Y."""
    idle = 0.7
    found = [
        momentum(Joint(1.2, 1.0, (Leg("straight", 1.0, 0.0), Leg("branch", a, a_rad)), lean=lean), (0.0, q))[0][1],
        momentum(Joint(1.2, 1.0, (Leg("branch", a, a_rad),), lean=lean), (q,))[0][0],
        momentum(Joint(1.2, 1.0, (Leg("leg", idle, a_rad), Leg("leg", a, a_rad)), lean=lean), (0.0, q))[0][1],
    ]
    assert found == pytest.approx([found[0]] * 3, rel=1e-12)


@given(flow, flow, area, area, angle, st.floats(-1.0, 1.0))
def test_two_branches_into_a_dead_main_are_a_y(q1, q2, a1, a2, a_rad, lean):
    branches = momentum(Joint(1.2, 1.0, (Leg("straight", 1.0, 0.0), Leg("branch", a1, a_rad), Leg("branch", a2, a_rad)), lean=lean), (0.0, q1, q2))[
        0
    ][1:]
    y = momentum(Joint(1.2, 1.0, (Leg("leg", a1, a_rad), Leg("leg", a2, a_rad)), lean=lean), (q1, q2))[0]
    assert branches == pytest.approx(y, rel=1e-9, abs=1e-12)


@given(st.floats(0.0, 1.0), st.floats(0.2, 1.0), angle, st.sampled_from([-1.0, 0.0, 1.0]))
def test_the_law_has_no_step_in_flow_nor_area(q, a, a_rad, lean):
    """Slopes are bounded by what the terms 2 q^2/a^3 and 4.5 of the factor make of it."""

    def at(q, a):
        return momentum(replace(wye(a, a_rad), lean=lean), (1 - q, q))[0][1]

    most = 60 / a**3
    assert abs(at(min(1.0, q + 1e-6), a) - at(q, a)) <= most * 1e-6
    assert abs(at(q, a + 1e-6) - at(q, a)) <= most * 1e-6


@pytest.mark.parametrize("edge", [0.3, 0.35, 0.4])
def test_a_change_of_bore_steps_over_nothing(edge):
    """The published factor steps at 0.35."""
    below, above = (branch_coefficient(0.5, edge + side, radians(45)) for side in (-1e-9, 1e-9))
    assert below == pytest.approx(above, abs=1e-6)


legs = st.one_of(
    st.builds(lambda a: Leg("straight", a, 0.0), area),
    st.builds(lambda a, t: Leg("branch", a, t), area, angle),
    st.builds(lambda a, t: Leg("leg", a, t), area, angle),
    st.builds(lambda a, t, c: Leg("branch", a, t, c), area, angle, st.floats(-1.0, 3.0)),
)


@given(st.lists(st.tuples(legs, st.floats(0.0, 1.0)), min_size=1, max_size=4), st.floats(0.8, 1.3), st.sampled_from([-1.0, -0.3, 0.0, 0.7]))
def test_jacobian_is_the_derivative(members, density, lean):
    joint = Joint(density, 1.0, tuple(leg for leg, _ in members), lean=lean)
    flows = [q for _, q in members]
    combined = sum(flows)
    assume(combined > 0.05)
    straight = sum(q for leg, q in members if leg.kind == "straight")
    # Differences say nothing across the corner where the factor's two lines meet.
    assume(abs(0.9 * straight / combined - 0.55) > 1e-3)
    _, jacobian = momentum(joint, flows)
    step = 1e-6
    for j in range(len(flows)):
        up, down = ([q + side * step * (k == j) for k, q in enumerate(flows)] for side in (1, -1))
        for i, (high, low) in enumerate(zip(momentum(joint, up)[0], momentum(joint, down)[0], strict=True)):
            assert jacobian[i][j] == pytest.approx((high - low) / (2 * step), rel=1e-5, abs=1e-5)


@pytest.mark.parametrize("make", [
    lambda: Joint(0.0, 1.0, ()), lambda: Joint(1.2, 0.0, ()), lambda: Joint(1.2, 1.0, (Leg("branch", 0.0, pi / 4),)),
])  # fmt: skip
def test_nonsense_is_refused(make):
    with pytest.raises(ValueError, match="more than 0"):
        make()
