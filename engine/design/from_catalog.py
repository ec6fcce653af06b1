"""What a design takes over from the catalog: a stock, a machine, the speeds of its load."""

from __future__ import annotations

from engine import catalog
from engine.catalog.limits import Limit
from engine.design import defaults
from engine.design.kept import WHOLES, kept
from engine.design.model import Conveying, Port, Stock, StockSize

OWN_LIMIT = "the design's own limit"


def stock_of(family: catalog.PipeFamily) -> Stock:
    """A family of pipe or hose as a stock, in all its sizes and without prices."""
    sizes = tuple(StockSize(nominal=size.nominal, bore=size.bore, outside=size.outside) for size in family.sizes)
    return Stock(
        id=family.id, kind=family.kind, material=family.material, stick=family.stick, elbow_radius=family.elbow_radius, sizes=sizes
    )  # fmt: skip


def ports_of_kind(kind: catalog.MachineKind) -> tuple[Port, ...]:
    """The ports of a machine of a kind."""
    return tuple(Port(id=port.id, bore=port.bore, needs=port.needs) for port in kind.ports)


def plain_name(kind: catalog.MachineKind) -> str:
    """What a machine of a kind is called: the kind's name up to its first comma."""
    return kind.name.partition(",")[0].strip()


@kept(WHOLES)
def speed_limits(conveying: Conveying) -> catalog.Conveyed:
    """The speeds of a design's load, m/s: its own where it says them, else the catalog's.

    Raises KeyError where the catalog does not know the load.
    """
    usual = catalog.conveyed(conveying.material or defaults.LOAD)

    def limit(key: str) -> Limit:
        typed, known = getattr(conveying, key), getattr(usual, key)
        return Limit(typed.si, OWN_LIMIT) if typed else known

    return catalog.Conveyed(usual.material, **{key: limit(key) for key in ("slow_branch", "slow_main", "settles", "fast")})
