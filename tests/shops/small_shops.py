"""The words that the tests build their designs from: runs, machines, pipe and whole shops. Invented data."""

from __future__ import annotations

from engine.design import (
    Collector,
    CurvePoint,
    Design,
    GateSet,
    Machine,
    Piece,
    Port,
    Run,
    Stock,
    StockSize,
    Straight,
)  # fmt: skip
from engine.units import Quantity, parse

FALLING = ((0.0, 2400.0), (0.2778, 2150.0), (0.5556, 1200.0), (0.7222, 0.0))


def q(text: str, dimension: str = "length") -> Quantity:
    """A quantity from text."""
    return parse(text, dimension)


def si(value: float) -> Quantity:
    """A quantity from an SI value; its text is not meant to be read back."""
    return Quantity(value, repr(value))


def at(east: float, north: float, up: float = 0.8) -> dict[str, Quantity]:
    """Fields of a position, m, to the millimetre."""
    return {way: q(f"{round(by, 3):g} m") for way, by in (("east", east), ("north", north), ("up", up))}


def collector(curve=FALLING, inlet: float = 0.16, basis: str = "fan static", **rest) -> Collector:
    """A collector whose curve (m3/s, Pa) is total pressure at its inlet unless `basis` says otherwise."""
    points = tuple(CurvePoint(flow=si(flow), pressure=si(pressure)) for flow, pressure in curve)
    return Collector(inlet=si(inlet), basis=basis, curve=points, **rest)


def pipe(*bores_mm: int) -> Stock:
    """Spiral pipe in these bores; sizes are called "pipe/BORE"."""
    sizes = tuple(StockSize(nominal=f"{bore}", bore=q(f"{bore} mm", "bore")) for bore in bores_mm)
    return Stock(id="pipe", kind="pipe", material="galvanised spiral", sizes=sizes)


def hose(*bores_mm: int) -> Stock:
    """Flexible hose in these bores; sizes are called "hose/BORE"."""
    sizes = tuple(StockSize(nominal=f"{bore}", bore=q(f"{bore} mm", "bore")) for bore in bores_mm)
    return Stock(id="hose", kind="hose", material="flexible hose", sizes=sizes)


def machine(name: str, bore_mm: float = 100, needs: float = 0.15, loss: float = 1.5) -> Machine:
    """A machine with one port called "hood"; needs in m3/s."""
    return Machine(id=name, ports=(Port(id="hood", bore=si(bore_mm / 1000), needs=si(needs), loss=loss),))


def run(name: str, joins: str, size: int | None, *pieces: Piece | float, **rest) -> Run:
    """A run of pipe/SIZE; a number among its pieces is a straight length in m."""
    made = tuple(Straight(length=si(piece)) if isinstance(piece, (int, float)) else piece for piece in pieces)
    return Run(id=name, joins=joins, size=size and f"pipe/{size}", pieces=made, **rest)


def shop(*runs: Run, machines=(), curve=FALLING, sets=(), **rest) -> Design:
    """A design of these runs, its stock holding every size they name."""
    bores = sorted({int(r.size.split("/")[1]) for r in runs if r.size})
    rest.setdefault("collector", collector(curve))
    gate_sets = tuple(GateSet(name=" + ".join(names), open=tuple(names)) for names in sets)
    return Design(name="test shop", stock=(pipe(*bores), hose(80, 100, 125)), machines=tuple(machines), runs=runs, gate_sets=gate_sets, **rest)
