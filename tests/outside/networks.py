"""A design as networks of pipes with constant coefficients, which is what general pipe-network solvers take.

Air goes from the ports to the collector; every pipe is named after its run.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from math import log, log10

from engine.air.losses.elbows import mitred_reynolds_factor
from engine.air.one.balance import Balance
from engine.air.properties import Air
from engine.design import Design
from tests.outside.reading import Reading, Stretch, disc, read, supply
from tests.outside.straight_line import joint_losses, reynolds, run_flows

COLLECTOR = "collector"


@dataclass(frozen=True, slots=True)
class Pipe:
    """From one node to the next in the way of the air; `last` of its run. Bore, length and roughness in m."""

    run: str
    start: str
    end: str
    bore: float
    length: float
    roughness: float
    coefficient: float
    shut: bool
    last: bool


@dataclass(frozen=True, slots=True)
class Network:
    """Pipes from `rooms`, the nodes at room pressure, to the collector, which supplies most - steep q^power, Pa."""

    pipes: tuple[Pipe, ...]
    rooms: tuple[str, ...]
    most: float
    steep: float
    power: int
    air: Air


def fixed(design: Design, open_ports: Collection[str], air: Air) -> Network:
    """Of a design whose joints have known coefficients, the same for every leg, and whose collector's curve is an estimate.

    Such a coefficient costs all legs the same, on the combined velocity
    pressure: it is one of the combined run. Raises ValueError for other joints.
    """
    reading = read(design, air)
    extra = {}
    for run, legs in reading.joints.items():
        known = {leg.known for leg in legs}
        if len(known) != 1 or None in known:
            raise ValueError(f"the joint at the end of {run} has no fixed coefficient")
        extra[run] = known.pop()
    through = run_flows(reading, dict.fromkeys(open_ports, 1.0))
    pipes = _pipes(design, reading, extra, {run for run, flow in through.items() if not flow}, lambda stretch, _: stretch.coefficient)
    collector, pressure = design.collector, supply(design.collector, air)
    most = pressure(0.0)
    return Network(pipes, _rooms(design), most, (most - pressure(collector.free_air.si)) / collector.free_air.si**2, 2, air)


def frozen(design: Design, balance: Balance, air: Air) -> Network:
    """Of a solved design: every joint's loss a constant coefficient of the run that flows in, K = J / VP.

    Mitred elbows keep their Reynolds factor. The collector's curve becomes a
    falling line through the working point.
    """
    reading = read(design, air)
    through = run_flows(reading, {port: state.flow for port, state in balance.ports.items()})
    extra = {}
    for run, joint_loss in joint_losses(reading, through, air).items():
        if through[run] > 0:
            extra[run] = joint_loss / (air.density / 2 * (through[run] / disc(reading.bores[run])) ** 2)

    def coefficient(stretch: Stretch, run: str) -> float:
        factor = mitred_reynolds_factor(reynolds(stretch.bore, through[run], air))[0] if stretch.mitred else 1.0
        return stretch.coefficient * factor

    pipes = _pipes(design, reading, extra, {run for run, flow in through.items() if not flow}, coefficient)
    total = sum(state.flow for state in balance.ports.values())
    lift = supply(design.collector, air)(total)
    return Network(pipes, _rooms(design), 2 * lift, lift / total, 1, air)


def _rooms(design: Design) -> tuple[str, ...]:
    return tuple(f"{run.id}:0" for run in design.runs if run.ends)


def _pipes(
    design: Design, reading: Reading, extra: dict[str, float], shut: Collection[str], coefficient: Callable[[Stretch, str], float]
) -> tuple[Pipe, ...]:
    """Each run's pipes of one bore and roughness in a row, all its coefficients brought to the bore of the first."""
    found = []
    for run in design.runs:
        stretches = reading.stretches[run.id]
        lengths: dict[tuple[float, float], float] = {}
        for stretch in stretches:
            if stretch.length:
                key = (stretch.bore, stretch.roughness)
                lengths[key] = lengths.get(key, 0.0) + stretch.length
        first = next(iter(lengths))[0]
        own = sum(coefficient(stretch, run.id) * (first / stretch.bore) ** 4 for stretch in stretches)
        own += extra.get(run.id, 0.0) * (first / reading.bores[run.id]) ** 4
        for i, ((bore, roughness), length) in enumerate(lengths.items()):
            last = i == len(lengths) - 1
            onto = COLLECTOR if run.joins == "collector" else f"{run.joins}:0"
            end = onto if last else f"{run.id}:{i + 1}"
            found.append(Pipe(run.id, f"{run.id}:{i}", end, bore, length, roughness, 0.0 if i else own, run.id in shut, last))
    return tuple(found)


def swamee_jain(reynolds_number: float, relative_roughness: float) -> tuple[float, float]:
    """Friction factor and d ln f / d ln Re: P. K. Swamee and A. K. Jain, J. Hydraul. Div. ASCE 102 (1976) 657.

    The law of EPANET above Re 4000, and one of those of pandapipes.
    """
    by_flow = 5.74 / max(reynolds_number, 1.0) ** 0.9
    inside = relative_roughness / 3.7 + by_flow
    return 0.25 / log10(inside) ** 2, 1.8 * by_flow / (inside * log(inside))
