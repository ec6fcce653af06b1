"""pandapipes, which takes long to load: only who asks it for something waits for that."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.outside.networks import COLLECTOR, Network

if TYPE_CHECKING:
    import pandapipes

_ROOM = 1.0  # bar; only differences matter
_KELVIN = 293.15
_COLEBROOK_ROUGH = 3.71 / 3.7  # its Colebrook divides the roughness by 3.71, the published one by 3.7
_SMOOTHEST = 1e-9  # m; it takes no roughness of 0


def model(network: Network, friction: str = "colebrook") -> pandapipes.pandapipesNet:
    """The network with the collector as a pump, for its friction model "colebrook" or "swamee-jain"."""
    import pandapipes

    air = network.air
    fluid = pandapipes.create_constant_fluid("air", "liquid", density=air.density, viscosity=air.viscosity, heat_capacity=1006.0, molar_mass=28.96)
    made = pandapipes.create_empty_network(fluid=fluid)
    nodes = [*list(dict.fromkeys(node for pipe in network.pipes for node in (pipe.start, pipe.end))), "out"]
    at = dict(zip(nodes, pandapipes.create_junctions(made, len(nodes), pn_bar=_ROOM, tfluid_k=_KELVIN), strict=True))
    for node in (*network.rooms, "out"):
        pandapipes.create_ext_grid(made, at[node], p_bar=_ROOM, t_k=_KELVIN)
    rough = _COLEBROOK_ROUGH if friction == "colebrook" else 1.0
    pipes = network.pipes
    pandapipes.create_pipes_from_parameters(
        made, [at[pipe.start] for pipe in pipes], [at[pipe.end] for pipe in pipes],
        length_km=[pipe.length / 1e3 for pipe in pipes], inner_diameter_mm=[pipe.bore * 1e3 for pipe in pipes],
        k_mm=[max(pipe.roughness, _SMOOTHEST) * 1e3 * rough for pipe in pipes],
        loss_coefficient=[pipe.coefficient for pipe in pipes], in_service=[not pipe.shut for pipe in pipes],
    )  # fmt: skip
    # In bar by m3/h, the highest power first.
    curve = [-network.steep / 3600**network.power / 1e5, *[0.0] * (network.power - 1), network.most / 1e5]
    pandapipes.create_pump_from_parameters(made, at[COLLECTOR], at["out"], "fan", poly_coefficents=curve)
    return made


def run(made: pandapipes.pandapipesNet, friction: str = "colebrook") -> None:
    """Solve a model as closely as it goes.

    Version 0.16.0 does not hand its `tolerance_colebrook` on, so that a friction factor by
    "colebrook" is good to about 3e-6 only; "swamee-jain" is explicit.
    """
    import pandapipes

    pandapipes.pipeflow(made, friction_model=friction, tol_p=1e-11, tol_m=1e-11, tol_res=1e-10, max_iter_hyd=200, use_numba=False)


def flows(network: Network, friction: str = "colebrook") -> dict[str, float]:
    """Flow of every run, m3/s."""
    made = model(network, friction)
    run(made, friction)
    through = made.res_pipe.mdot_from_kg_per_s.fillna(0.0) / network.air.density
    return {pipe.run: float(flow) for pipe, flow in zip(network.pipes, through, strict=True) if pipe.last}
