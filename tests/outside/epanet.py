"""EPANET 2.2, through WNTR, which takes long to load: only who asks it for something waits for that."""

from __future__ import annotations

import warnings
from math import pi
from pathlib import Path
from typing import TYPE_CHECKING

from tests.outside.networks import COLLECTOR, Network

if TYPE_CHECKING:
    import wntr

_GRAVITY = 32.2 * 0.3048  # m/s2: EPANET's
_VISCOSITY = 1.1e-5 * 0.3048**2  # m2/s: EPANET's water, in whose multiples it takes other fluids
# EPANET's minor loss is 0.02517 K q^2 / d^4 in ft and ft3/s, for 8 / (pi^2 g) = 0.025171.
_MINOR = 8 / (pi**2 * 32.2) / 0.02517
_OUT = "out"


def model(network: Network) -> wntr.network.WaterNetworkModel:
    """The network; pressures are heads of air. Takes only a curve most - steep q^2 and coefficients of 0 or more."""
    import wntr

    if network.power != 2:
        raise ValueError("EPANET is given the collector as a parabola")
    head = network.air.density * _GRAVITY
    made = wntr.network.WaterNetworkModel()
    hydraulic = made.options.hydraulic
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns that roughness is in other units then; ours is given afterwards
        hydraulic.headloss = "D-W"
    hydraulic.inpfile_units = "LPS"
    hydraulic.viscosity = network.air.viscosity / network.air.density / _VISCOSITY
    hydraulic.accuracy, hydraulic.trials = 1e-8, 500
    made.options.time.duration = 0
    names = _node_names(network)
    for node, name in names.items():
        if node in network.rooms:
            made.add_reservoir(name, base_head=0.0)
        else:
            made.add_junction(name, base_demand=0.0, elevation=0.0)
    made.add_reservoir(_OUT, base_head=0.0)
    for i, pipe in enumerate(network.pipes):
        made.add_pipe(
            f"p{i}", names[pipe.start], names[pipe.end], length=pipe.length, diameter=pipe.bore, roughness=pipe.roughness,
            minor_loss=pipe.coefficient * _MINOR, initial_status="CLOSED" if pipe.shut else "OPEN",
        )  # fmt: skip
    free = (network.most / network.steep) ** 0.5
    made.add_curve("fan", "HEAD", [(share * free, network.most / head * (1 - share**2)) for share in (0.0, 0.5, 1.0)])
    made.add_pump("fan", names[COLLECTOR], _OUT, "HEAD", "fan")
    return made


def run(made: wntr.network.WaterNetworkModel, folder: Path):
    """Flow of every link of a model, m3/s. Files go to `folder`."""
    import wntr

    results = wntr.sim.EpanetSimulator(made).run_sim(file_prefix=str(folder / "network"), convergence_error=True)
    return results.link["flowrate"].iloc[0]


def flows(network: Network, folder: Path) -> dict[str, float]:
    """Flow of every run, m3/s."""
    found = run(model(network), folder)
    return {pipe.run: float(found[f"p{i}"]) for i, pipe in enumerate(network.pipes) if pipe.last}


def _node_names(network: Network) -> dict[str, str]:
    nodes = dict.fromkeys(node for pipe in network.pipes for node in (pipe.start, pipe.end))
    return {node: f"n{i}" for i, node in enumerate(nodes)}
