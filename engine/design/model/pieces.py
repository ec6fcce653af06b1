"""What a run is made of."""

from __future__ import annotations

from math import pi
from typing import Any

from engine.design import defaults
from engine.design.entries import POSITIVE, choice, count, number, quantity, reference, text
from engine.shapes.vectors import DIRECTIONS
from engine.units import Quantity
from engine.values import dataclass

STATES = ("planned", "bought", "cut", "hung", "tested")


def _state() -> Any:
    return choice("state", STATES, "how far the work on it has come, where not as far as on its run")


@dataclass(frozen=True, slots=True, kw_only=True)
class Straight:
    """A straight length of the run's pipe."""

    length: Quantity = quantity("straight", "length", "length along the pipe", required=True, high=500.0, **POSITIVE)
    state: str | None = _state()


@dataclass(frozen=True, slots=True, kw_only=True)
class Elbow:
    """A bend of the run's pipe."""

    angle: Quantity = quantity("elbow", "angle", "angle it turns by", required=True, high=pi, **POSITIVE)
    toward: str | None = choice("toward", DIRECTIONS, "the way it turns to, going outward")
    radius: float | None = number("radius", "centre-line radius in bores", low=0.5, high=10.0, absent="the stock's")
    make: str | None = choice("make", ("smooth", "segmented", "mitred"), "how it is made", absent="the stock's")
    gores: int | None = count("gores", "pieces of a segmented elbow", low=3, high=7, absent=defaults.ELBOW_GORES)
    state: str | None = _state()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hose:
    """A length of flexible hose."""

    length: Quantity = quantity("hose", "length", "length, stretched", required=True, high=100.0, **POSITIVE)
    size: str | None = reference("size", "stock size", "stock size of the hose", absent="the run's bore")
    bend: Quantity | None = quantity("bend", "angle", "sum of the angles it is bent by", low=0.0, high=4 * pi, absent="0 deg")
    compressed: float | None = number("compressed", "share of its length left compressed, 0 to 0.5", low=0.0, high=0.5, absent="0")
    state: str | None = _state()


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """A blast gate."""

    name: str = text("gate", "name of the gate", required=True)
    loss: float | None = number("loss", "loss when open, in velocity pressures", low=0.0, high=1000.0, absent=defaults.gate_loss)
    state: str | None = _state()


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleanout:
    """A lid to clean the run through."""

    name: str = text("cleanout", "where it is", required=True)
    state: str | None = _state()


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLoss:
    """A part with a loss of its own."""

    loss: float = number("loss", "loss in velocity pressures of the run", required=True, low=0.0, high=1000.0)
    name: str | None = text("name", "what it is")
    state: str | None = _state()


Piece = Straight | Elbow | Hose | Gate | Cleanout | OwnLoss
# A piece's file table is recognised by the first of these keys that it holds.
PIECE_KEYS: dict[str, type] = {
    "straight": Straight, "elbow": Elbow, "hose": Hose, "gate": Gate, "cleanout": Cleanout, "loss": OwnLoss,
}  # fmt: skip
