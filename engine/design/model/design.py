"""One workshop's ducts: all the parts together, and what they carry."""

from __future__ import annotations

from engine.design import defaults
from engine.design.entries import POSITIVE, choice, quantity, reference, rows, table, text
from engine.design.model.collector import Collector, CollectorChoice
from engine.design.model.machines import Machine
from engine.design.model.records import Accepted, GaugePoint, LeftOver, LogEntry, OwnLimit, Reading
from engine.design.model.runs import GateSet, Run
from engine.design.model.site import Site
from engine.design.model.stock import Shelf, Stock
from engine.design.model.tuned import Tuned
from engine.units import Quantity
from engine.values import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Conveying:
    """What the ducts carry and how fast it must go; speeds default to the catalog's for the material."""

    material: str | None = reference("material", "material", "what the ducts carry", absent=defaults.LOAD)
    slow_branch: Quantity | None = quantity("slow_branch", "speed", "slowest good speed in a branch or riser", high=100.0, **POSITIVE)
    slow_main: Quantity | None = quantity(
        "slow_main", "speed", "slowest good speed in a horizontal run serving several ports", high=100.0, **POSITIVE
    )
    settles: Quantity | None = quantity("settles", "speed", "below this the load settles for certain", high=100.0, **POSITIVE)
    fast: Quantity | None = quantity("fast", "speed", "faster than this is as a rule not sensible", high=200.0, **POSITIVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leakage:
    """How tight ducts and gates are; without it nothing leaks."""

    tightness: str | None = choice("tightness", ("A", "B", "C", "D"), "tightness class of the ducts by EN 12237, A the loosest", absent="tight")
    shut_gate: Quantity | None = quantity("shut_gate", "area", "gap that a shut gate leaves", low=0.0, high=0.01, absent="none")


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """One workshop's ducts. `shelf`: what the store file beside it lists, which is in `stock` too; no entry of the design's own file."""

    name: str = text("name", "name of the design", required=True)
    display: str | None = choice("display", ("metric", "imperial"), "units shown", absent=defaults.UNITS)
    currency: str | None = text("currency", "a word shown with prices; nothing is converted")
    store: str | None = text("store", "a file of stock beside this one; stock of the design adds to it, or replaces by id")
    notes: str | None = text("notes", "anything worth keeping")
    site: Site = table("site", Site, "the air and the room of the shop")
    conveying: Conveying = table("conveying", Conveying, "what the ducts carry")
    leakage: Leakage = table("leakage", Leakage, "how tight ducts and gates are")
    collector: Collector = table("collector", Collector, "fan, separator and filter", required=True)
    stock: tuple[Stock, ...] = rows("stock", Stock, "pipe and hose the shop can buy")
    machines: tuple[Machine, ...] = rows("machine", Machine, "the machines")
    runs: tuple[Run, ...] = rows("run", Run, "the ducts")
    gate_sets: tuple[GateSet, ...] = rows("gate_set", GateSet, "machines working at once")
    collector_choices: tuple[CollectorChoice, ...] = rows("collector_choice", CollectorChoice, "collectors to choose from")
    accepted: tuple[Accepted, ...] = rows("accepted", Accepted, "findings that may stay")
    limits: tuple[OwnLimit, ...] = rows("limit", OwnLimit, "limits of findings set for this shop")
    test_points: tuple[GaugePoint, ...] = rows("test_point", GaugePoint, "where ducts can be measured")
    readings: tuple[Reading, ...] = rows("reading", Reading, "what was measured")
    tuned: Tuned = table("tuned", Tuned, "what the readings have its figures at")
    log: tuple[LogEntry, ...] = rows("log", LogEntry, "what was done and seen")
    left_over: tuple[LeftOver, ...] = rows("left_over", LeftOver, "parts bought or hung that the ducts have no use for any more")
    shelf: Shelf | None = None
