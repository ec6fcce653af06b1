"""What is known of pipe, loads and machines, each with its source; the data stand in the TOML files beside this one.

Rows that the engine computes with hold SI floats; rows that a design can take
over, pipe and machine ports, hold quantities, with the text of each.
`provenance` is one of `tables.PROVENANCES`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, TypeVar

from engine.catalog.limits import Limit
from engine.catalog.tables import read
from engine.units import Quantity, parse
from engine.values import dataclass

_Row = TypeVar("_Row")


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
    """How fast a load must travel, m/s: the slow limits of branches and mains, where it settles for certain, what is too fast."""

    material: str
    slow_branch: Limit
    slow_main: Limit
    settles: Limit
    fast: Limit


@dataclass(frozen=True, slots=True)
class MachinePort:
    """A port that a kind of machine usually has: its bore, and the flow it wants."""

    id: str
    bore: Quantity
    needs: Quantity


@dataclass(frozen=True, slots=True)
class MachineKind:
    """A kind of machine with its usual ports. `uncertain` where no authority gives its flow; `note` what to mind."""

    name: str
    system: str
    ports: tuple[MachinePort, ...]
    uncertain: bool
    source: str
    provenance: str
    note: str


@dataclass(frozen=True, slots=True)
class PipeSize:
    """A size of a family as stores name it: inside diameter, and the outside where it is known."""

    nominal: str
    bore: Quantity
    outside: Quantity | None


@dataclass(frozen=True, slots=True)
class PipeFamily:
    """A family of pipe or hose as stores sell it; `note` what to mind.

    `stick` is the length it is sold in, `elbow_radius` the centre-line radius
    of its elbows in bores; None where nothing is known.
    """

    id: str
    name: str
    kind: str
    material: str
    stick: Quantity | None
    elbow_radius: float | None
    sizes: tuple[PipeSize, ...]
    source: str
    provenance: str
    note: str

    @property
    def system(self) -> str:
        """ "metric" or "imperial": what its nominal sizes are in."""
        return "imperial" if self.sizes[0].nominal.endswith(" in") else "metric"


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


def pipe_family(name: str) -> PipeFamily:
    """The family of pipe or hose of an id, "spiral"; KeyError names those known."""
    return _row({family.id: family for family in pipe_families()}, name, "family of pipe")


@cache
def pipe_families() -> tuple[PipeFamily, ...]:
    """Every family of pipe and hose, in file order."""
    return tuple(_pipe_family(row) for row in read("pipes")["family"])


@cache
def _roughness() -> dict[str, RoughnessRow]:
    def in_si(row: dict[str, Any]) -> dict[str, Any]:
        return row | {key: parse(row[key], "roughness").si for key in ("value", "low", "high")}

    return {row["material"]: RoughnessRow(**in_si(row)) for row in read("roughness")["material"]}


@cache
def _conveyed() -> dict[str, Conveyed]:
    def speed(row: dict[str, str]) -> Limit:
        return Limit(parse(row["is"], "speed").si, f"{row['source']} ({row['provenance']})")

    keys = ("slow_branch", "slow_main", "settles", "fast")
    rows = read("conveyed")["material"]
    return {row["material"]: Conveyed(row["material"], **{key: speed(row[key]) for key in keys}) for row in rows}


def _machine_kind(row: dict[str, Any]) -> MachineKind:
    ports = tuple(MachinePort(port["id"], parse(port["bore"], "bore"), parse(port["needs"], "flow")) for port in row["ports"])
    return MachineKind(row["name"], row["system"], ports, row.get("uncertain", False), row["source"], row["provenance"], row.get("note", ""))


def _pipe_family(row: dict[str, Any]) -> PipeFamily:
    sizes = tuple(PipeSize(size["nominal"], parse(size["bore"], "bore"), _optional(size, "outside", "bore")) for size in row["sizes"])
    return PipeFamily(
        id=row["id"], name=row["name"], kind=row["kind"], material=row["material"], stick=_optional(row, "stick", "length"),
        elbow_radius=row.get("elbow_radius"), sizes=sizes, source=row["source"], provenance=row["provenance"], note=row.get("note", ""),
    )  # fmt: skip


def _optional(row: dict[str, Any], key: str, dimension: str) -> Quantity | None:
    return parse(row[key], dimension) if key in row else None


def _row(rows: Mapping[str, _Row], name: str, what: str) -> _Row:
    if name not in rows:
        raise KeyError(f"no {what} is called {name!r}; known: {'; '.join(rows)}")
    return rows[name]
