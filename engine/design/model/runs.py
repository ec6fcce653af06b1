"""Ducts, and the gates that stand open in them."""

from __future__ import annotations

from math import pi

from engine.design import defaults
from engine.design.entries import choice, flag, names, number, quantity, reference, rows, text
from engine.design.model.pieces import STATES, Piece
from engine.shapes.vectors import DIRECTIONS
from engine.units import Quantity
from engine.values import dataclass

BLUNT = pi
_TAPER = {"low": 0.0, "high": pi, "open_low": True, "words": (("blunt", BLUNT),)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A stretch of one bore between two joints, its pieces listed from the collector outward."""

    id: str = text("id", "name of the run", required=True)
    joins: str = reference("joins", "collector or run", "what its collector end joins", required=True)
    as_: str | None = choice(
        "as", ("straight", "branch", "leg"), "how it joins: straight on, as a branch, or as one of two legs of a Y", absent=defaults.JOINS_AS
    )
    angle: Quantity | None = quantity(
        "angle", "angle", "of a branch or leg to the way of the air", low=0.0, high=pi / 2, open_low=True, absent=defaults.BRANCH_ANGLE
    )
    toward: str | None = choice("toward", DIRECTIONS, "the way a branch or leg leaves, going outward")
    taper: Quantity | None = quantity(
        "taper", "angle", "included angle of the change of bore at the joint", absent=f"{defaults.TAPER.text}; a branch or leg: none", **_TAPER
    )
    loss: float | None = number("loss", "known joint coefficient on the combined velocity pressure, instead of the formulas", low=-10.0, high=1000.0)
    size: str | None = reference("size", "stock size", "stock size of its pipe")
    bore: Quantity | None = quantity("bore", "bore", "inside bore, instead of a stock size", low=0.01, high=2.0)
    material: str | None = reference("material", "pipe material", "wanted with bore; sets the roughness")
    pieces: tuple[Piece, ...] = rows("pieces", Piece, "what it is made of, from the collector outward", inline=True)
    ends: str | None = reference("ends", "port", "machine/port at its far end")
    port_taper: Quantity | None = quantity("port_taper", "angle", "included angle of the change of bore at the port", absent=defaults.TAPER, **_TAPER)
    state: str | None = choice("state", STATES, "how far the work on it has come; a piece may say its own", absent=defaults.STATE)
    kept: bool | None = flag("kept", "whether searches leave it as it is", absent="once bought")


@dataclass(frozen=True, slots=True, kw_only=True)
class Throttle:
    """A gate left part open while a gate set works."""

    gate: str = reference("gate", "gate", "name of the gate", required=True)
    open: float = number("open", "share of its way that is open, 0.05 to 1", required=True, low=0.05, high=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class GateSet:
    """The machines working at once."""

    name: str = text("name", "what the set is called", required=True)
    open: tuple[str, ...] = names("open", "machine", "machines at work; the gates on their way are open")
    throttle: tuple[Throttle, ...] = rows("throttle", Throttle, "gates left part open", inline=True)
    hours: float | None = number("hours", "hours a week", low=0.0, high=168.0)
