"""What holds where a design says nothing, each default once: entries show it, computations take it.

What depends on the rest of the design is in `engine.design.meaning`.
"""

from __future__ import annotations

from collections.abc import Callable
from math import radians

from engine.catalog.tables import read
from engine.units import Quantity

UNITS = "metric"

# The air of the shop, and the load.
ALTITUDE = Quantity(0.0, "0 m")
TEMPERATURE = Quantity(293.15, "20 degC")
HUMIDITY = 0.5
LOAD = "dry chips and dust"
ZONE_KIND = "keep clear"

# The room, where people walk: judgement, a tall person's height and a hand.
MAINS = "overhead"
HEADROOM = Quantity(2.0, "2 m")

# The store, and the work.
PRICE_PER = "m"
STATE = "planned"

# The collector. Its curve holds in air of this density: common practice, no source.
FACES = "north"
BASIS = "inlet suction"
CURVE_DENSITY = Quantity(1.2, "1.2 kg/m^3")
LAW = "square"
DISCHARGE = "room"
FILTER = "used"

# Runs and joints.
JOINS_AS = "straight"
BRANCH_ANGLE = Quantity(radians(45.0), "45 deg")
TAPER = Quantity(radians(15.0), "15 deg")
PIPE_MATERIAL = "galvanised spiral"

# Elbows of a stock that does not say, and a machine port of which nothing is known, with the span it may lie in: common practice, no source.
ELBOW_MAKE, ELBOW_RADIUS, ELBOW_GORES = "smooth", 1.5, 5
PORT_LOSS = 1.5
PORT_LOSS_SPAN = (0.5, 3.0)


def gate_loss() -> float:
    """Loss of an open gate in velocity pressures, from the catalog."""
    loss: float = read("fittings")["gates"]["open"]["coefficient"]
    return loss


def fitting_length(kind: str) -> float:
    """Metres of pipe that an "elbow", a "wye" or a "taper" costs as much as, from the catalog."""
    metres: float = read("prices")["metres"][kind]
    return metres


def as_pipe(kind: str) -> Callable[[], str]:
    """Says what a fitting without a price costs: "as 1.5 m of pipe"."""
    return lambda: f"as {fitting_length(kind):g} m of pipe"
