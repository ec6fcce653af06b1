"""How pipe is joined, hung and cut: the rules of `joining.toml`, SI."""

from __future__ import annotations

from collections.abc import Collection
from functools import cache
from typing import Any

from engine.catalog.tables import read
from engine.units import parse
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Joining:
    """How pipe of a material is joined and hung.

    `insertion` [m] slips in at "both" ends or at the "inner" one; `elbows`
    and `branches` are the angles made [deg], `adjustable` the angle [deg] up
    to which elbows turn by any. Hangers stand `apart` [m], or so many
    `bores_apart`; `wall` is the mass of pipe [kg/m2].
    """

    insertion: float
    slips_in: str
    between_pipes: str
    between_fittings: str
    elbows: tuple[float, ...]
    adjustable: float
    branches: tuple[float, ...]
    apart: float
    bores_apart: float
    wall: float
    source: str
    provenance: str

    def spacing(self, bore: float) -> float:
        """How far apart hangers of pipe of a bore [m] stand, m."""
        return self.apart or self.bores_apart * bore


@dataclass(frozen=True, slots=True)
class Practice:
    """What holds of every material. Lengths in m; `tape_lap`, `hose_gives` and `full` are shares, `chips` is in kg/m3."""

    shortest: float
    piece: float
    screws: int
    tape_lap: float
    hose_lap: float
    hose_clamps: int
    hose_gives: float
    bond_slack: float
    bond_lugs: int
    from_fitting: float
    least_hung: float
    chips: float
    full: float


def joining(material: str) -> Joining:
    """The row of a pipe material. Raises KeyError where there is none."""
    return _joining()[material]


@cache
def _joining() -> dict[str, Joining]:
    return {material: _row(row) for row in read("joining")["material"] for material in row["materials"]}


def _row(row: dict[str, Any]) -> Joining:
    return Joining(
        insertion=parse(row["insertion"], "length").si, slips_in=row["slips_in"],
        between_pipes=row["between_pipes"], between_fittings=row["between_fittings"],
        elbows=tuple(row["elbows"]), adjustable=row.get("adjustable", 0.0), branches=tuple(row["branches"]),
        apart=parse(row["apart"], "length").si if "apart" in row else 0.0, bores_apart=row.get("bores_apart", 0.0),
        wall=row["wall"], source=row["source"], provenance=row["provenance"],
    )  # fmt: skip


@cache
def practice() -> Practice:
    """The rules that hold of every material."""
    rules = read("joining")
    hose, bonding, hanging, joints, load = (rules[name] for name in ("hose", "bonding", "hanging", "joints", "load"))
    return Practice(
        shortest=parse(rules["cutting"]["shortest"], "length").si, piece=parse(rules["cutting"]["piece"], "length").si,
        screws=joints["screws"], tape_lap=joints["tape_lap"],
        hose_lap=parse(hose["lap"], "length").si, hose_clamps=hose["clamps"], hose_gives=hose["gives"],
        bond_slack=parse(bonding["slack"], "length").si, bond_lugs=bonding["lugs"],
        from_fitting=parse(hanging["from_fitting"], "length").si, least_hung=parse(hanging["least"], "length").si,
        chips=parse(load["chips"], "density").si, full=load["full"],
    )  # fmt: skip


def kerf_text(units: str) -> str:
    """What a saw takes where nothing else is said, as text in "metric" or "imperial" units."""
    return str(read("joining")["cutting"]["kerf"][units])


def keep_text(units: str) -> str:
    """The shortest offcut worth keeping where nothing else is said, as text."""
    return str(read("joining")["cutting"]["keep"][units])


def assembly(kinds: Collection[str]) -> tuple[str, ...]:
    """What is told of putting ducts up whose pipe is of some kinds: "crimped", "metal", "plastic"."""
    return tuple(row["text"] for row in read("joining")["assembly"] if row.get("of") is None or row["of"] in kinds)
