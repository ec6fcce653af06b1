"""The laws for many gate sets at once, against the same laws for one flow."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from engine.air.losses import elbows, friction, junctions
from engine.air.many.losses import colebrook, mitred_reynolds_factor, momentum


def test_friction_is_colebrooks():
    """Against `fluids` through the law for one flow, laminar and rough beyond the formula's range included."""
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
    """Losses and Jacobian, with idle legs, known coefficients, tees and large branches among them."""
    rng = Random(legs)
    for _ in range(40):
        made = [
            junctions.Leg(rng.choice(["straight", "branch", "leg"]), rng.uniform(0.1, 1.2), rng.uniform(0, 1.57), rng.choice([None, None, 0.4]))
            for _ in range(legs)
        ]
        joint = junctions.Joint(1.2, 1.0, tuple(made), lean=rng.choice([0.0, 0.0, -1.0, 0.6]))
        flows = np.array([[rng.choice([0.0, rng.uniform(0.01, 1.0)]) for _ in range(20)] for _ in range(legs)])
        losses, jacobian = momentum(joint, flows)
        for k, column in enumerate(flows.T):
            loss, slopes = junctions.momentum(joint, list(column))
            assert [one[k] for one in losses] == pytest.approx(loss, rel=1e-9, abs=1e-12)
            if column.any():
                assert [[one[k] for one in row] for row in jacobian] == [pytest.approx(row, rel=1e-9, abs=1e-12) for row in slopes]
