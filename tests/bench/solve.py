"""One balance at 12, 50 and 200 ports: ours, EPANET through WNTR and pandapipes, on the same trees in one run.

Run `python -m tests.bench.solve`. Every port is open. The others take the tree
with fixed joint coefficients; of ours the flow-ratio joints are timed as well.
Ratios are to our solve of the same network, fixed coefficients.
"""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from wntr.epanet.toolkit import ENepanet

from engine.air.one.balance import solve
from engine.air.one.network import compile_tree
from engine.air.properties import air_of
from tests.bench.clock import milliseconds, seconds
from tests.outside import designs, epanet, networks, panda

PORTS = (12, 50, 200)


def timings(ports: int) -> dict[str, float]:
    """Seconds by what was timed, our solve of fixed coefficients first."""
    design = designs.workshop(ports)
    tree, opened = compile_tree(design), designs.connected(design)
    full = compile_tree(designs.workshop(ports, fixed=False))
    network = networks.fixed(design, opened, air_of(design.site))
    found = {
        "ours, solve": seconds(lambda: solve(tree, opened)),
        "ours, solve with flow-ratio joints": seconds(lambda: solve(full, opened)),
        "ours, compile": seconds(lambda: compile_tree(design)),
    }
    with TemporaryDirectory() as folder:
        model = epanet.model(network)
        found["EPANET through WNTR, run"] = seconds(lambda: epanet.run(model, Path(folder)))
        found["EPANET's own solve, files read"] = _bare_epanet(Path(folder))
    made = panda.model(network)
    found["pandapipes, run"] = seconds(lambda: panda.run(made))
    found["pandapipes, build"] = seconds(lambda: panda.model(network))
    return found


def epanet_alone(ports: int) -> float:
    """Seconds that EPANET's own solve of the workshop takes."""
    design = designs.workshop(ports)
    network = networks.fixed(design, designs.connected(design), air_of(design.site))
    with TemporaryDirectory() as folder:
        epanet.run(epanet.model(network), Path(folder))
        return _bare_epanet(Path(folder))


def _bare_epanet(folder: Path) -> float:
    """EPANET's hydraulics on the files that WNTR left, without writing or reading any."""
    library = ENepanet(version=2.2)
    library.ENopen(str(folder / "network.inp"), str(folder / "bare.rpt"), str(folder / "bare.bin"))
    try:
        return seconds(library.ENsolveH)
    finally:
        library.ENclose()


def main() -> None:
    """Print the table."""
    columns = [timings(ports) for ports in PORTS]
    print("ms (times ours)".ljust(38), *(f"{ports} ports".rjust(18) for ports in PORTS))
    for row in columns[0]:
        cells = (f"{milliseconds(column[row])} ({column[row] / column['ours, solve']:.2g}x)" for column in columns)
        print(row.ljust(38), *(cell.rjust(18) for cell in cells))


if __name__ == "__main__":
    main()
