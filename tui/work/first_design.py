"""The small valid design that a new one starts from: invented figures, there to be changed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from engine.catalog import pipe_family
from engine.design import (
    Collector,
    CurvePoint,
    Design,
    Elbow,
    Gate,
    GateSet,
    Hose,
    Machine,
    Port,
    Run,
    Site,
    Stock,
    Straight,
)  # fmt: skip
from engine.design.from_catalog import stock_of
from engine.units import Quantity, parse
from engine.units.printable import printable

_CURVE = (("0 m3/h", "2400 Pa"), ("1000 m3/h", "2150 Pa"), ("2000 m3/h", "1200 Pa"), ("2600 m3/h", "0 Pa"))


def first_design() -> Design:
    """One machine, one main and one branch to it, in spiral pipe of the catalog."""
    pipe, hose = _stock("spiral", "100", "125", "150", "160"), _stock("hose", "100", "125")
    main = Run(
        id="main", joins="collector", size=f"{pipe.id}/150",
        pieces=(Straight(length=_length("1 m")), Elbow(angle=parse("90 deg", "angle")), Straight(length=_length("3 m"))),
    )  # fmt: skip
    drop = Run(
        id="machine drop", joins="main", as_="branch", size=f"{pipe.id}/125", ends="machine/hood",
        pieces=(Gate(name="machine gate"), Straight(length=_length("1.5 m")), Hose(length=_length("0.6 m"), size=f"{hose.id}/125")),
    )  # fmt: skip
    return Design(
        name="new design",
        site=Site(),
        collector=Collector(name="example: put your own curve in", inlet=_bore("150 mm"), curve=tuple(_point(*pair) for pair in _CURVE)),
        stock=(pipe, hose),
        machines=(Machine(id="machine", ports=(Port(id="hood", bore=_bore("120 mm"), needs=parse("820 m3/h", "flow")),)),),
        runs=(main, drop),
        gate_sets=(GateSet(name="machine alone", open=("machine",)),),
    )


def design_name(path: Path) -> str:
    """A name for the design of a file: "boat_shed.toml" -> "boat shed"."""
    return printable(path.stem.replace("_", " "))[:60].strip() or "design"


def _stock(family: str, *nominals: str) -> Stock:
    """A stock of the catalog, in the few sizes a small shop buys."""
    stock = stock_of(pipe_family(family))
    return replace(stock, sizes=tuple(size for size in stock.sizes if size.nominal in nominals))


def _point(flow: str, pressure: str) -> CurvePoint:
    return CurvePoint(flow=parse(flow, "flow"), pressure=parse(pressure, "pressure"))


def _length(text: str) -> Quantity:
    return parse(text, "length")


def _bore(text: str) -> Quantity:
    return parse(text, "bore")
