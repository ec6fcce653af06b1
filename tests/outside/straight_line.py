"""How far a balance is from balancing: every open port's way added up from the design, in one straight line."""

from __future__ import annotations

from collections.abc import Mapping
from math import log10

from engine.air.losses.elbows import mitred_reynolds_factor
from engine.air.one.balance import Balance
from engine.air.properties import Air
from engine.design import Design
from tests.outside.reading import Reading, Stretch, disc, joint_coefficients, read, supply


def residuals(design: Design, balance: Balance, air: Air) -> dict[str, float]:
    """Losses on the way of each open port less the collector's supply, Pa: 0 where it draws, >= 0 where it is held shut.

    Of the balance only the flows of its ports are taken.
    """
    return path_residuals(design, read(design, air), {port: state.flow for port, state in balance.ports.items()}, air)


def path_residuals(design: Design, reading: Reading, flows: Mapping[str, float], air: Air) -> dict[str, float]:
    """The same for any flows [m3/s] of the open ports."""
    through = run_flows(reading, flows)
    joint = joint_losses(reading, through, air)
    lift = supply(design.collector, air)(sum(flows.values()))
    lost = {run: joint.get(run, 0.0) + sum(loss(stretch, through[run], air) for stretch in reading.stretches[run]) for run in through}
    return {port: sum(lost[run] for run in reading.ways[port]) - lift for port in flows}


def run_flows(reading: Reading, flows: Mapping[str, float]) -> dict[str, float]:
    """Flow of every run: the sum of the ports whose way leads through it."""
    through = dict.fromkeys(reading.stretches, 0.0)
    for port, flow in flows.items():
        for run in reading.ways[port]:
            through[run] += flow
    return through


def joint_losses(reading: Reading, through: Mapping[str, float], air: Air) -> dict[str, float]:
    """Loss of every run where it flows into another, Pa."""
    found = {}
    for run, legs in reading.joints.items():
        area = disc(reading.bores[run])
        flows = [through[leg.run] for leg in legs]
        pressure = air.density / 2 * (sum(flows) / area) ** 2
        for leg, coefficient in zip(legs, joint_coefficients(area, legs, flows), strict=True):
            found[leg.run] = coefficient * pressure
    return found


def reynolds(bore: float, flow: float, air: Air) -> float:
    """Reynolds number of a flow in a bore."""
    return air.density * flow / disc(bore) * bore / air.viscosity


def loss(stretch: Stretch, flow: float, air: Air) -> float:
    """Total-pressure loss of a stretch, Pa."""
    if flow <= 0:
        return 0.0
    number = reynolds(stretch.bore, flow, air)
    coefficient = stretch.coefficient * (mitred_reynolds_factor(number)[0] if stretch.mitred else 1.0)
    if stretch.length:
        coefficient += friction_factor(number, stretch.roughness / stretch.bore) * stretch.length / stretch.bore
    return coefficient * air.density / 2 * (flow / disc(stretch.bore)) ** 2


def friction_factor(number: float, relative_roughness: float) -> float:
    """The larger of 64/Re and Colebrook's factor, whose equation is put into itself until it stands still."""
    root = 1.0  # 1/sqrt(f)
    for _ in range(200):
        last, root = root, max(1e-3, -2 * log10(relative_roughness / 3.7 + 2.51 * root / number))
        if abs(root - last) < 1e-14 * root:
            break
    return max(64 / number, root**-2)
