"""A branch beside a straight leg as large as the combined one, in the flow ratios of the published tables."""

from __future__ import annotations

from engine.air.losses.junctions import Joint, Leg, momentum


def wye(area_ratio: float, angle: float) -> Joint:
    """Combined area 1, c = 1, so that a loss is a coefficient on the combined velocity pressure."""
    return Joint(2.0, 1.0, (Leg("straight", 1.0, 0.0), Leg("branch", area_ratio, angle)))


def branch_coefficient(flow_ratio: float, area_ratio: float, angle: float) -> float:
    """Of the branch: branch over combined flow and area, angle in rad."""
    return momentum(wye(area_ratio, angle), (1.0 - flow_ratio, flow_ratio))[0][1]


def straight_coefficient(flow_ratio: float, area_ratio: float, angle: float) -> float:
    """Of the straight leg beside that branch."""
    return momentum(wye(area_ratio, angle), (1.0 - flow_ratio, flow_ratio))[0][0]
