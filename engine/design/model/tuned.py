"""What the readings have a design's figures at: factors found by `engine.field.tuning`, and what they were found from.

Kept apart from what was typed, so that they can be switched off, and found again.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date as Date  # noqa: N812  # a field of it is called date
from typing import Any

from engine.design.entries import count, day, flag, number, reference, rows, text
from engine.values import dataclass

# Beyond these no reading is believed.
_FACTOR: dict[str, Any] = {"low": 0.01, "high": 100.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class TunedPort:
    """A port of which the readings tell by itself."""

    port: str = reference("port", "port", "the port", required=True, lasting=True)
    loss: float = number("loss", "its loss, times what the design says", required=True, **_FACTOR)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tuned:
    """Factors on what the design says, as the readings have it; one that is absent leaves it as it is."""

    on: bool | None = flag("on", "whether everything that is solved goes by them", absent=False)
    date: Date | None = day("date", "day of the last reading they were found from")
    since: Date | None = day("since", "day of the first reading they were found from")
    readings: int | None = count("readings", "how many readings they were found from", low=0, high=100000)
    ducts: str | None = text("ducts", "mark of the ducts as they were then: another one now makes them stale")
    baseline: str | None = text("baseline", "mark of the readings they were found from: another one now makes them stale")
    collector: float | None = number("collector", "pressure of the collector's curve, times what the design says", absent="1", **_FACTOR)
    filter: float | None = number("filter", "drop of the filter, times what the design says", absent="1", **_FACTOR)
    pipe: float | None = number("pipe", "roughness of pipe, times what the design says", absent="1", **_FACTOR)
    hose: float | None = number("hose", "roughness of hose, times what the design says", absent="1", **_FACTOR)
    leakage: float | None = number(
        "leakage", "what ducts leak through their walls, times what their class allows, class A where the design has none",
        low=0.0, high=100.0, absent="as the design says",
    )  # fmt: skip
    ports: float | None = number("ports", "loss of every port that is not listed, times what the design says", absent="1", **_FACTOR)
    own_ports: tuple[TunedPort, ...] = rows("port", TunedPort, "ports of which the readings tell by themselves", inline=True)

    def loss_of(self, port: str) -> float:
        """The factor on the loss of a port, "machine/port"."""
        own = next((one.loss for one in self.own_ports if one.port == port), self.ports)
        return 1.0 if own is None else own

    @property
    def of_ducts(self) -> Tuned:
        """What holds with another collector too."""
        return replace(self, collector=None, filter=None)


AS_DESIGNED = Tuned()
