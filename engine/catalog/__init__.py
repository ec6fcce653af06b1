"""What is known of pipe, loads and machines, each with its source; the data stand in the TOML files beside this one.

Rows that the engine computes with hold SI floats. Rows that a design takes
over, stock and machine ports, are the design's own dataclasses, with the text
of each quantity. `provenance` is one of `tables.PROVENANCES`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from engine.catalog.tables import read
from engine.design import Port, Stock, StockSize
from engine.units import Quantity, parse


@dataclass(frozen=True, slots=True)
class RoughnessRow:
    """Absolute roughness of a pipe material, m: the value used and the published span; whether it can be earthed."""

    material: str
    value: float
    low: float
    high: float
    conducts: bool
    source: str
    provenance: str


@dataclass(frozen=True, slots=True)
class Conveyed:
    """How fast a load must travel, m/s. `source` and `provenance` are of the two slow limits."""

    material: str
    slow_branch: float
    slow_main: float
    settles: float
    fast: float
    source: str
    provenance: str
    settles_source: str
    fast_source: str


@dataclass(frozen=True, slots=True)
class MachineKind:
    """A kind of machine with its usual ports. `uncertain` where no authority gives its flow; `note` what to mind."""

    name: str
    system: str
    ports: tuple[Port, ...]
    uncertain: bool
    source: str
    provenance: str
    note: str


@dataclass(frozen=True, slots=True)
class PipeFamily:
    """A family of pipe or hose as stores sell it, as a stock without prices; `note` what to mind."""

    name: str
    stock: Stock
    source: str
    provenance: str
    note: str

    @property
    def system(self) -> str:
        """ "metric" or "imperial": what its nominal sizes are in."""
        return "imperial" if self.stock.sizes[0].nominal.endswith(" in") else "metric"


def roughness(material: str) -> RoughnessRow:
    """The row of a pipe material; KeyError names those known."""
    return _row(_roughness(), material, "pipe material")


def pipe_materials() -> tuple[str, ...]:
    """Names of the pipe materials."""
    return tuple(_roughness())


def conveyed(material: str) -> Conveyed:
    """The row of a load; KeyError names those known."""
    return _row(_conveyed(), material, "material to convey")


def conveyed_materials() -> tuple[str, ...]:
    """Names of the loads, the usual one first."""
    return tuple(_conveyed())


@cache
def machine_kinds() -> tuple[MachineKind, ...]:
    """Every kind of machine, in file order."""
    shared = read("machines")["group"]
    return tuple(_machine_kind(shared[row["group"]] | row) for row in read("machines")["machine"])


@cache
def pipe_families() -> tuple[PipeFamily, ...]:
    """Every family of pipe and hose, in file order."""
    return tuple(_pipe_family(row) for row in read("pipes")["family"])


@cache
def _roughness() -> dict[str, RoughnessRow]:
    rows = read("roughness")["material"]
    return {row["material"]: RoughnessRow(**_in_si(row, "roughness", ("value", "low", "high"))) for row in rows}


@cache
def _conveyed() -> dict[str, Conveyed]:
    rows = read("conveyed")["material"]
    speeds = ("slow_branch", "slow_main", "settles", "fast")
    return {row["material"]: Conveyed(**_in_si(row, "speed", speeds)) for row in rows}


def _in_si(row: dict[str, Any], dimension: str, keys: tuple[str, ...]) -> dict[str, Any]:
    return row | {key: parse(row[key], dimension).si for key in keys}


def _machine_kind(row: dict[str, Any]) -> MachineKind:
    ports = tuple(
        Port(id=port["id"], bore=parse(port["bore"], "bore"), needs=parse(port["needs"], "flow"), loss=port.get("loss")) for port in row["ports"]
    )
    return MachineKind(row["name"], row["system"], ports, row.get("uncertain", False), row["source"], row["provenance"], row.get("note", ""))


def _pipe_family(row: dict[str, Any]) -> PipeFamily:
    stock = Stock(
        id=row["id"],
        kind=row["kind"],
        material=row["material"],
        stick=_optional(row, "stick", "length"),
        elbow_radius=row.get("elbow_radius"),
        sizes=tuple(
            StockSize(nominal=size["nominal"], bore=parse(size["bore"], "bore"), outside=_optional(size, "outside", "bore")) for size in row["sizes"]
        ),
    )
    return PipeFamily(row["name"], stock, row["source"], row["provenance"], row.get("note", ""))


def _optional(row: dict[str, Any], key: str, dimension: str) -> Quantity | None:
    return parse(row[key], dimension) if key in row else None


def _row(rows: dict[str, Any], name: str, what: str) -> Any:
    if name not in rows:
        raise KeyError(f"no {what} is called {name!r}; known: {'; '.join(rows)}")
    return rows[name]
