"""Two machines at work together, one of which gets a little less than it needs. Invented."""

from __future__ import annotations

from dataclasses import replace

from engine.checks.assess import Assessment, assess
from tests.shops.small_shops import machine, run, shop

SAW, LATHE = machine("saw"), machine("lathe", needs=0.01)


def short_of_need(share: float = 0.996) -> Assessment:
    """The shop in which the saw, which is worst off, gets that share of its need."""
    drops = [run(name, "main", 100, 2.0, as_="branch", ends=f"{name}/hood") for name in ("saw", "lathe")]
    made = shop(run("main", "collector", 140, 2.0), *drops, machines=[SAW, LATHE], sets=(("saw", "lathe"),))
    flow = assess(made).sets[0].balance.ports["saw/hood"].flow
    return assess(replace(made, machines=(machine("saw", needs=flow / share), LATHE)))
