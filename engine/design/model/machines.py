"""Machines and their ports."""

from __future__ import annotations

from engine.design import defaults
from engine.design.entries import POSITIVE, choice, flag, number, quantity, rows, table, text
from engine.design.model.site import Body
from engine.shapes.vectors import DIRECTIONS
from engine.units import Quantity
from engine.values import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Port:
    """Where a machine is sucked."""

    id: str = text("id", "short name", required=True)
    bore: Quantity = quantity("bore", "bore", "inside bore of the port", required=True, low=0.005, high=2.0)
    needs: Quantity = quantity(
        "needs", "flow", "flow it should get; of a range such as 350 cfm to 450 cfm the middle", required=True, low=0.0, high=30.0, ranged=True
    )
    loss: float | None = number("loss", "total-pressure loss in velocity pressures of its bore", low=0.0, high=1000.0, absent=defaults.PORT_LOSS)
    suction: Quantity | None = quantity("suction", "pressure", "static suction measured at `needs`, instead of loss", high=30000.0, **POSITIVE)
    east: Quantity | None = quantity("east", "length", "of this port, eastward", low=-1000.0, high=1000.0, absent="the machine's")
    north: Quantity | None = quantity("north", "length", "of this port, northward", low=-1000.0, high=1000.0, absent="the machine's")
    up: Quantity | None = quantity("up", "length", "of this port, above the floor", low=-50.0, high=100.0, absent="the machine's")
    faces: str | None = choice("faces", DIRECTIONS, "the way it opens, from the machine; its hose is counted with a bend to it")


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A machine that makes chips or dust."""

    id: str = text("id", "short name", required=True)
    east: Quantity | None = quantity("east", "length", "of its first port, eastward: a record, no duct moves with it", low=-1000.0, high=1000.0)
    north: Quantity | None = quantity("north", "length", "of its first port, northward", low=-1000.0, high=1000.0)
    up: Quantity | None = quantity("up", "length", "of its first port, above the floor", low=-50.0, high=100.0)
    size: Body = table("size", Body, "its body, about its place", inline=True)
    moves: bool | None = flag("moves", "whether it is moved about to work, as on castors: its hose may hang over", absent=False)
    shared_drop: bool | None = flag("shared_drop", "whether its ports meet at the machine, behind one gate", absent=False)
    hours: float | None = number("hours", "hours of work a week", low=0.0, high=168.0)
    ports: tuple[Port, ...] = rows("port", Port, "where it is sucked")
