"""The laws for many gate sets at once, against the same laws for one flow."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from engine.air.losses import elbows, friction, junctions
from engine.air.many.losses import colebrook, joint_terms, mitred_reynolds_factor, momentum


def test_friction_is_colebrooks():
    """Against the law for one flow, laminar and rough beyond the formula's range included."""
    reynolds = np.geomspace(1e-12, 1e8, 400)
    for roughness in (0.0, 1e-6, 1e-3, 0.05, 0.4, 0.9):
        one_by_one = np.array([friction.colebrook(re, roughness) for re in reynolds])
        assert np.stack(colebrook(reynolds, roughness), axis=1) == pytest.approx(one_by_one, rel=1e-9)


def test_factor_of_mitred_elbows():
    reynolds = np.concatenate((np.geomspace(1e2, 1e7, 200), [1.4e5]))
    one_by_one = np.array([elbows.mitred_reynolds_factor(re) for re in reynolds])
    assert np.stack(mitred_reynolds_factor(reynolds), axis=1) == pytest.approx(one_by_one, rel=1e-12)


@pytest.mark.parametrize("legs", [1, 2, 3, 5])
def test_joints_of_any_number_of_legs(legs):
    """Losses and Jacobian of many joints at once, with idle legs, known coefficients, tees, large branches and none at all among them."""
    rng = Random(legs)
    joints = [None, *(_joint(rng, legs) for _ in range(40))]
    orders = [rng.sample(range(legs), legs) for _ in joints]
    flows = np.array([[[rng.choice([0.0, rng.uniform(0.01, 1.0)]) for _ in range(20)] for _ in joints] for _ in range(legs)])
    terms = joint_terms(joints, orders, np.arange(len(joints))[:, None].repeat(20, axis=1))
    losses, jacobian = momentum(terms, list(flows))
    for at, (joint, order) in enumerate(zip(joints, orders, strict=True)):
        for k, column in enumerate(flows[:, at].T):
            by_slot = [column[order.index(slot)] for slot in range(legs)]
            loss, slopes = junctions.momentum(joint, by_slot) if joint else ([0.0] * legs, [[0.0] * legs] * legs)
            assert [one[at, k] for one in losses] == pytest.approx([loss[slot] for slot in order], rel=1e-9, abs=1e-12)
            if column.any():
                wanted = [[slopes[row][of] for of in order] for row in order]
                assert [[one[at, k] for one in row] for row in jacobian] == [pytest.approx(row, rel=1e-9, abs=1e-12) for row in wanted]


def _joint(rng: Random, legs: int) -> junctions.Joint:
    kinds = [rng.choice(["straight", "branch", "leg"]) for _ in range(legs)]
    made = [junctions.Leg(kind, rng.uniform(0.1, 1.2), rng.uniform(0, 1.57), rng.choice([None, None, 0.4])) for kind in kinds]
    return junctions.Joint(1.2, 1.0, tuple(made), lean=rng.choice([0.0, 0.0, -1.0, 0.6]))
